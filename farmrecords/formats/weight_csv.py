"""The log of a spreader's scale as CSV: a moment, a place and a weight (or its cells) in each row.

Headings in any order: a moment (or a day and a time), latitude, longitude, and either one weight or
one column per weigh cell. The unit stands in the heading or is asked. A row without weight is kept
as a place; a cell that is empty or a word is a weight nobody read, never zero. Figures may group
thousands (“12,450”) or have a decimal comma; where that is not clear it is asked, and a figure that
is no number refuses its row.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from farmrecords.formats.common import (
    MAX_COLUMNS,
    MAX_TRACK_POINTS,
    Answers,
    Choice,
    FormatError,
    Question,
    ReadResult,
    Rejected,
    Unclear,
    shown,
)
from farmrecords.formats.moments import at_local, day_not_after, parse_moment, zone_of
from farmrecords.formats.numerals import parse_decimal, plain_float, style_of
from farmrecords.formats.text import decode_text

DELIMITERS = (",", ";", "\t", "|")
MOST_CELLS = 12
MOST_TITLE_ROWS = 20
MOST_REFUSED = 100
UNITS = {
    "lb": "lb", "lbs": "lb", "pounds": "lb", "kg": "kg", "ton": "ton", "tons": "ton",
    "tonne": "tonne", "t": "tonne", "gal": "gal", "gallons": "gal", "l": "L",
}  # fmt: skip
_ROLES = {
    "moment": "time|timestamp|date time|datetime|utc|moment|time utc|utc time|hora|fecha y hora",
    "date": "date|day|fecha",
    "clock": "clock|time of day|local time",
    "lat": "lat|latitude|latitud",
    "lon": "lon|long|lng|longitude|longitud",
    "weight": "weight|net|net weight|gross|gross weight|mass|load|scale|level|peso",
}
_ROLE = {name: role for role, names in _ROLES.items() for name in names.split("|")}
_CELLS = {"cell", "axle", "tongue", "hitch", "loadcell"}


@dataclass(frozen=True)
class WeightSeries:
    """The readings of one scale: moments in seconds from `base` (UTC), places, weights.

    `cells` holds one list per weigh cell; a single weight is one cell. NaN stands for not read.
    """

    base: datetime
    at_s: list[float]
    lon: list[float]
    lat: list[float]
    cells: dict[str, list[float]]
    unit: str


@dataclass
class _Sheet:
    columns: dict[str, int]
    cells: dict[str, int]
    headings: list[str]
    zone: ZoneInfo
    order: str
    which: str
    comma: bool | None = None
    offsets: dict[tuple[date, int], timedelta] = field(default_factory=dict)
    rejected: list[Rejected] = field(default_factory=list)
    questions: dict[str, Question] = field(default_factory=dict)


def read_weight_log(
    data: bytes, *, zone: str, answers: Answers | None = None, today: date | None = None
) -> ReadResult[WeightSeries]:
    """The readings of a scale's CSV file, as the only item.

    Questions: `weight_unit` where the heading names none, `decimal_comma`, `date_order`,
    `hour_twice`.
    """
    given = answers or {}
    text, _, notes = decode_text(data)
    delimiter, start, headings = _top(text)
    columns, cells, units = _columns(headings)
    if left := _not_read(headings, columns, cells):
        notes.append(f"Columns that were not read: {', '.join(left)}.")
    unit = UNITS.get(given.get("weight_unit", "").lower(), "") or (
        units.pop() if len(units) == 1 else ""
    )
    sheet = _Sheet(
        columns,
        cells,
        headings,
        zone_of(zone),
        given.get("date_order", ""),
        given.get("hour_twice", ""),
    )
    sheet.comma = _decimal_comma(text, delimiter, sheet, given.get("decimal_comma", ""))
    series = _read(_rows(text, delimiter), start, sheet, unit, today)
    questions = list(sheet.questions.values())
    if not unit:
        questions.append(_unit_question(headings[next(iter(cells.values()))]))
    items = [series] if series is not None else []
    if not items and not sheet.rejected and not questions:
        raise FormatError("The file has headings but no readings.", "Check the file.")
    return ReadResult(items, sheet.rejected, notes, questions)


def _top(text: str) -> tuple[str, int, list[str]]:
    """The delimiter, the number of the first row of readings, and the headings above it."""
    best: tuple[int, str, int] | None = None
    head = io.StringIO(text[:20_000], newline=None).read().split("\n")[:MOST_TITLE_ROWS]
    for delimiter in DELIMITERS:
        for at, line in enumerate(head):
            known = _known(line.split(delimiter))
            if known >= 2 and (best is None or known > best[0]):
                best = (known, delimiter, at)
    if best is None:
        raise FormatError(
            "No row of headings names a time and a weight.",
            "Name the columns, for example: Time, Latitude, Longitude, Weight (lb).",
        )
    _known_cells, delimiter, at = best
    for number, cells in enumerate(_rows(text, delimiter)):
        if number == at:
            return delimiter, at + 1, cells
    raise FormatError("The file has headings but no readings.", "Check the file.")


def _rows(text: str, delimiter: str) -> Iterator[list[str]]:
    """The rows one by one; a long log is never held as cells as a whole."""
    number = 0
    try:
        for cells in csv.reader(io.StringIO(text, newline=None), delimiter=delimiter):
            if number > MAX_TRACK_POINTS + MOST_TITLE_ROWS or len(cells) > MAX_COLUMNS:
                raise FormatError(
                    f"The log has more than {MAX_TRACK_POINTS:,} rows or {MAX_COLUMNS} columns.",
                    "Split it, for example by week.",
                )
            number += 1
            yield cells
    except csv.Error as error:
        raise FormatError(
            f"Row {number + 1} cannot be divided into cells ({error}).", "Export the log again."
        ) from None


def _known(cells: list[str]) -> int:
    roles = {role for cell in cells[:MAX_COLUMNS] if (role := _role_of(cell)[0])}
    return len(roles)


def _role_of(heading: str) -> tuple[str, str]:
    """The role of a heading and the unit in it."""
    plain = " ".join(heading.casefold().replace("_", " ").strip('" \ufeff').split())
    words, mark, unit = plain.partition("(")
    unit = unit.rstrip(") ").strip()
    if not mark and plain.rpartition(" ")[2] in UNITS:
        words, _, unit = plain.rpartition(" ")
    words = words.strip(" ,")
    if words in _ROLE:
        return _ROLE[words], UNITS.get(unit, "")
    if _CELLS & {word.rstrip("0123456789") for word in words.split()}:
        return "cell", UNITS.get(unit, "")
    return "", ""


def _columns(headings: list[str]) -> tuple[dict[str, int], dict[str, int], set[str]]:
    columns: dict[str, int] = {}
    cells: dict[str, int] = {}
    units: set[str] = set()
    for position, heading in enumerate(headings):
        role, unit = _role_of(heading)
        if role == "cell":
            cells[shown(heading)] = position
            units |= {unit}
        elif role:
            columns.setdefault(role, position)
            if role == "weight":
                units |= {unit}
    if "weight" in columns:
        # a total beside its cells is their sum; the total alone is read
        cells = {shown(headings[columns["weight"]]): columns["weight"]}
    if not cells or len(cells) > MOST_CELLS or not {"moment", "date"} & set(columns):
        raise FormatError(
            "The headings name no time, no weight, or too many weigh cells.",
            "Name the columns, for example: Time, Latitude, Longitude, Weight (lb).",
        )
    return columns, cells, units - {""}


def _not_read(headings: list[str], columns: dict[str, int], cells: dict[str, int]) -> list[str]:
    """Headings of columns nothing was taken from; a weigh cell must not be missing unseen."""
    used = {*columns.values(), *cells.values()}
    return [shown(h) for i, h in enumerate(headings) if i not in used and h.strip()][:20]


def _read(
    rows: Iterator[list[str]], start: int, sheet: _Sheet, unit: str, today: date | None
) -> WeightSeries | None:
    moments: list[datetime] = []
    places: tuple[list[float], list[float]] = ([], [])
    weights: dict[str, list[float]] = {name: [] for name in sheet.cells}
    for number, cells in enumerate(rows, 1):
        if number <= start or not any(cell.strip() for cell in cells):
            continue
        moment = _moment(number, cells, sheet)
        if moment is None:
            if len(sheet.rejected) >= MOST_REFUSED or sheet.questions:
                return None
            continue
        moments.append(moment)
        for into, role, most in ((places[0], "lon", 180.0), (places[1], "lat", 90.0)):
            into.append(_degrees(number, cells, sheet, sheet.columns.get(role), most))
        for name, at in sheet.cells.items():
            weights[name].append(_number(number, cells, sheet, at))
        if len(sheet.rejected) >= MOST_REFUSED:
            return None
    if not moments or sheet.rejected or sheet.questions:
        return None
    if today is not None:
        day_not_after(max(moments), today, sheet.zone)
    base = min(moments)
    at_s = [(moment - base).total_seconds() for moment in moments]
    lon, lat = places
    return WeightSeries(base, at_s, lon, lat, weights, unit)


def _decimal_comma(text: str, delimiter: str, sheet: _Sheet, given: str) -> bool | None:
    """Whether the comma is the decimal sign, from the answer or the figures; None when unclear."""
    if given in ("comma", "point"):
        return given == "comma"
    if "," not in text or (delimiter == "," and '"' not in text):
        return None
    columns = sheet.cells.values()
    found = {
        style_of(row[at])
        for row in _rows(text, delimiter)
        for at in columns
        if at < len(row) and "," in row[at]
    }
    clear = found - {None}
    return clear.pop() if len(clear) == 1 else None


def _number(number: int, cells: list[str], sheet: _Sheet, at: int | None) -> float:
    """The figure of a cell; NaN where there is none or a word, and where its row is refused."""
    text = cells[at].strip() if at is not None and at < len(cells) else ""
    plain = plain_float(text) if not sheet.comma else None
    if plain is not None:
        return plain
    if not any(sign.isnumeric() for sign in text) or text[0].isalpha():
        return math.nan
    try:
        return float(parse_decimal(text, sheet.comma))
    except Unclear as unclear:
        sheet.questions.setdefault(unclear.question.key, unclear.question)
    except FormatError as error:
        heading = shown(sheet.headings[at or 0])
        sheet.rejected.append(Rejected(number, heading, shown(text), error.reason, error.remedy))
    return math.nan


def _degrees(number: int, cells: list[str], sheet: _Sheet, at: int | None, most: float) -> float:
    """Degrees with a point or a comma; NaN where there is no place, or none on the earth."""
    text = cells[at].strip() if at is not None and at < len(cells) else ""
    degrees = plain_float(text.replace(",", ".", 1))
    if degrees is None:
        if any(sign.isnumeric() for sign in text) and not text[0].isalpha():
            sheet.rejected.append(
                Rejected(
                    number, shown(sheet.headings[at or 0]), shown(text),
                    "The place is not in decimal degrees.", "Export it like 43.0731 or -89.4012.",
                )
            )  # fmt: skip
        return math.nan
    return degrees if abs(degrees) <= most and degrees != 0 else math.nan


def _moment(number: int, cells: list[str], sheet: _Sheet) -> datetime | None:
    """The moment of a row in UTC; None when it is refused or must be asked."""
    at = sheet.columns.get("moment", sheet.columns.get("date", 0))
    text = cells[at].strip() if at < len(cells) else ""
    clock = sheet.columns.get("clock") if "date" in sheet.columns else None
    if "date" in sheet.columns and "moment" in sheet.columns:
        day = sheet.columns["date"]
        text = f"{cells[day].strip() if day < len(cells) else ''} {text}"
    elif clock is not None:
        text = f"{text} {cells[clock].strip() if clock < len(cells) else ''}"
    try:
        return _quick(text, sheet) or _careful(text, sheet)
    except Unclear as unclear:
        sheet.questions.setdefault(unclear.question.key, unclear.question)
    except FormatError as error:
        sheet.rejected.append(
            Rejected(number, shown(sheet.headings[at]), shown(text), error.reason, error.remedy)
        )
    return None


def _quick(text: str, sheet: _Sheet) -> datetime | None:
    """A moment written as 2026-04-20 07:00:01, with or without its distance from UTC."""
    if not (16 <= len(text) <= 40 and text.isascii() and text[4] == "-"):
        return None
    try:
        moment = datetime.fromisoformat(text)
        if moment.tzinfo is not None:
            return moment.astimezone(UTC)
        return (moment - _offset(moment, sheet)).replace(tzinfo=UTC)
    except (ValueError, OverflowError):
        return None


def _offset(moment: datetime, sheet: _Sheet) -> timedelta:
    """The distance from UTC in the hour of a local moment; looked up once an hour."""
    key = (moment.date(), moment.hour)
    if key not in sheet.offsets:
        start = moment.replace(minute=0, second=0, microsecond=0)
        fixed = at_local(start.date(), start.time(), sheet.zone, sheet.which)
        sheet.offsets[key] = fixed.utcoffset() or timedelta()
    return sheet.offsets[key]


def _careful(text: str, sheet: _Sheet) -> datetime:
    moment, has_time = parse_moment(text, sheet.zone, sheet.order, sheet.which)
    if not has_time:
        raise FormatError("The row tells no time of day.", "Export the log with times.")
    return moment.astimezone(UTC)


def _unit_question(heading: str) -> Question:
    return Question(
        key="weight_unit",
        asked=f"The heading “{shown(heading)}” names no unit. Which one is it?",
        choices=(
            Choice("lb", "pounds"), Choice("kg", "kilograms"), Choice("ton", "tons (2,000 lb)"),
            Choice("tonne", "metric tons"), Choice("gal", "gallons"), Choice("L", "litres"),
        ),
    )  # fmt: skip
