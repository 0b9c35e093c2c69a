"""One row of cells -> one load, with every bad cell named."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import TypeVar
from zoneinfo import ZoneInfo

from farmrecords.formats.common import FormatError, Question, Rejected, Unclear, shown
from farmrecords.formats.load_headers import role_of
from farmrecords.formats.load_rows import LoadRow, Mapping
from farmrecords.formats.load_table import number_part
from farmrecords.formats.load_units import UNIT_KINDS, is_absurd, unit_named, unit_question
from farmrecords.formats.moments import (
    at_local,
    day_not_after,
    parse_day,
    parse_moment,
    parse_time,
)
from farmrecords.formats.numerals import parse_decimal

T = TypeVar("T")
# A cell a spreadsheet would take for a formula; the guard is a single quote before it.
GUARDED = tuple("=+-@\t\r＝＋－＠")
MOST_LOADS_COUNTED = 10_000


@dataclass
class Found:
    """What reading the rows has turned up so far."""

    rejected: list[Rejected] = field(default_factory=list)
    questions: dict[str, Question] = field(default_factory=dict)


@dataclass(frozen=True)
class Reading:
    """How the cells of one file are to be read."""

    mapping: Mapping
    zone: ZoneInfo
    today: date | None


@dataclass
class Row:
    """The cells of one row by role, and a place to name what is wrong with them."""

    number: int
    cells: list[str]
    reading: Reading
    found: Found

    def text(self, role: str) -> str:
        """The cell of a role without the guard an export puts before formulas."""
        at = self.reading.mapping.columns.get(role)
        cell = self.cells[at] if at is not None and at < len(self.cells) else ""
        bare = cell.lstrip("'")
        return cell[1:] if cell[:1] == "'" and bare.startswith(GUARDED) else cell

    def header(self, role: str) -> str:
        at = self.reading.mapping.columns.get(role)
        headers = self.reading.mapping.headers
        return headers[at] if at is not None and at < len(headers) else role

    def refuse(self, role: str, reason: str, remedy: str, value: str | None = None) -> None:
        shown_value = shown(self.text(role) if value is None else value)
        self.found.rejected.append(
            Rejected(self.number, shown(self.header(role)), shown_value, reason, remedy)
        )

    def tried(self, role: str, read: Callable[[], T]) -> T | None:
        """What `read` returns; a refusal or a question is noted and gives None."""
        try:
            return read()
        except Unclear as unclear:
            self.ask(unclear.question)
        except FormatError as error:
            self.refuse(role, error.reason, error.remedy)
        return None

    def ask(self, question: Question) -> None:
        self.found.questions.setdefault(question.key, question)


def load_of(row: Row) -> LoadRow | None:
    """The load of a row, or None when something in it was refused or must be asked."""
    before = len(row.found.rejected)
    _refuse_surplus(row)
    start = _start(row)
    started_at, time_known = start or (None, False)
    ended_at = _end(row, started_at)
    incorporated_at = _incorporated(row, started_at)
    amount = _amount(row)
    if not row.text("field"):
        row.refuse("field", "The row names no field.", "Enter the field's number or name.")
    if started_at is None or amount is None or len(row.found.rejected) > before:
        return None
    return LoadRow(
        row_number=row.number,
        started_at=started_at,
        ended_at=ended_at,
        field_label=row.text("field"),
        storage_label=row.text("storage"),
        spreader_label=row.text("spreader"),
        driver=row.text("driver"),
        method=row.text("method"),
        amount_text=amount.text,
        amount=amount.number,
        amount_unit=amount.unit,
        amount_kind=UNIT_KINDS[amount.unit],
        loads_counted=amount.loads,
        incorporated_at=incorporated_at,
        ground=row.text("ground"),
        note=row.text("note"),
        measured_by=row.text("measured_by"),
        per_load=amount.per_load,
        time_known=time_known,
    )


def _refuse_surplus(row: Row) -> None:
    headers = len(row.reading.mapping.headers)
    surplus = [cell for cell in row.cells[headers:] if cell]
    if surplus:
        row.found.rejected.append(
            Rejected(
                row.number,
                "",
                shown(surplus[0]),
                f"The row has {len(row.cells)} cells, the headings are {headers}.",
                "A number such as 4,500 or a name with a comma must stand in quotation marks.",
            )
        )


def _start(row: Row) -> tuple[datetime, bool] | None:
    mapping, zone = row.reading.mapping, row.reading.zone
    role = "started_at" if row.text("started_at") else "date"
    if not row.text(role):
        row.refuse(role, "The row has no day.", "Enter the day the load was spread.")
        return None
    clock_text = row.text("start_time") if role == "date" else ""

    def read() -> tuple[datetime, bool]:
        if clock_text:
            day = parse_day(_only_day(row.text(role)), mapping.date_order)
            return at_local(day, parse_time(clock_text), zone, mapping.hour_twice), True
        return parse_moment(row.text(role), zone, mapping.date_order, mapping.hour_twice)

    start = row.tried("start_time" if clock_text and _is_day(row, role) else role, read)
    if start and row.reading.today:
        today = row.reading.today
        row.tried(role, lambda: day_not_after(start[0], today, zone))
    return start


def _is_day(row: Row, role: str) -> bool:
    try:
        parse_day(_only_day(row.text(role)), row.reading.mapping.date_order)
    except FormatError:
        return False
    return True


def _only_day(text: str) -> str:
    """A date cell as spreadsheets export it, without an empty time of day behind it."""
    for ending in (" 00:00:00", " 0:00:00", " 00:00", " 0:00", " 12:00:00 AM", " 12:00 AM"):
        if text.endswith(ending):
            return text.removesuffix(ending)
    return text


def _end(row: Row, started_at: datetime | None) -> datetime | None:
    mapping, zone = row.reading.mapping, row.reading.zone
    role = "ended_at" if row.text("ended_at") else "end_time"
    text = row.text(role)
    if not text:
        return None

    def read() -> datetime:
        if role == "ended_at":
            return parse_moment(text, zone, mapping.date_order, mapping.hour_twice)[0]
        if started_at is None:
            parse_time(text)
            raise FormatError("The end has no day to stand on.", "Mend the day of the row first.")
        day = started_at.astimezone(zone).date()
        return at_local(day, parse_time(text), zone, mapping.hour_twice)

    ended_at = row.tried(role, read)
    if ended_at is None or started_at is None or ended_at >= started_at:
        return ended_at
    row.refuse(
        role,
        f"The load would end before it started ({started_at:%Y-%m-%d %H:%M}).",
        "If it went past midnight, write the end with its day; else correct one of the times.",
    )
    return None


def _incorporated(row: Row, started_at: datetime | None) -> datetime | None:
    text = row.text("incorporated_at")
    if not text or text.casefold() in {"no", "n", "none", "-"}:
        return None
    mapping, zone = row.reading.mapping, row.reading.zone

    def read() -> datetime:
        moment, known = parse_moment(text, zone, mapping.date_order, mapping.hour_twice)
        if not known:
            raise FormatError(
                "Incorporation needs its time of day.", "Write day and time, like 2025-03-04 16:30."
            )
        return moment

    moment = row.tried("incorporated_at", read)
    if moment and started_at and moment.astimezone(UTC) < started_at.astimezone(UTC):
        row.refuse("incorporated_at", "It lies before the load started.", "Correct one of the two.")
    return moment


@dataclass(frozen=True)
class _Amount:
    text: str
    number: Decimal
    unit: str
    loads: int | None
    per_load: bool


def _amount(row: Row) -> _Amount | None:
    loads = _loads(row)
    role = "amount" if row.text("amount") else "amount_per_load"
    cell = row.text(role)
    if not cell and loads:
        return _Amount(str(loads), Decimal(loads), "load", loads, False)
    if not cell:
        has = "amount" if "amount" in row.reading.mapping.columns else role
        row.refuse(has, "The row has no amount.", "Enter the amount that was spread.")
        return None
    digits, cell_unit = number_part(cell)
    unit = _unit(row, role, cell_unit)
    comma = row.reading.mapping.decimal_comma
    number = row.tried(role, lambda: parse_decimal(digits, comma))
    if number is None or not unit:
        return None
    if number <= 0:
        row.refuse(
            role, "A load's amount is above zero.", "Enter the amount, or leave the row out."
        )
        return None
    if is_absurd(number, unit):
        row.refuse(role, f"{number:,} {unit} in one row is more than any crew could move.",
                   "Check the number, the unit and the decimal sign.")  # fmt: skip
        return None
    per_load = role == "amount_per_load"
    if per_load and loads is None:
        loads = 1
    return _Amount(f"{number:f}" if comma else digits, number, unit, loads, per_load)


def _loads(row: Row) -> int | None:
    if not row.text("loads"):
        return None
    number = row.tried("loads", lambda: parse_decimal(row.text("loads"), False))
    if number is None:
        return None
    if number != int(number) or not 0 < number <= MOST_LOADS_COUNTED:
        row.refuse(
            "loads",
            f"A count of loads is a whole number from 1 to {MOST_LOADS_COUNTED:,}.",
            "Enter part loads as an amount instead.",
        )
        return None
    return int(number)


def _unit(row: Row, role: str, cell_unit: str) -> str:
    """The unit of a row: from the cell, the unit column, the heading or the answer given."""
    whole_file = row.reading.mapping.amount_unit or unit_named(row_unit_name(row, role))
    own = cell_unit or row.text("unit")
    if not own:
        if not whole_file:
            row.ask(unit_question(row_unit_name(row, role)))
        return whole_file
    named = unit_named(own)
    if not named:
        row.refuse(
            role if cell_unit else "unit",
            f"“{shown(own)}” is not a unit known here, or can mean two.",
            "Write gal, 1000 gal, ton, lb or another unit in full.",
            own,
        )
    elif (
        cell_unit
        and whole_file
        and named != whole_file
        and "unit" not in row.reading.mapping.columns
    ):
        row.refuse(role, f"The cell says {named}, the heading {whole_file}.", "Make them agree.")
        return ""
    return named


def row_unit_name(row: Row, role: str) -> str:
    """The doubtful unit name in the heading of an amount, for the question about it."""
    return role_of(row.header(role))[1]
