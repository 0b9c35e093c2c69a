"""Lists of loads as CSV: read with a mapping, every bad row named."""

from __future__ import annotations

from collections import Counter
from datetime import date
from decimal import Decimal

from farmrecords.formats.common import Choice, FormatError, Question, ReadResult, shown
from farmrecords.formats.load_cells import Found, Reading, Row, load_of
from farmrecords.formats.load_headers import is_total_word
from farmrecords.formats.load_rows import LoadRow, Mapping
from farmrecords.formats.load_table import (
    Table,
    column_questions,
    mapping_of,
    number_part,
    read_table,
    with_styles,
)
from farmrecords.formats.load_units import UNIT_KINDS
from farmrecords.formats.moments import zone_of
from farmrecords.formats.numerals import parse_decimal


def suggest_mapping(data: bytes) -> Mapping:
    """The mapping the headings of a file suggest, to be shown and completed by a person."""
    return mapping_of(read_table(data))


def read_loads(
    data: bytes, *, zone: str, mapping: Mapping | None = None, today: date | None = None
) -> ReadResult[LoadRow]:
    """The loads of a CSV file.

    Times without an offset are local times in `zone`. Questions come back under the names of
    `Mapping` fields (or `column_<role>`); answer them with `mapping.answered(...)` and read
    again. A row more than a day after `today` is refused, when `today` is given.
    """
    table = read_table(data, mapping.delimiter if mapping else "")
    return read_load_table(table, zone=zone, mapping=mapping, today=today)


def read_load_table(
    table: Table, *, zone: str, mapping: Mapping | None = None, today: date | None = None
) -> ReadResult[LoadRow]:
    """The loads of a table of cells, from whatever kind of file it came."""
    mapping = with_styles(mapping, table) if mapping else mapping_of(table)
    _refuse_other_headers(table, mapping)
    if questions := column_questions(mapping):
        return ReadResult([], [], table.notes, questions)
    reading = Reading(_checked(mapping), zone_of(zone), today)
    found, warnings = Found(), list(table.notes)
    items: list[LoadRow] = []
    totals = _Totals()
    for number, cells in table.rows:
        if number <= mapping.header_row:
            continue
        row = Row(number, cells, reading, found)
        if (total := totals.named(row)) is not None:
            warnings.append(total)
        elif (load := load_of(row)) is not None:
            items.append(load)
            totals.add(load.amount)
    items = _with_keys(items, reading.mapping, found, warnings)
    if not any(load.time_known for load in items) and items:
        warnings.append("The file gives no times of day; each load stands on its day alone.")
    if not items and not found.rejected and not found.questions:
        raise FormatError("The file has headings but no loads.", "Check the file.")
    return ReadResult(items, found.rejected, warnings, list(found.questions.values()))


def _refuse_other_headers(table: Table, mapping: Mapping) -> None:
    """Raise when a remembered mapping is put on a file that has other headings."""
    here = next((tuple(c) for number, c in table.rows if number == mapping.header_row), ())
    if not mapping.fits(here):
        raise FormatError(
            f"The headings in row {mapping.header_row} are not those of the mapping: "
            f"“{shown(', '.join(here))}”.",
            "Let the columns be found anew for this file.",
        )


def _checked(mapping: Mapping) -> Mapping:
    """The mapping, after making sure that its answers are among those possible."""
    allowed = {
        "amount_unit": ("", *UNIT_KINDS),
        "date_order": ("", "mdy", "dmy"),
        "hour_twice": ("", "first", "second"),
        "repeats": ("", "loads", "once"),
    }
    for name, values in allowed.items():
        if getattr(mapping, name) not in values:
            raise FormatError(
                f"“{shown(getattr(mapping, name))}” is no answer for {name}.",
                f"Use one of: {', '.join(v for v in values if v)}.",
            )
    if any(not 0 <= at < len(mapping.headers) for at in mapping.columns.values()):
        raise FormatError("The mapping names a column the file does not have.", "Map it anew.")
    return mapping


class _Totals:
    """Tells rows of totals from loads, and whether the totals are right."""

    def __init__(self) -> None:
        self.all = Decimal(0)
        self.since_last = Decimal(0)

    def add(self, amount: Decimal) -> None:
        self.all += amount
        self.since_last += amount

    def named(self, row: Row) -> str | None:
        """What to say about a row of totals; None when the row is a load."""
        day = row.text("date") or row.text("started_at")
        if day and not is_total_word(day):
            return None
        amount = self._amount(row)
        sums = amount is not None and amount in (self.all, self.since_last) and self.all > 0
        has_word = any(is_total_word(cell) for cell in row.cells if cell)
        if not (has_word or (sums and not row.text("field"))):
            return None
        adds_up = "" if sums or amount is None else f" The rows above add up to {self.all:,}."
        self.since_last = Decimal(0)
        stated = "" if amount is None else f" ({amount:,})"
        return f"Row {row.number} is a row of totals{stated} and was left out.{adds_up}"

    @staticmethod
    def _amount(row: Row) -> Decimal | None:
        try:
            digits = number_part(row.text("amount") or row.text("loads"))[0]
            return parse_decimal(digits, row.reading.mapping.decimal_comma)
        except FormatError:
            return None


def _with_keys(
    loads: list[LoadRow], mapping: Mapping, found: Found, warnings: list[str]
) -> list[LoadRow]:
    """The loads with their keys; rows that say the same are named and asked about."""
    seen: Counter[str] = Counter()
    first_row: dict[str, int] = {}
    keyed, same = [], []
    for load in loads:
        first = load.keyed()
        key = first.source_key
        if not seen[key]:
            keyed.append(first)
        else:
            same.append(f"row {load.row_number} as row {first_row[key]}")
            if mapping.repeats != "once":
                keyed.append(load.keyed(seen[key]))
        first_row.setdefault(key, load.row_number)
        seen[key] += 1
    if same:
        named = ", ".join(same[:10]) + (f" and {len(same) - 10} more" if len(same) > 10 else "")
        warnings.append(f"Rows that say the same: {named}.")
        if not mapping.repeats:
            found.questions["repeats"] = _repeats_question(named, len(same))
    return keyed


def _repeats_question(named: str, count: int) -> Question:
    return Question(
        key="repeats",
        asked=f"{count} row(s) say the same as an earlier one ({named}). What are they?",
        choices=(
            Choice("loads", "each row is a load of its own"),
            Choice("once", "entered twice: count each once"),
        ),
    )


__all__ = ["LoadRow", "Mapping", "read_load_table", "read_loads", "suggest_mapping"]
