"""What a weather file or service says, as records: days, readings, and a forecast as seen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from shapely.geometry import GeometryCollection, Point

from farmrecords.calculations.geodesy import miles_between
from farmrecords.calculations.weather_units import rain_in, temperature_f, wind_mph
from farmrecords.farm.acres import boundary_of
from farmrecords.farm.models import FieldVersion
from farmrecords.formats.weather_service import GridForecast, rain_between
from farmrecords.measurements.models import Forecast, WeatherDay, WeatherReading
from farmrecords.people.models import Operation

HORIZON_H = 24
MOST_MI = 9999  # as the column holds it; a station so far off tells nothing here
ISSUER = "US National Weather Service"


def day_values(item: Mapping[str, Any]) -> dict[str, Any]:
    """The columns of a weather day; a missing value is None, never zero."""
    return {
        "rain_in": _figure(item["precipitation_mm"], rain_in, "0.01"),
        "high_f": _figure(item["max_temp_c"], temperature_f, "0.1"),
        "low_f": _figure(item["min_temp_c"], temperature_f, "0.1"),
        "snow_depth_in": _figure(item["snow_depth_mm"], rain_in, "0.1"),
    }


def source_of(item: Mapping[str, Any]) -> str:
    """The station, with the hour its day ends where that is not midnight."""
    hour = item.get("observed_at", "")
    return f"{item['station']}, day to {hour}"[:80] if hour else str(item["station"])[:80]


def day_of(operation: Operation, item: Mapping[str, Any]) -> WeatherDay:
    """One day of a station as a record."""
    return WeatherDay(
        operation=operation,
        day=dt.date.fromisoformat(item["on"]),
        source=source_of(item),
        **day_values(item),
    )


def middle_of(operation: Operation) -> Point | None:
    """The middle of the operation's land, by the outlines of its fields; None without any."""
    rows = FieldVersion.objects.filter(operation=operation, voided=False)
    outlines = [outline for row in rows if (outline := boundary_of(row)) is not None]
    if not outlines:
        return None
    west, south, east, north = GeometryCollection(outlines).bounds
    return Point((west + east) / 2, (south + north) / 2)


def _distance_mi(place: Sequence[float] | None, middle: Point | None) -> Decimal | None:
    if place is None or middle is None:
        return None
    far_mi = miles_between(Point(*place), middle)
    return Decimal(f"{far_mi:.1f}") if far_mi < MOST_MI else None


def reading_of(
    operation: Operation,
    station: str,
    at: dt.datetime,
    values: Mapping[str, float],
    *,
    place: Sequence[float] | None = None,
    middle: Point | None = None,
) -> WeatherReading:
    """One observation as a record, with the miles from its station to the middle of the land."""
    wind_from = values.get("wind_from_deg")
    return WeatherReading(
        operation=operation,
        observed_at=at,
        observed_on=at.astimezone(operation.zone).date(),
        rain_in=_figure(values.get("precipitation_mm"), rain_in, "0.01"),
        temperature_f=_figure(values.get("temperature_c"), temperature_f, "0.1"),
        wind_mph=_figure(values.get("wind_m_per_s"), wind_mph, "0.1"),
        wind_from_deg=None if wind_from is None else round(wind_from) % 360,
        source=station[:80],
        distance_mi=_distance_mi(place, middle),
    )


def forecast_of(
    operation: Operation, forecast: GridForecast, seen_at: dt.datetime, kept_file: str
) -> Forecast:
    """A forecast as seen: the rain of the 24 hours from then, the larger reading where in doubt.

    The whole answer stands beside it by its SHA-256.
    """
    until = seen_at + dt.timedelta(hours=HORIZON_H)
    outlook = rain_between(forecast, seen_at, until)
    chances = [
        one.value
        for one in forecast.of("probability_percent")
        if one.value is not None and one.start < until and one.end > seen_at
    ]
    known = outlook.known_share > 0.99
    return Forecast(
        operation=operation,
        issuer=f"{ISSUER}, {forecast.grid}"[:80],
        issued_at=forecast.updated_at,
        seen_at=seen_at,
        seen_on=seen_at.astimezone(operation.zone).date(),
        horizon_h=HORIZON_H,
        rain_in=_figure(outlook.at_most_mm, rain_in, "0.01") if known else None,
        probability_pct=round(max(chances)) if chances else None,
        kept_file=kept_file,
    )


def _figure(value: float | None, changed: Any, places: str) -> Decimal | None:
    return None if value is None else Decimal(str(changed(value))).quantize(Decimal(places))
