"""How far the station of an observation lies from the farm's land."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from typing import Any

import pytest

from farmrecords.history import clock
from farmrecords.intake import service
from farmrecords.intake.kinds import kind_named
from farmrecords.measurements.models import WeatherReading
from tests import builders

pytestmark = pytest.mark.django_db


def brought_in(geometry: Any, *, with_land: bool = True) -> WeatherReading:
    operation = builders.make_operation()
    if with_land:
        builders.make_field(operation, "7")
    seat = builders.make_seat(operation)
    row = {
        "geometry": geometry,
        "properties": {
            "station": "https://example.org/stations/KTEST",
            "timestamp": "2026-05-20T12:53:00+00:00",
            "temperature": {"value": 10, "unitCode": "wmoUnit:degC"},
        },
    }
    text = json.dumps({"features": [row]}).encode()
    with clock.standing_at(dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)):
        incoming = service.take_in(seat, kind_named("weather_service"), "answer.json", text)
        service.confirm(seat, incoming, incoming.rev)
    return WeatherReading.objects.get()


# The builders' field lies about 89.4975 W, 43.0018 N; on WGS84 a tenth of a degree of latitude
# there is 11.11 km (series of the meridian arc), or 6.9 miles of 1,609.344 m.
def test_the_miles_from_the_station_to_the_middle_of_the_land_are_kept() -> None:
    reading = brought_in({"type": "Point", "coordinates": [-89.4975, 43.1018]})
    assert reading.distance_mi == Decimal("6.9")


@pytest.mark.parametrize(
    "geometry",
    [None, {}, {"coordinates": [1]}, {"coordinates": ["a", "b"]}, {"coordinates": [900, 43]}],
)
def test_a_station_without_a_place_is_at_no_known_distance(geometry: Any) -> None:
    assert brought_in(geometry).distance_mi is None


def test_without_outlined_land_no_distance_is_known() -> None:
    place = {"type": "Point", "coordinates": [-89.4975, 43.1018]}
    assert brought_in(place, with_land=False).distance_mi is None
