"""Rain of a window from readings: one station, one reading an hour, each hour once.

A station that reports every few minutes tells the rain of the last hour each time, and two
stations tell the same rain twice. Adding every reading would count it over and over.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from farmrecords.measurements.models import WeatherReading


@dataclass(frozen=True)
class Rain:
    """Rain of a window: inches where each hour read is known, the station, the hours read."""

    rain_in: Decimal | None
    source: str
    hours: int


def rain_of(readings: Iterable[WeatherReading], first: dt.datetime, last: dt.datetime) -> Rain:
    """The rain from `first` to `last` as one station told it.

    A reading tells the hour before it, so one at `first` itself does not count. An hour whose
    rain is not known makes the sum unknown; whether hours are missing is another question.
    """
    inside = [row for row in readings if first < row.observed_at <= last]
    told = hourly(inside)
    known = [row.rain_in for row in told if row.rain_in is not None]
    whole = bool(known) and len(known) == len(told)
    return Rain(
        sum(known, Decimal(0)) if whole else None, told[0].source if told else "", len(told)
    )


def hourly(readings: Iterable[WeatherReading]) -> list[WeatherReading]:
    """One reading an hour of one station, in order of time.

    The station is the one that knows the rain of most hours; of several the nearest, then by
    name. Of the readings of an hour the one nearest to the minute at which the station tells the
    rain most regularly is taken, the later where two are as near.
    """
    rows = sorted(readings, key=lambda row: row.observed_at)
    if not rows:
        return []
    sources, told_in = {row.source for row in rows}, {_hour(row.observed_at) for row in rows}
    if len(sources) == 1 and len(told_in) == len(rows):
        return rows
    stations: dict[str, dict[int, list[WeatherReading]]] = defaultdict(dict)
    for row in rows:
        stations[row.source].setdefault(_hour(row.observed_at), []).append(row)
    hours = stations[min(stations, key=lambda source: _rank(source, stations[source]))]
    minute = _regular_minute(row for told in hours.values() for row in told)
    return [_of_hour(hours[hour], minute) for hour in sorted(hours)]


def _hour(at: dt.datetime) -> int:
    return int(at.timestamp() // 3600)


def _rank(source: str, hours: dict[int, list[WeatherReading]]) -> tuple[int, Decimal, str]:
    known = sum(any(row.rain_in is not None for row in rows) for rows in hours.values())
    far = [
        row.distance_mi for rows in hours.values() for row in rows if row.distance_mi is not None
    ]
    return -known, min(far, default=Decimal("Infinity")), source


def _regular_minute(readings: Iterable[WeatherReading]) -> int:
    """The minute most often told with rain, the latest where several are as frequent."""
    told = Counter(row.observed_at.minute for row in readings if row.rain_in is not None)
    return max(told, key=lambda minute: (told[minute], minute), default=59)


def _of_hour(rows: list[WeatherReading], minute: int) -> WeatherReading:
    known = [row for row in rows if row.rain_in is not None] or rows
    return min(
        known, key=lambda row: (abs(row.observed_at.minute - minute), -row.observed_at.timestamp())
    )
