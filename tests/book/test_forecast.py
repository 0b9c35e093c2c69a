"""The forecast kept as seen now: off in plain words, asked for a place, shown with its load."""

import datetime as dt
import json
from decimal import Decimal

import pytest

from farmrecords.history import clock
from farmrecords.measurements import weather_client
from farmrecords.measurements.models import Forecast
from farmrecords.measurements.weather_client import WeatherClient, WeatherServiceError
from tests import builders
from tests.book.desk import NOW, TODAY, Desk

pytestmark = pytest.mark.django_db
ANSWER = json.dumps(
    {
        "properties": {
            "updateTime": "2026-04-22T10:00:00+00:00", "gridId": "BTV", "gridX": 3, "gridY": 4,
            "quantitativePrecipitation": {
                "uom": "wmoUnit:mm",
                "values": [{"validTime": "2026-04-22T12:00:00+00:00/P2D", "value": 0}],
            },
        }
    }
)  # fmt: skip
POINT = json.dumps(
    {"properties": {"gridId": "BTV", "gridX": 3, "gridY": 4, "timeZone": "America/New_York"}}
)


@pytest.fixture(autouse=True)
def _now(settings):
    settings.WEATHER_SERVICE_URL = ""
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def asked(settings, monkeypatch):
    """The paths the service was asked for; it answers about one grid cell."""
    settings.WEATHER_SERVICE_URL = "http://127.0.0.1:9"
    paths = []

    def answer(_client, path):
        paths.append(path)
        return (POINT if path.startswith("/points") else ANSWER).encode()

    monkeypatch.setattr(WeatherClient, "ask", answer)
    return paths


def kept(desk, hours_ago=1.0, **values):
    at = NOW - dt.timedelta(hours=hours_ago)
    told = {"issuer": "office", "rain_in": Decimal("0.25"), "probability_pct": 60} | values
    return builders.save(
        Forecast(
            operation=desk.operation, issued_at=at, seen_at=at, seen_on=at.date(), horizon_h=24,
            **told,
        )
    )  # fmt: skip


def test_switched_off_the_page_says_so_and_keeps_nothing():
    desk = Desk()
    page = desk.get("forecast")
    assert "No weather service is set up here" in page
    assert "Keep the forecast as seen now" not in page
    answer = desk.post("forecast")
    assert answer.status_code == 422
    assert not Forecast.objects.exists()


def test_the_forecast_of_the_farm_is_kept_as_seen_now(asked):
    desk = Desk()
    assert "Keep the forecast as seen now" in desk.get("forecast")
    assert desk.post("forecast").status_code == 302
    row = Forecast.objects.get()
    assert (row.seen_at, row.issuer) == (NOW, "US National Weather Service, BTV 3,4")
    assert row.kept_file
    assert asked[0].startswith("/points/43.0018,-89.4975")  # the middle of the one square


def test_the_forecast_of_a_field_is_asked_for_a_place_inside_it(asked):
    desk = Desk()
    ring = [[-89.4, 43.1], [-89.39, 43.1], [-89.39, 43.11], [-89.4, 43.11], [-89.4, 43.1]]
    far = builders.make_field(desk.operation, "99", {"type": "Polygon", "coordinates": [ring]})
    assert desk.post("forecast", field=far.pk).status_code == 302
    lat, lon = map(float, asked[0].removeprefix("/points/").split(","))
    assert (43.1 < lat < 43.11, -89.4 < lon < -89.39) == (True, True)


def test_a_field_of_another_farm_or_without_boundary_is_no_place(asked):
    desk = Desk()
    stranger = builders.make_field(builders.make_operation())
    refused = desk.post("forecast", field=stranger.pk)
    assert refused.status_code == 422
    assert "What was chosen is not, or no longer, on the list" in refused.content.decode()
    bare = builders.make_field(desk.operation, "98", None)
    answer = desk.post("forecast", field=bare.pk)
    assert answer.status_code == 422
    assert "has no boundary today" in answer.content.decode()
    assert asked == []


def test_a_service_that_does_not_answer_is_told_in_its_words(asked, monkeypatch):
    def silent(_client, _path):
        raise WeatherServiceError("The weather service did not answer.")

    monkeypatch.setattr(weather_client.WeatherClient, "ask", silent)
    answer = Desk().post("forecast")
    assert answer.status_code == 422
    assert "did not answer" in answer.content.decode()


@pytest.mark.parametrize(
    ("hours_ago", "words"),
    [
        (1, "rain 0.25 in"),
        (24, "rain 0.25 in"),
        (24.1, "kept in the last 24 hours"),
    ],
)
def test_may_i_spread_shows_the_forecast_seen_in_the_last_day(hours_ago, words):
    desk = Desk()
    kept(desk, hours_ago)
    assert words in desk.get("may_i_spread")


def test_a_load_shows_the_forecast_seen_before_it():
    desk = Desk()
    load = builders.make_load(desk.field, desk.pit, TODAY)
    before = (NOW - load.started_at).total_seconds() / 3600
    kept(desk, before + 2, issuer="morning office")
    kept(desk, before - 0.5, issuer="later office")
    page = desk.get("load", load.pk)
    assert "morning office" in page
    assert "later office" not in page


@pytest.mark.parametrize(
    ("role", "status"),
    [("owner", 200), ("office", 200), ("crew", 200), ("hauler", 200), ("planner", 404),
     ("inspector", 404)],
)  # fmt: skip
def test_who_enters_loads_keeps_forecasts(client, role, status):
    desk = Desk()
    seat = builders.make_seat(desk.operation, role)
    client.force_login(seat.person)
    assert client.get(desk.url("forecast")).status_code == status
