"""Answers of the public weather service: intervals, units by code, null is not zero.

Shapes of the answers and the traps: reference on data formats, section 4.3.
"""

import json
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError
from farmrecords.formats.weather_service import (
    duration,
    rain_between,
    read_forecast,
    read_observations,
    read_point,
)

START = datetime(2025, 4, 3, 6, tzinfo=UTC)


def hours(count):
    return timedelta(hours=count)


def forecast(*rain, uom="wmoUnit:mm", **series):
    values = [{"validTime": when, "value": value} for when, value in rain]
    properties = {
        "gridId": "MKX", "gridX": 38, "gridY": 64, "updateTime": "2025-04-03T05:00:00+00:00",
        "quantitativePrecipitation": {"uom": uom, "values": values},
    } | series  # fmt: skip
    return json.dumps({"properties": properties}).encode()


SIX_HOURS = [
    ("2025-04-03T06:00:00+00:00/PT6H", 2.0),
    ("2025-04-03T12:00:00+00:00/PT6H", 4.0),
    ("2025-04-03T18:00:00+00:00/PT12H", 3.0),
    ("2025-04-04T06:00:00+00:00/PT6H", None),
]


def test_a_forecast_is_read_with_its_issue_time():
    result = read_forecast(forecast(*SIX_HOURS))
    assert result.ready
    (found,) = result.items
    assert found.updated_at == datetime(2025, 4, 3, 5, tzinfo=UTC)
    assert found.grid == "MKX 38,64"
    assert [i.value for i in found.of("precipitation_mm")] == [2.0, 4.0, 3.0, None]
    assert found.of("precipitation_mm")[2].end == datetime(2025, 4, 4, 6, tzinfo=UTC)


# By hand: 2 + 4 + 3 = 9 mm; read as 3 mm in each of two six-hour steps it would be 12 mm.
def test_rain_is_summed_and_a_merged_interval_gives_the_larger_reading_too():
    (found,) = read_forecast(forecast(*SIX_HOURS)).items
    outlook = rain_between(found, START, START + hours(24))
    assert (outlook.amount_mm, outlook.at_most_mm, outlook.known_share) == (9.0, 12.0, 1.0)


def test_an_interval_over_the_edge_counts_by_its_share():
    (found,) = read_forecast(forecast(*SIX_HOURS)).items
    outlook = rain_between(found, START + hours(3), START + hours(9))
    assert outlook.amount_mm == pytest.approx(1.0 + 2.0)


def test_what_the_service_does_not_know_is_not_dry():
    (found,) = read_forecast(forecast(*SIX_HOURS)).items
    outlook = rain_between(found, START + hours(18), START + hours(30))
    assert outlook.known_share == pytest.approx(0.5)
    assert rain_between(found, START + hours(48), START + hours(72)).known_share == 0


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("PT1H", hours(1)),
        ("PT6H", hours(6)),
        ("P1D", hours(24)),
        ("P1DT6H", hours(30)),
        ("P7DT14H", hours(182)),
        ("PT30M", timedelta(minutes=30)),
        ("", None),
        ("P", None),
        ("PT", None),
        ("PT0H", None),
        ("P1M", None),
        ("PT1.5H", None),
        ("-PT1H", None),
        ("PT99999H", None),
        ("PTH", None),
        ("PT٦H", None),
    ],
)
def test_a_duration_is_read_or_told_to_be_none(text, expected):
    assert duration(text) == expected


@given(st.integers(0, 30), st.integers(0, 23), st.integers(0, 59))
def test_a_duration_written_reads_back(days, hour, minute):
    length = timedelta(days=days, hours=hour, minutes=minute)
    text = f"P{days}DT{hour}H{minute}M"
    assert duration(text) == (length or None)


def test_probability_temperature_and_wind_are_read_in_their_units():
    span = "2025-04-03T06:00:00+00:00/PT1H"
    data = forecast(
        *SIX_HOURS,
        probabilityOfPrecipitation={
            "uom": "wmoUnit:percent",
            "values": [{"validTime": span, "value": 40}],
        },
        temperature={"uom": "wmoUnit:degF", "values": [{"validTime": span, "value": 50}]},
        windSpeed={"uom": "wmoUnit:km_h-1", "values": [{"validTime": span, "value": 36}]},
    )
    (found,) = read_forecast(data).items
    assert found.of("probability_percent")[0].value == 40
    assert found.of("temperature_c")[0].value == pytest.approx(10)
    assert found.of("wind_m_per_s")[0].value == pytest.approx(10)


@pytest.mark.parametrize(
    "data",
    [
        forecast(("2025-04-03T06:00:00+00:00/PT6H", 2.0), uom="wmoUnit:furlong"),
        forecast(("2025-04-03T06:00:00+00:00/PT6H", 2.0), uom=None),
        forecast(("2025-04-03T06:00:00/PT6H", 2.0)),
        forecast(("yesterday", 2.0)),
        forecast((5, 2.0)),
        forecast(("2025-04-03T06:00:00+00:00/PT6H", "wet")),
        forecast(("2025-04-03T06:00:00+00:00/PT6H", 1e300)),
        forecast(("9999-12-31T23:00:00+00:00/P9999D", 1)),
    ],
)
def test_a_value_that_makes_no_sense_is_refused_not_guessed(data):
    result = read_forecast(data)
    assert len(result.rejected) == 1
    assert not result.ready


def observations(*properties):
    features = [{"type": "Feature", "properties": one} for one in properties]
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


def value(number, code):
    return {"value": number, "unitCode": code, "qualityControl": "V"}


# The service wrote wind in m/s in 2019 and km/h later, rain in m and later mm (section 4.3).
@pytest.mark.parametrize(
    ("wind", "rain"),
    [
        (value(10, "unit:m_s-1"), value(0.0127, "unit:m")),
        (value(36, "wmoUnit:km_h-1"), value(12.7, "wmoUnit:mm")),
    ],
)
def test_observations_are_read_whatever_the_unit_code(wind, rain):
    data = observations(
        {
            "station": "https://api.weather.gov/stations/KMSN",
            "timestamp": "2025-04-03T12:53:00+00:00",
            "windSpeed": wind,
            "precipitationLastHour": rain,
            "textDescription": "Rain",
        }
    )
    (found,) = read_observations(data).items
    assert (found.station, found.text) == ("KMSN", "Rain")
    assert found.values["wind_m_per_s"] == pytest.approx(10)
    assert found.values["precipitation_mm"] == pytest.approx(12.7)


def test_a_null_observation_is_unknown_and_the_order_is_that_of_time():
    first = {"timestamp": "2025-04-03T12:00:00Z", "precipitationLastHour": value(None, "unit:m")}
    later = {"timestamp": "2025-04-03T13:00:00Z", "temperature": value(5, "wmoUnit:degC")}
    result = read_observations(observations(later, first))
    assert [one.at.hour for one in result.items] == [12, 13]
    assert result.items[0].values == {}


def test_an_observation_without_moment_or_with_an_unknown_unit_is_refused():
    good = {"timestamp": "2025-04-03T12:00:00Z"}
    result = read_observations(
        observations(good, {}, good | {"temperature": value(5, "wmoUnit:degR")})
    )
    assert [(bad.row, bad.column) for bad in result.rejected] == [
        (2, "timestamp"),
        (3, "temperature"),
    ]


def test_a_point_names_its_grid_cell():
    properties = {"gridId": "MKX", "gridX": 38, "gridY": 64, "timeZone": "America/Chicago"}
    point = read_point(json.dumps({"properties": properties}).encode())
    assert (point.office, point.x, point.y, point.zone) == ("MKX", 38, 64, "America/Chicago")
    for bad in ({"gridX": True}, {"gridX": "38"}, {"gridId": "../x"}, {"gridY": -1}):
        with pytest.raises(FormatError):
            read_point(json.dumps({"properties": properties | bad}).encode())


@pytest.mark.parametrize("read", [read_point, read_forecast, read_observations])
@pytest.mark.parametrize(
    "data", [b"", b"null", b"[]", b"{}", b'{"properties": 1}', b"<html>", b"[[["]
)
def test_anything_else_is_refused(read, data):
    with pytest.raises(FormatError):
        read(data)
