"""Daily weather: what a row says, whichever file it comes from.

A value that is missing is None, never zero; a trace is zero with `trace` set. The day of a station
that is read in the morning ends at that hour, so rain “on” a day may have fallen the day before;
`observed_at` keeps the hour so that pages can say it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, time
from typing import Any

MM_PER_INCH = 25.4
MOST_DAYS = 60_000


@dataclass(frozen=True, slots=True)
class WeatherRow:
    """One day at one station, in the units of the names.

    `failed` names the values the publisher's own checks refused; they are None here.
    `several_days_mm` is a total gathered over several days that end on `on`.
    """

    station: str
    on: date
    precipitation_mm: float | None = None
    trace: bool = False
    several_days_mm: float | None = None
    max_temp_c: float | None = None
    min_temp_c: float | None = None
    snowfall_mm: float | None = None
    snow_depth_mm: float | None = None
    snow_water_mm: float | None = None
    wind_m_per_s: float | None = None
    observed_at: time | None = None
    failed: tuple[str, ...] = ()
    row_number: int = 0

    @property
    def precipitation_in(self) -> float | None:
        """Precipitation in inches, None when it is missing."""
        return None if self.precipitation_mm is None else self.precipitation_mm / MM_PER_INCH


@dataclass
class DayValues:
    """The values of one day while they are gathered."""

    row_number: int
    values: dict[str, Any] = field(default_factory=dict)
    trace: bool = False
    observed_at: time | None = None
    failed: list[str] = field(default_factory=list)

    def row(self, station: str, on: date) -> WeatherRow:
        """The finished row."""
        return WeatherRow(
            station=station,
            on=on,
            trace=self.trace,
            observed_at=self.observed_at,
            failed=tuple(self.failed),
            row_number=self.row_number,
            **self.values,
        )


def hour_of(text: str) -> time | None:
    """The time of an observation written hhmm; None when it is blank or none."""
    if len(text) != 4 or not (text.isascii() and text.isdigit()):
        return None
    hour, minute = int(text[:2]), int(text[2:])
    if text == "2400":
        return time(0)
    return time(hour, minute) if hour < 24 and minute < 60 else None
