"""Daily station records of the Global Historical Climatology Network (GHCN-Daily).

Three forms are read: fixed width `.dly`, CSV without headings (by year or by station), and CSV
with one column per element. Units of the first two, by the publisher's readme: PRCP, WESD and
MDPR in tenths of mm, TMAX and TMIN in tenths of °C, AWND in tenths of m/s, SNOW and SNWD in mm;
missing is -9999. A value with any quality flag failed a check and counts as missing.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from farmrecords.formats.common import (
    MAX_COLUMNS,
    Answers,
    Choice,
    FormatError,
    Question,
    ReadResult,
    Rejected,
    shown,
)
from farmrecords.formats.moments import parse_day
from farmrecords.formats.numerals import plain_float
from farmrecords.formats.text import decode_text
from farmrecords.formats.weather_days import MOST_DAYS, DayValues, WeatherRow, hour_of

# element -> attribute of WeatherRow and what one unit of the file is in its unit
ELEMENTS = {
    "PRCP": ("precipitation_mm", 0.1),
    "MDPR": ("several_days_mm", 0.1),
    "TMAX": ("max_temp_c", 0.1),
    "TMIN": ("min_temp_c", 0.1),
    "SNOW": ("snowfall_mm", 1.0),
    "SNWD": ("snow_depth_mm", 1.0),
    "WESD": ("snow_water_mm", 0.1),
    "AWND": ("wind_m_per_s", 0.1),
}
MISSING = "-9999"
MOST_REFUSALS_NAMED = 200
# Beyond these a value cannot be weather; world records are 1,825 mm in a day and -89 to 57 °C
# [memory], rounded outward.
_RANGES = {"_mm": (0.0, 15_000.0), "_c": (-100.0, 70.0), "_s": (0.0, 150.0)}


@dataclass
class _Sheet:
    days: dict[tuple[str, date], DayValues] = field(default_factory=dict)
    rejected: list[Rejected] = field(default_factory=list)
    refused: int = 0

    def refuse(self, row: int, column: str, value: str, reason: str, remedy: str) -> None:
        self.refused += 1
        if self.refused <= MOST_REFUSALS_NAMED:
            self.rejected.append(Rejected(row, column, shown(value), reason, remedy))

    def day(self, station: str, on: date, row: int) -> DayValues:
        if (station, on) not in self.days and len(self.days) >= MOST_DAYS:
            raise FormatError(
                f"The file has more than {MOST_DAYS:,} days.", "Choose fewer stations or years."
            )
        return self.days.setdefault((station, on), DayValues(row))


def read_ghcn(data: bytes, *, answers: Answers | None = None) -> ReadResult[WeatherRow]:
    """The days of a GHCN-Daily file of any of the three forms.

    CSV with headings comes in several units; unless the answer `units` says which (tenths,
    metric or us), it is asked.
    """
    text, _, notes = decode_text(data)
    first = text.lstrip("\r\n").partition("\n")[0]
    sheet = _Sheet()
    if "," not in first[:30] and first[11:17].isdigit() and len(first) > 40:
        _read_fixed(text, sheet)
    elif "DATE" in [cell.strip(' "').upper() for cell in first.split(",")[:50]]:
        units = (answers or {}).get("units", "")
        if units not in _UNITS:
            return ReadResult([], [], notes, [_units_question()])
        _read_columns(text, sheet, units)
    else:
        _read_lines(text, sheet)
    items = [values.row(*key) for key, values in sorted(sheet.days.items())]
    if not items and not sheet.rejected:
        raise FormatError("The file holds no weather days.", "Check that this is the right file.")
    if sheet.refused > MOST_REFUSALS_NAMED:
        notes.append(f"{sheet.refused - MOST_REFUSALS_NAMED:,} more values were refused.")
    failed = sum(len(row.failed) for row in items)
    if failed:
        notes.append(f"{failed:,} values failed the publisher's checks and count as missing.")
    hours = sorted({f"{row.observed_at:%H:%M}" for row in items if row.observed_at})
    if hours:
        notes.append(f"The station's day ends at {', '.join(hours[:4])}, not at midnight.")
    return ReadResult(items, sheet.rejected, notes)


def _read_fixed(text: str, sheet: _Sheet) -> None:
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        station, year, month = line[:11].strip(), line[11:15], line[15:17]
        if not (year.isdigit() and month.isdigit() and year.isascii() and month.isascii()):
            sheet.refuse(number, "", line, "The line has no year and month.", "Download it again.")
            continue
        element = line[17:21]
        if element not in ELEMENTS:
            continue
        for day in range(31):
            cell = line[21 + 8 * day : 29 + 8 * day]
            value = cell[:5].strip()
            if not value or value == MISSING:
                continue
            _keep(sheet, number, station, f"{year}{month}{day + 1:02d}", element, value, cell[5:])


def _read_lines(text: str, sheet: _Sheet) -> None:
    for number, cells in _csv_rows(text):
        if len(cells) < 4:
            sheet.refuse(number, "", ",".join(cells), "The line has too few values.",
                         "Lines read: station, day, element, value, flags.")  # fmt: skip
            continue
        station, day, element, value = (cell.strip() for cell in cells[:4])
        if element not in ELEMENTS or value in ("", MISSING):
            continue
        flags = "".join(cell.strip()[:1] or " " for cell in [*cells[4:7], "", "", ""][:3])
        hour = cells[7].strip() if len(cells) > 7 else ""
        _keep(sheet, number, station, day, element, value, flags, hour)


_UNITS = ("tenths", "metric", "us")


def _read_columns(text: str, sheet: _Sheet, units: str) -> None:
    rows = _csv_rows(text)
    headings = [cell.strip().upper() for cell in next(rows)[1]]
    for number, cells in rows:
        row = dict(zip(headings, (cell.strip() for cell in cells), strict=False))
        for element in ELEMENTS:
            value = row.get(element, "")
            if not value or value == MISSING:
                continue
            flags = [f.strip()[:1] or " " for f in row.get(f"{element}_ATTRIBUTES", "").split(",")]
            hour = row.get(f"{element}_ATTRIBUTES", "").split(",")[3:4]
            _keep(
                sheet, number, row.get("STATION", ""), row.get("DATE", ""), element, value,
                "".join([*flags, " ", " ", " "][:3]), (hour or [""])[0].strip(), units,
            )  # fmt: skip


def _csv_rows(text: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    number = 0
    try:
        for number, cells in enumerate(reader, 1):
            if any(cells):
                yield number, cells[:MAX_COLUMNS]
    except csv.Error as error:
        raise FormatError(
            f"Line {number + 1} cannot be divided ({error}).", "Download the file again."
        ) from None


def _keep(
    sheet: _Sheet, row: int, station: str, day: str, element: str, value: str, flags: str,
    hour: str = "", units: str = "",
) -> None:  # fmt: skip
    """Put one value to its day, or name it as refused."""
    try:
        on = parse_day(day)
    except FormatError as error:
        sheet.refuse(row, "date", day, error.reason, "Download the file again.")
        return
    number = plain_float(value)
    attribute, factor = ELEMENTS[element]
    if number is None:
        sheet.refuse(row, element, value, "This is no number.", "Download the file again.")
        return
    values = sheet.day(station[:40], on, row)
    if flags[1:2].strip():
        values.failed.append(element)
        return
    amount = _in_unit(number, attribute, factor, units)
    low, high = next(limits for end, limits in _RANGES.items() if attribute.endswith(end))
    if not low <= amount <= high:
        sheet.refuse(row, element, value, "No weather has such a value.", "Check the units.")
        return
    values.values[attribute] = amount
    values.trace = values.trace or (element == "PRCP" and flags[:1] == "T")
    values.observed_at = values.observed_at or hour_of(hour)


def _in_unit(number: float, attribute: str, factor: float, units: str) -> float:
    """A number of the file in the unit of the attribute."""
    if units == "metric":
        return number
    if units == "us":
        if attribute.endswith("_c"):
            return (number - 32) * 5 / 9
        return number * (0.44704 if attribute.endswith("_s") else 25.4)
    # dividing tenths is exact where multiplying by 0.1 is not
    return number / 10 if factor == 0.1 else number


def _units_question() -> Question:
    return Question(
        key="units",
        asked="In which units was this file ordered?",
        choices=(
            Choice("tenths", "as in the archive: tenths of mm and of °C"),
            Choice("metric", "metric: mm and °C"),
            Choice("us", "standard: inches and °F"),
        ),
    )
