"""Rain of a window: one station, one reading an hour, and nothing guessed."""

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.measurements.models import WeatherReading
from farmrecords.measurements.rain import hourly, rain_of

NOON = dt.datetime(2026, 4, 20, 12, tzinfo=dt.UTC)


def reading(minutes, rain, source="KBTV", far=None):
    return WeatherReading(
        observed_at=NOON + dt.timedelta(minutes=minutes),
        rain_in=None if rain is None else Decimal(rain),
        source=source,
        distance_mi=None if far is None else Decimal(far),
    )


def until(hours):
    return NOON + dt.timedelta(hours=hours)


def test_every_hour_counts_once_however_often_the_station_tells_it():
    # a station that tells the rain of the last hour every 20 minutes; it rained 0.30 in in all
    told = [
        reading(20, "0.10"), reading(40, "0.20"), reading(60, "0.30"),
        reading(80, "0.20"), reading(100, "0.10"), reading(120, "0.00"),
    ]  # fmt: skip
    assert rain_of(told, NOON, until(2)).rain_in == Decimal("0.30")


def test_special_reports_between_the_regular_ones_do_not_add():
    told = [
        reading(10, "0.02"), reading(30, "0.05"), reading(53, "0.10"), reading(58, "0.01"),
        reading(113, "0.04"), reading(173, "0.00"),
    ]  # fmt: skip
    found = rain_of(told, NOON, until(3))
    assert (found.rain_in, found.hours) == (Decimal("0.14"), 3)


def test_two_stations_tell_the_same_rain_once_the_nearer_is_taken():
    near = [reading(53 + 60 * n, "0.10", "near", 4) for n in range(3)]
    far = [reading(51 + 60 * n, "0.20", "far", 12) for n in range(3)]
    found = rain_of(far + near, NOON, until(4))
    assert (found.rain_in, found.source) == (Decimal("0.30"), "near")


def test_a_station_that_knows_more_hours_goes_before_a_nearer_one():
    near = [reading(53, "0.10", "near", 4), reading(113, None, "near", 4)]
    far = [reading(51, "0.20", "far", 12), reading(111, "0.00", "far", 12)]
    assert rain_of(near + far, NOON, until(2)).source == "far"


@pytest.mark.parametrize(("minutes", "hours"), [(0, 0), (1, 1), (120, 1), (121, 0)])
def test_a_reading_tells_the_hour_before_it(minutes, hours):
    assert rain_of([reading(minutes, "0.10")], NOON, until(2)).hours == hours


def test_an_hour_without_a_figure_leaves_the_sum_unknown():
    told = [reading(53, "0.10"), reading(113, None)]
    assert rain_of(told, NOON, until(2)).rain_in is None
    assert rain_of([], NOON, until(2)).rain_in is None


def test_the_reading_with_a_figure_speaks_for_its_hour():
    told = [reading(53, "0.10"), reading(57, None)]
    assert [row.rain_in for row in hourly(told)] == [Decimal("0.10")]
