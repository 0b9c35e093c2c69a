"""Lists of loads as an XLSX workbook, read like the CSV they would be saved as.

The archive is checked by our own limits first, and no part may carry a document type, before the
workbook is opened at all. Formulas are never computed; the values last saved are taken.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from openpyxl import load_workbook

from farmrecords.formats.archives import Archive, is_zip
from farmrecords.formats.common import (
    MAX_COLUMNS,
    MAX_ROWS,
    Choice,
    FormatError,
    Question,
    ReadResult,
    shown,
)
from farmrecords.formats.load_rows import LoadRow, Mapping
from farmrecords.formats.load_table import MOST_TITLE_ROWS, Table, bounded_cells, mapping_of, score
from farmrecords.formats.loads_csv import read_load_table
from farmrecords.formats.safe_xml import MOST_TAGS

_SAVE_AGAIN = "Open it in the spreadsheet program and save it again, or save it as CSV UTF-8."
_MARKS = ("<!DOCTYPE", "<!ENTITY")
MOST_SHEETS = 60


def suggest_xlsx_mapping(data: bytes, sheet: str = "") -> Mapping:
    """The mapping the headings of a workbook suggest; of its likeliest sheet when none is named.

    When several sheets could be meant and none is named, the mapping names none either, so that
    reading with it asks.
    """
    sheets = _tables(data)
    if sheet in sheets:
        return replace(mapping_of(sheets[sheet]), sheet=sheet)
    name = max(sheets, key=lambda name: score(sheets[name].rows))
    return replace(mapping_of(sheets[name]), sheet="" if len(_fitting(sheets)) > 1 else name)


def read_xlsx_loads(
    data: bytes, *, zone: str, mapping: Mapping | None = None, today: date | None = None
) -> ReadResult[LoadRow]:
    """The loads of a workbook; questions as in `read_loads`, and `sheet` when several fit."""
    sheets = _tables(data)
    if mapping is not None and mapping.sheet:
        if mapping.sheet not in sheets:
            raise FormatError(
                f"The workbook has no sheet “{shown(mapping.sheet)}”.", "Map it anew."
            )
        return read_load_table(sheets[mapping.sheet], zone=zone, mapping=mapping, today=today)
    fitting = _fitting(sheets)
    if len(fitting) > 1:
        choices = tuple(Choice(name, shown(name)) for name in fitting)
        asked = "Several sheets look like a list of loads. Which one is meant?"
        return ReadResult([], [], [], [Question("sheet", asked, choices)])
    chosen = fitting[0] if fitting else max(sheets, key=lambda name: score(sheets[name].rows))
    return read_load_table(sheets[chosen], zone=zone, mapping=mapping, today=today)


def _fitting(sheets: dict[str, Table]) -> list[str]:
    """The sheets with at least two headings of a list of loads."""
    return [name for name, table in sheets.items() if score(table.rows)[0] >= 2]


def _tables(data: bytes) -> dict[str, Table]:
    """The cells of every sheet that has any, as text."""
    if not is_zip(data):
        raise FormatError("This is not an XLSX workbook.", _SAVE_AGAIN)
    _refuse_unsafe(data)
    with _plainly():
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        names = [sheet.title for sheet in book.worksheets]
        if len(names) > MOST_SHEETS:
            raise FormatError(f"The workbook has more than {MOST_SHEETS} sheets.", _SAVE_AGAIN)
        tables = {sheet.title: Table(_rows(sheet), "", []) for sheet in book.worksheets}
    filled = {name: table for name, table in tables.items() if table.rows}
    if not filled:
        raise FormatError("The workbook has no filled rows.", "Check that this is the right file.")
    return filled


def _refuse_unsafe(data: bytes) -> None:
    """Unpack every member once within the limits and look for document types."""
    archive = Archive(data)
    if "xl/workbook.xml" not in archive.names:
        raise FormatError("The archive is not an XLSX workbook.", _SAVE_AGAIN)
    tags = 0
    for name in archive.names:
        content = archive.read(name)
        tags += content.count(b"<")
        if tags > MOST_TAGS:
            raise FormatError("The workbook has too many cells.", "Split it, for example by year.")
        for mark in _MARKS:
            if any(mark.encode(code) in content for code in ("ascii", "utf-16-le", "utf-16-be")):
                raise FormatError("The workbook carries document types or entities.", _SAVE_AGAIN)


@contextmanager
def _plainly() -> Iterator[None]:
    """Turn whatever the workbook library stumbles over into one plain error."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except FormatError:
        raise
    # The library has no error class of its own for damaged parts; anything may come.
    except Exception as error:
        raise FormatError(
            f"The workbook is damaged or unusual ({type(error).__name__}: {shown(error)}).",
            _SAVE_AGAIN,
        ) from None


def _rows(sheet: Any) -> list[tuple[int, list[str]]]:
    most = MAX_ROWS + MOST_TITLE_ROWS
    rows = []
    # max_col bounds rows whose last cell claims to stand in column 16,384
    for number, cells in enumerate(
        sheet.iter_rows(max_row=most + 1, max_col=MAX_COLUMNS, values_only=True), 1
    ):
        texts = [_text(cell) for cell in cells]
        if not any(texts):
            continue
        if number > most:
            raise FormatError(f"A sheet has more than {MAX_ROWS:,} rows.", "Split it by year.")
        rows.append((number, bounded_cells(number, texts)))
    return rows


def _text(cell: Any) -> str:
    """A cell as text that can be read in one way only."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, datetime):
        return f"{cell:%Y-%m-%d}" if cell.time() == time(0) else f"{cell:%Y-%m-%d %H:%M:%S}"
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, time):
        return f"{cell:%H:%M:%S}"
    if isinstance(cell, int | float):
        return _number_text(cell)
    return str(cell).replace("\0", " ").strip()


def _number_text(cell: int | float) -> str:
    """A number without grouping; a zero is added where three decimals could mean thousands."""
    if isinstance(cell, float) and not (-1e15 < cell < 1e15):
        return str(cell)
    text = f"{Decimal(repr(cell)):f}" if isinstance(cell, float) else str(cell)
    whole, mark, fraction = text.partition(".")
    if not fraction.strip("0"):
        return whole
    return f"{text}0" if mark and len(fraction) == 3 else text
