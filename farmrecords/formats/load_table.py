"""Rows and cells of a list of loads, and the mapping its headings suggest.

A CSV file follows RFC 4180, with semicolon or tab allowed for the comma. The table made here is
the same whether it comes from CSV or from a spreadsheet.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from farmrecords.formats.common import (
    MAX_CELL_CHARACTERS,
    MAX_CELLS,
    MAX_COLUMNS,
    MAX_ROWS,
    Choice,
    FormatError,
    Question,
    shown,
)
from farmrecords.formats.load_headers import role_of
from farmrecords.formats.load_rows import Mapping
from farmrecords.formats.load_units import unit_named
from farmrecords.formats.moments import order_of
from farmrecords.formats.numerals import style_of
from farmrecords.formats.text import decode_text

DELIMITERS = (",", ";", "\t", "|")
# Title lines may stand above the headings, but not more than this many.
MOST_TITLE_ROWS = 20
SAMPLE_ROWS = 60
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
_WORDS = {"date": "the day", "field": "the field", "amount": "the amount"}


@dataclass(frozen=True)
class Table:
    """Cells as text with the number each row has in a spreadsheet, from 1."""

    rows: list[tuple[int, list[str]]]
    delimiter: str
    notes: list[str]


def read_table(
    data: bytes, delimiter: str = "", known: Callable[[list[str]], int] | None = None
) -> Table:
    """The cells of a CSV file; the delimiter is found when none is given.

    `known` counts the headings of a row that it knows; without it those of loads are counted.
    """
    text, _, notes = decode_text(data)
    chosen = delimiter or _delimiter_of(text, known or _known)
    return Table(_cells(text, chosen), chosen, notes)


def _delimiter_of(text: str, known: Callable[[list[str]], int]) -> str:
    """The delimiter whose first rows look most like the list that is wanted."""
    best, best_score = DELIMITERS[0], (-1, -1)
    for candidate in DELIMITERS:
        try:
            rows = _cells(text, candidate, SAMPLE_ROWS)
        except FormatError:
            continue  # if no delimiter fits, reading with the first one says what is wrong
        likeness = score(rows, known)
        if likeness > best_score:
            best, best_score = candidate, likeness
    return best


def _known(cells: list[str]) -> int:
    return len({role for cell in cells[:MAX_COLUMNS] if (role := role_of(cell)[0])})


def score(
    rows: list[tuple[int, list[str]]], known: Callable[[list[str]], int] = _known
) -> tuple[int, int]:
    """How much a reading looks like the list that is wanted: known headings, then columns."""
    top = [cells for _, cells in rows[:MOST_TITLE_ROWS]]
    best = max((known(cells) for cells in top), default=0)
    return best, max((len(cells) for cells in top), default=0)


def _lines(text: str) -> Iterator[str]:
    """The lines of a text with their ends; raises for one longer than any row may be."""
    for found in _LINE.finditer(text):
        if found.end() - found.start() > MAX_COLUMNS * MAX_CELL_CHARACTERS:
            raise FormatError("A line is too long for a row.", "Check that this is the right file.")
        yield found.group()


def _cells(text: str, delimiter: str, sample: int = 0) -> list[tuple[int, list[str]]]:
    """The filled rows with their numbers; only those among the first `sample` rows if given."""
    reader = csv.reader(_lines(text), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    number = total = 0
    try:
        for number, cells in enumerate(reader, 1):
            total += len(cells)
            if number > MAX_ROWS + MOST_TITLE_ROWS or total > MAX_CELLS:
                raise FormatError(
                    f"The file has more than {MAX_ROWS:,} rows or {MAX_CELLS:,} cells.",
                    "Split it, for example by year.",
                )
            if any(cell.strip() for cell in cells):
                rows.append((number, bounded_cells(number, cells)))
            if number == sample:
                break
    except csv.Error as error:
        raise FormatError(
            f"Row {number + 1} cannot be divided into cells ({error}).",
            "Look for a quotation mark without its partner in that row or above it.",
        ) from None
    return rows


def bounded_cells(number: int, cells: list[str]) -> list[str]:
    """The cells of a row without empty ones at its end; raises beyond the limits."""
    while cells and not cells[-1].strip():
        cells.pop()
    if len(cells) > MAX_COLUMNS:
        raise FormatError(
            f"Row {number} has {len(cells):,} cells; at most {MAX_COLUMNS} are read.",
            "Check the delimiter of the file.",
        )
    for cell in cells:
        if len(cell) > MAX_CELL_CHARACTERS:
            raise FormatError(
                f"Row {number} has a cell of {len(cell):,} characters, “{shown(cell)}”.",
                "Look for a quotation mark without its partner; a cell holds at most "
                f"{MAX_CELL_CHARACTERS:,} characters.",
            )
    return [cell.strip() for cell in cells]


def mapping_of(table: Table) -> Mapping:
    """The mapping the headings and the values of a table suggest."""
    top = table.rows[:MOST_TITLE_ROWS]
    if not top:
        raise FormatError("The file has no rows.", "Check that this is the right file.")
    at = max(range(len(top)), key=lambda i: (_known(top[i][1]), len(top[i][1]), -i))
    number, headers = top[at]
    columns: dict[str, int] = {}
    twice: set[str] = set()
    units: dict[str, str] = {}
    for position, header in enumerate(headers):
        role, unit = role_of(header)
        if not role:
            continue
        if role in columns:
            twice.add(role)
        columns.setdefault(role, position)
        units.setdefault(role, unit)
    columns = {role: at for role, at in columns.items() if role not in twice}
    unit = next(
        (
            units[r]
            for r in ("amount", "amount_per_load")
            if units.get(r) in _plain_units(units) and r in columns
        ),
        "",
    )
    suggested = Mapping(
        headers=tuple(headers),
        columns=columns,
        header_row=number,
        delimiter=table.delimiter,
        amount_unit=unit_named(unit),
    )
    return with_styles(suggested, table)


def _plain_units(units: dict[str, str]) -> set[str]:
    return {unit for unit in units.values() if unit and unit_named(unit)}


def with_styles(mapping: Mapping, table: Table) -> Mapping:
    """The mapping with date order and decimal sign, where every value agrees on one."""
    body = [cells for number, cells in table.rows if number > mapping.header_row]
    orders = {
        order
        for role in ("date", "started_at", "ended_at", "incorporated_at")
        for cell in _column(body, mapping.columns.get(role))
        if (order := order_of(cell.split(" ")[0]))
    }
    styles = {
        style
        for role in ("amount", "amount_per_load")
        for cell in _column(body, mapping.columns.get(role))
        if (style := style_of(number_part(cell)[0])) is not None
    }
    order = mapping.date_order or (orders.pop() if len(orders) == 1 else "")
    comma = mapping.decimal_comma
    if comma is None and len(styles) == 1:
        comma = styles.pop()
    return replace(mapping, date_order=order, decimal_comma=comma)


def _column(body: list[list[str]], at: int | None) -> list[str]:
    return [] if at is None else [cells[at] for cells in body if at < len(cells)]


def number_part(cell: str) -> tuple[str, str]:
    """A cell such as “4,500 gal” divided into its number and its unit."""
    end = len(cell)
    while end > 0 and not cell[end - 1].isdigit():
        end -= 1
    tail = cell[end:].strip()
    # “5 m3” ends with a digit that belongs to the unit
    for unit in ("m3", "ft3", "yd3"):
        if cell.lower().endswith(unit) and cell[: -len(unit)].strip():
            return cell[: -len(unit)].strip(), unit
    return (cell[:end], tail) if end and tail and tail[0].isalpha() else (cell, "")


def column_questions(mapping: Mapping) -> list[Question]:
    """Questions about columns that a list of loads must have and none was found for."""
    have = mapping.columns
    missing = []
    if "date" not in have and "started_at" not in have:
        missing.append("date")
    if "field" not in have:
        missing.append("field")
    if not {"amount", "amount_per_load", "loads"} & set(have):
        missing.append("amount")
    return [_column_question(role, mapping) for role in missing]


def _column_question(role: str, mapping: Mapping) -> Question:
    taken = set(mapping.columns.values())
    free = [(i, h) for i, h in enumerate(mapping.headers) if h and i not in taken]
    return Question(
        key=f"column_{role}",
        asked=f"Which column holds {_WORDS[role]}?",
        choices=tuple(Choice(str(i), shown(h)) for i, h in free),
        examples=tuple(shown(h) for _, h in free[:5]),
    )
