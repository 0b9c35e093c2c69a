"""Answers of the public weather service (api.weather.gov): grid forecast and observations.

Only parsing; asking the service is done elsewhere. A value that is null is unknown, never zero.
Units are taken from each value's own code, since the service has changed them over the years; an
unknown code is refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from farmrecords.formats.common import FormatError, ReadResult, Rejected, shown
from farmrecords.formats.strict_json import read_json

# property of the answer -> our name, whose ending is its unit
FORECAST = {
    "quantitativePrecipitation": "precipitation_mm",
    "probabilityOfPrecipitation": "probability_percent",
    "snowfallAmount": "snowfall_mm",
    "iceAccumulation": "ice_mm",
    "temperature": "temperature_c",
    "windSpeed": "wind_m_per_s",
    "windDirection": "wind_from_deg",
}
OBSERVED = {
    "temperature": "temperature_c",
    "windSpeed": "wind_m_per_s",
    "windGust": "gust_m_per_s",
    "windDirection": "wind_from_deg",
    "precipitationLastHour": "precipitation_mm",
    "precipitationLast3Hours": "precipitation_3h_mm",
    "precipitationLast6Hours": "precipitation_6h_mm",
}
# (ending of our name, unit code without its prefix) -> (factor, offset)
_UNITS = {
    ("mm", "mm"): (1.0, 0.0),
    ("mm", "m"): (1000.0, 0.0),
    ("c", "degC"): (1.0, 0.0),
    ("c", "degF"): (5 / 9, -160 / 9),
    ("c", "K"): (1.0, -273.15),
    ("s", "m_s-1"): (1.0, 0.0),
    ("s", "km_h-1"): (1 / 3.6, 0.0),
    ("percent", "percent"): (1.0, 0.0),
    ("deg", "degree_(angle)"): (1.0, 0.0),
}
MOST_INTERVALS = 20_000
_ASK_AGAIN = "Ask the service again, or enter the weather by hand."


@dataclass(frozen=True, slots=True)
class Interval:
    """A forecast value for a span of time; `value` is None when the service does not know."""

    element: str
    start: datetime
    end: datetime
    value: float | None


@dataclass(frozen=True, slots=True)
class GridForecast:
    """A forecast as issued: every interval, by which office and when."""

    updated_at: datetime
    grid: str
    intervals: tuple[Interval, ...]

    def of(self, element: str) -> list[Interval]:
        """The intervals of one element in order of time."""
        found = [interval for interval in self.intervals if interval.element == element]
        return sorted(found, key=lambda interval: interval.start)


@dataclass(frozen=True, slots=True)
class Observation:
    """What a station observed at a moment, by our names; a missing name is unknown.

    ``place`` is the longitude and latitude of the station, where the answer gives it.
    """

    station: str
    at: datetime
    values: dict[str, float]
    text: str
    place: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class RainOutlook:
    """Rain expected in a span: the plain sum, and the larger one where merging leaves doubt."""

    amount_mm: float
    at_most_mm: float
    known_share: float


@dataclass(frozen=True, slots=True)
class GridPoint:
    """Where the service's grid has a place, and its time zone."""

    office: str
    x: int
    y: int
    zone: str


def read_point(data: bytes) -> GridPoint:
    """The grid cell of a `/points/` answer."""
    properties = _properties(data)
    office, x, y = (properties.get(key) for key in ("gridId", "gridX", "gridY"))
    zone = properties.get("timeZone", "")
    if not (isinstance(office, str) and office.isalpha() and isinstance(zone, str)):
        raise FormatError("The answer names no grid.", _ASK_AGAIN)
    if not (type(x) is int and type(y) is int and 0 <= x < 10_000 and 0 <= y < 10_000):
        raise FormatError("The answer names no grid cell.", _ASK_AGAIN)
    return GridPoint(office[:10], x, y, zone[:60])


def read_forecast(data: bytes) -> ReadResult[GridForecast]:
    """The forecast of a `/gridpoints/` answer."""
    properties = _properties(data)
    rejected: list[Rejected] = []
    intervals: list[Interval] = []
    for key, element in FORECAST.items():
        series = properties.get(key)
        if isinstance(series, dict):
            intervals.extend(_series(key, element, series, rejected))
        if len(intervals) > MOST_INTERVALS:
            raise FormatError("The forecast has too many intervals.", _ASK_AGAIN)
    updated_at = _moment(properties.get("updateTime"))
    if updated_at is None or not (intervals or rejected):
        raise FormatError("The answer holds no forecast.", _ASK_AGAIN)
    office, x, y = (shown(properties.get(key, "")) for key in ("gridId", "gridX", "gridY"))
    grid = f"{office} {x},{y}"
    return ReadResult([GridForecast(updated_at, grid[:60], tuple(intervals))], rejected)


def _properties(data: bytes) -> dict[str, Any]:
    value, _ = read_json(data)
    properties = value.get("properties") if isinstance(value, dict) else None
    if not isinstance(properties, dict):
        raise FormatError("This is no answer of the weather service.", _ASK_AGAIN)
    return properties


def _series(
    key: str, element: str, series: dict[str, Any], rejected: list[Rejected]
) -> list[Interval]:
    values = series.get("values")
    if not isinstance(values, list):
        return []
    intervals = []
    for number, one in enumerate(values, 1):
        entry = one if isinstance(one, dict) else {}
        span = _span(entry.get("validTime"))
        try:
            value = _converted(element, entry.get("value"), series.get("uom"))
            if span is None:
                raise FormatError("This is no span of time.", _ASK_AGAIN)
        except FormatError as error:
            rejected.append(Rejected(number, key, shown(one), error.reason, error.remedy))
            continue
        intervals.append(Interval(element, *span, value))
    return intervals


def _converted(element: str, value: Any, code: Any) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or abs(value) > 1e6:
        raise FormatError(f"“{shown(value)}” is no value.", _ASK_AGAIN)
    unit = str(code).rpartition(":")[2]
    scale = _UNITS.get((element.rpartition("_")[2], unit))
    if scale is None:
        raise FormatError(f"The unit “{shown(code)}” is not known for {element}.", _ASK_AGAIN)
    return float(value) * scale[0] + scale[1]


def _moment(text: Any) -> datetime | None:
    if not isinstance(text, str) or len(text) > 40:
        return None
    try:
        moment = datetime.fromisoformat(text)
        return None if moment.tzinfo is None else moment.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _span(text: Any) -> tuple[datetime, datetime] | None:
    """The start and end of “moment/duration”."""
    if not isinstance(text, str):
        return None
    start = _moment(text.partition("/")[0])
    length = duration(text.partition("/")[2])
    if start is None or length is None or start.year > 2200:
        return None
    return start, start + length


def duration(text: str) -> timedelta | None:
    """An ISO 8601 duration of days, hours, minutes and seconds, such as P1DT6H; else None."""
    if len(text) > 20 or text[:1] != "P":
        return None
    seconds, digits, factors = 0, "", {"D": 86_400}
    for sign in text[1:]:
        if sign.isascii() and sign.isdigit():
            digits += sign
        elif sign == "T" and not digits:
            factors = {"H": 3600, "M": 60, "S": 1}
        elif sign in factors and 0 < len(digits) <= 4:
            seconds += int(digits) * factors[sign]
            digits = ""
        else:
            return None
    return timedelta(seconds=seconds) if seconds and not digits else None


def read_observations(data: bytes) -> ReadResult[Observation]:
    """The observations of a `/stations/…/observations` answer, in order of time."""
    value, _ = read_json(data)
    features = value.get("features") if isinstance(value, dict) else None
    if features is None and isinstance(value, dict) and isinstance(value.get("properties"), dict):
        features = [value]
    if not isinstance(features, list):
        raise FormatError("This is no answer of the weather service.", _ASK_AGAIN)
    if len(features) > MOST_INTERVALS:
        raise FormatError("The answer has too many observations.", _ASK_AGAIN)
    items: list[Observation] = []
    rejected: list[Rejected] = []
    for number, feature in enumerate(features, 1):
        properties = feature.get("properties") if isinstance(feature, dict) else None
        properties = properties if isinstance(properties, dict) else {}
        at = _moment(properties.get("timestamp"))
        if at is None:
            rejected.append(Rejected(number, "timestamp", shown(properties.get("timestamp")),
                                     "The observation has no moment.", _ASK_AGAIN))  # fmt: skip
            continue
        place = _place(feature.get("geometry"))
        items.append(_observation(number, at, properties, rejected, place))
    if not items and not rejected:
        raise FormatError("The answer holds no observations.", _ASK_AGAIN)
    return ReadResult(sorted(items, key=lambda one: one.at), rejected)


def _place(geometry: Any) -> tuple[float, float] | None:
    corner = geometry.get("coordinates") if isinstance(geometry, dict) else None
    if not isinstance(corner, list) or len(corner) < 2:
        return None
    lon, lat = corner[:2]
    if not all(isinstance(one, int | float) and not isinstance(one, bool) for one in (lon, lat)):
        return None
    return (float(lon), float(lat)) if abs(lon) <= 180 and abs(lat) <= 90 else None


def _observation(
    number: int,
    at: datetime,
    properties: dict[str, Any],
    rejected: list[Rejected],
    place: tuple[float, float] | None,
) -> Observation:
    values: dict[str, float] = {}
    for key, element in OBSERVED.items():
        entry = properties.get(key)
        if not isinstance(entry, dict):
            continue
        try:
            value = _converted(element, entry.get("value"), entry.get("unitCode"))
        except FormatError as error:
            rejected.append(
                Rejected(number, key, shown(entry.get("value")), error.reason, error.remedy)
            )
            continue
        if value is not None:
            values[element] = value
    station = str(properties.get("station", "")).rpartition("/")[2]
    text = str(properties.get("textDescription") or "")[:200]
    return Observation(station[:40], at, values, text, place)


def rain_between(forecast: GridForecast, start: datetime, end: datetime) -> RainOutlook:
    """Rain the forecast expects from `start` to `end`.

    An interval that reaches over an edge counts by its share. The service may have merged equal
    neighbours into one longer interval without saying whether the amount is for the whole or for
    each; `at_most_mm` takes the larger reading. `known_share` is the part of the span with a value.
    """
    intervals = forecast.of("precipitation_mm")
    steps = [i.end - i.start for i in intervals if i.value]
    step = min(steps, default=timedelta(hours=6))
    amount = most = known = 0.0
    for interval in intervals:
        overlap = (min(end, interval.end) - max(start, interval.start)).total_seconds()
        if overlap <= 0 or interval.value is None:
            continue
        known += overlap
        length = (interval.end - interval.start).total_seconds()
        part = interval.value * overlap / length
        amount += part
        most += part * max(1.0, length / step.total_seconds())
    whole = (end - start).total_seconds()
    return RainOutlook(amount, most, min(known / whole, 1.0) if whole > 0 else 0.0)
