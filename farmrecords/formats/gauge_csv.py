"""A farm's own rain gauge or weather station as CSV: a day a row, the unit in the heading."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from farmrecords.formats.common import (
    Answers,
    Choice,
    FormatError,
    Question,
    ReadResult,
    Rejected,
    Unclear,
    shown,
)
from farmrecords.formats.load_table import MOST_TITLE_ROWS, read_table
from farmrecords.formats.moments import date_question, order_of, parse_day
from farmrecords.formats.numerals import parse_decimal, style_of
from farmrecords.formats.weather_days import DayValues, WeatherRow

_HEADINGS = {
    "date": "date|day|fecha|dia",
    "precipitation_mm": "rain|rainfall|precip|precipitation|rain total|daily rain|lluvia",
    "max_temp_c": "max temp|high|high temp|temp max|max|max temperature|temperatura maxima",
    "min_temp_c": "min temp|low|low temp|temp min|min|min temperature|temperatura minima",
    "snowfall_mm": "snow|snowfall|nieve",
    "snow_depth_mm": "snow depth|snow on ground",
    "wind_m_per_s": "wind|wind speed|average wind|avg wind|viento",
}
_ROLE = {name: role for role, names in _HEADINGS.items() for name in names.split("|")}
_DIMENSION = {"mm": "length", "c": "temperature", "s": "speed"}
# unit in the heading -> (dimension, factor, offset) to mm, °C or m/s
_UNITS = {
    "in": ("length", 25.4, 0.0),
    "inch": ("length", 25.4, 0.0),
    "inches": ("length", 25.4, 0.0),
    '"': ("length", 25.4, 0.0),
    "mm": ("length", 1.0, 0.0),
    "cm": ("length", 10.0, 0.0),
    "f": ("temperature", 5 / 9, -160 / 9),
    "°f": ("temperature", 5 / 9, -160 / 9),
    "c": ("temperature", 1.0, 0.0),
    "°c": ("temperature", 1.0, 0.0),
    "mph": ("speed", 0.44704, 0.0),
    "km/h": ("speed", 1 / 3.6, 0.0),
    "m/s": ("speed", 1.0, 0.0),
}
_CHOICES = {
    "length": (Choice("in", "inches"), Choice("mm", "millimetres")),
    "temperature": (Choice("f", "°F"), Choice("c", "°C")),
    "speed": (Choice("mph", "miles an hour"), Choice("km/h", "km/h"), Choice("m/s", "m/s")),
}
_BLANK = frozenset({"", "m", "-", "--", "na", "n/a", "missing"})
_TRACE = frozenset({"t", "tr", "trace", "traza"})
# World records are 1,825 mm of rain in a day and -89 to 57 °C [memory], rounded outward.
_LIMITS = {"length": (0.0, 15_000.0), "temperature": (-100.0, 70.0), "speed": (0.0, 150.0)}


@dataclass
class _Sheet:
    answers: Answers
    headings: list[str]
    columns: dict[str, int]
    units: dict[str, str]
    order: str
    comma: bool | None
    rejected: list[Rejected] = field(default_factory=list)
    questions: dict[str, Question] = field(default_factory=dict)


def read_gauge(
    data: bytes, *, station: str = "own gauge", answers: Answers | None = None
) -> ReadResult[WeatherRow]:
    """The days of a gauge's CSV file.

    Questions: `date_order`, `decimal_comma`, and `unit_length`, `unit_temperature`, `unit_speed`
    where the heading names no unit. An empty cell is missing, a “T” is a trace.
    """
    table = read_table(data, known=_known)
    top = table.rows[:MOST_TITLE_ROWS]
    if not top:
        raise FormatError("The file has no rows.", "Check that this is the right file.")
    number, headings = max(top, key=lambda row: _known(row[1]))
    body = [row for row in table.rows if row[0] > number]
    sheet = _sheet(headings, [cells for _, cells in body], answers or {})
    days: dict[date, DayValues] = {}
    for row, cells in body:
        _read_row(row, cells, sheet, days)
    items = [values.row(station, on) for on, values in sorted(days.items())]
    if not items and not sheet.rejected and not sheet.questions:
        raise FormatError("The file has headings but no days.", "Check the file.")
    return ReadResult(items, sheet.rejected, table.notes, list(sheet.questions.values()))


def _known(cells: list[str]) -> int:
    return len({role for cell in cells if (role := _role_of(cell)[0])})


def _role_of(heading: str) -> tuple[str, str]:
    """The role of a heading and the unit in it."""
    plain = " ".join(heading.casefold().replace("_", " ").replace("á", "a").split())
    words, mark, unit = plain.partition("(")
    unit = unit.rstrip(") ").strip()
    if not mark:
        head, _, last = plain.rpartition(" ")
        words, unit = (head, last.rstrip(".")) if last.rstrip(".") in _UNITS else (plain, "")
    return _ROLE.get(words.strip(" ,"), ""), unit


def _sheet(headings: list[str], body: list[list[str]], answers: Answers) -> _Sheet:
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    for position, heading in enumerate(headings):
        role, unit = _role_of(heading)
        if role and role not in columns:
            columns[role], units[role] = position, unit
    if "date" not in columns or len(columns) < 2:
        raise FormatError(
            "The headings name no day or no weather.",
            "Name the columns, for example: Date, Rain (in), High (F), Low (F).",
        )
    orders = {o for c in body if (o := order_of((c + [""] * 99)[columns["date"]]))}
    styles = {
        style
        for cells in body
        for role, at in columns.items()
        if role != "date" and at < len(cells) and (style := style_of(cells[at])) is not None
    }
    comma_answer = answers.get("decimal_comma", "")
    comma = comma_answer == "comma" if comma_answer else None
    if comma is None and len(styles) == 1:
        comma = styles.pop()
    order = answers.get("date_order", "") or (orders.pop() if len(orders) == 1 else "")
    return _Sheet(answers, headings, columns, units, order, comma)


def _read_row(row: int, cells: list[str], sheet: _Sheet, days: dict[date, DayValues]) -> None:
    padded = cells + [""] * len(sheet.headings)
    try:
        on = parse_day(padded[sheet.columns["date"]], sheet.order)
    except Unclear:
        question = date_question((padded[sheet.columns["date"]],))
        sheet.questions.setdefault(question.key, question)
        return
    except FormatError as error:
        _refuse(sheet, row, "date", padded, error)
        return
    if on in days:
        twice = FormatError(
            f"The day stands in row {days[on].row_number} too.", "Keep one of them."
        )
        _refuse(sheet, row, "date", padded, twice)
        return
    days[on] = DayValues(row)
    for role in sheet.columns:
        if role != "date":
            _read_cell(row, role, padded, sheet, days[on])


def _read_cell(row: int, role: str, cells: list[str], sheet: _Sheet, values: DayValues) -> None:
    text = cells[sheet.columns[role]].strip()
    dimension = _DIMENSION[role.rpartition("_")[2]]
    if text.casefold() in _BLANK:
        return
    if text.casefold() in _TRACE and dimension == "length":
        values.values[role] = 0.0
        values.trace = values.trace or role == "precipitation_mm"
        return
    unit = sheet.units[role] or sheet.answers.get(f"unit_{dimension}", "")
    if not unit:
        question = _unit_question(dimension, sheet.headings[sheet.columns[role]])
        sheet.questions.setdefault(question.key, question)
        return
    try:
        values.values[role] = _converted(text, unit, dimension, sheet.comma)
    except Unclear as unclear:
        sheet.questions.setdefault(unclear.question.key, unclear.question)
    except FormatError as error:
        _refuse(sheet, row, role, cells, error)


def _converted(text: str, unit: str, dimension: str, comma: bool | None) -> float:
    kind, factor, offset = _UNITS.get(unit, ("", 0.0, 0.0))
    if kind != dimension:
        raise FormatError(f"“{shown(unit)}” is no unit for this column.", "Mend the heading.")
    amount = float(parse_decimal(text, comma)) * factor + offset
    low, high = _LIMITS[dimension]
    if not low <= amount <= high:
        raise FormatError("No weather has such a value.", "Check the number and the unit.")
    return amount


def _unit_question(dimension: str, heading: str) -> Question:
    asked = f"The heading “{shown(heading)}” names no unit. Which one is it?"
    return Question(f"unit_{dimension}", asked, _CHOICES[dimension])


def _refuse(sheet: _Sheet, row: int, role: str, cells: list[str], error: FormatError) -> None:
    at = sheet.columns[role]
    sheet.rejected.append(
        Rejected(row, shown(sheet.headings[at]), shown(cells[at]), error.reason, error.remedy)
    )
