"""The weather client against a stub on this machine: every way an answer may go wrong."""

from __future__ import annotations

import datetime as dt
import json
import threading
import time
from collections.abc import Iterator
from decimal import Decimal
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import pytest
from django.test import override_settings

from farmrecords.history import clock
from farmrecords.measurements import weather_client
from farmrecords.measurements.models import Forecast
from farmrecords.measurements.weather_client import (
    WeatherClient,
    WeatherServiceError,
    see_forecast,
    service,
)
from tests import builders

POINT = json.dumps(
    {"properties": {"gridId": "BTV", "gridX": 3, "gridY": 4, "timeZone": "America/New_York"}}
)
FORECAST = json.dumps(
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


class Stub:
    """A service that answers what the test puts down, and remembers what it was asked."""

    def __init__(self) -> None:
        self.answers: list[tuple[int, dict[str, str], bytes]] = []
        self.asked: list[tuple[str, dict[str, str]]] = []
        self.slow_s = 0.0
        stub = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                stub.asked.append((self.path, dict(self.headers)))
                status, headers, body = stub.answers.pop(0) if stub.answers else (404, {}, b"")
                if stub.slow_s:
                    time.sleep(stub.slow_s)
                try:
                    self.send_response(status)
                    for name, value in headers.items():
                        self.send_header(name, value)
                    self.send_header("Content-Length", str(len(body)))
                    self.end_headers()
                    self.wfile.write(body)
                except OSError:
                    pass

            def log_message(self, format: str, *args: Any) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server.server_address[1]}"

    def says(self, status: int, body: str | bytes = b"", **headers: str) -> None:
        content = body.encode() if isinstance(body, str) else body
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        self.answers.append((status, named, content))


@pytest.fixture
def stub() -> Iterator[Stub]:
    one = Stub()
    yield one
    one.server.shutdown()
    one.server.server_close()


@pytest.fixture
def waits() -> list[float]:
    return []


@pytest.fixture
def client(stub: Stub, waits: list[float]) -> WeatherClient:
    return WeatherClient(stub.address, "records test", timeout_s=5, pause=waits.append)


def test_an_answer_is_read_and_the_question_names_who_asks(
    stub: Stub, client: WeatherClient
) -> None:
    stub.says(200, POINT)
    assert client.point(44.5, -73.2).office == "BTV"
    path, headers = stub.asked[0]
    assert path == "/points/44.5000,-73.2000"
    assert headers["User-Agent"] == "records test"


def test_an_unchanged_answer_is_the_one_had_before(stub: Stub, client: WeatherClient) -> None:
    stub.says(200, POINT, ETag='"1"')
    stub.says(304)
    first = client.ask("/points/1,2")
    assert client.ask("/points/1,2") == first
    assert stub.asked[1][1]["If-None-Match"] == '"1"'


def test_a_place_the_service_does_not_know_is_refused_at_once(
    stub: Stub, client: WeatherClient, waits: list[float]
) -> None:
    stub.says(404)
    with pytest.raises(WeatherServiceError, match="404"):
        client.ask("/points/0,0")
    assert waits == []


def test_too_many_questions_wait_as_long_as_the_service_asks(
    stub: Stub, client: WeatherClient, waits: list[float]
) -> None:
    stub.says(429, Retry_After="5")
    stub.says(200, POINT)
    client.ask("/points/1,2")
    assert waits == [5]


def test_no_wait_is_longer_than_its_bound(
    stub: Stub, client: WeatherClient, waits: list[float]
) -> None:
    stub.says(429, Retry_After="9000")
    stub.says(200, POINT)
    client.ask("/points/1,2")
    assert waits == [weather_client.LONGEST_WAIT_S]


def test_a_broken_service_is_asked_three_times_and_then_left(
    stub: Stub, client: WeatherClient, waits: list[float]
) -> None:
    for _ in range(4):
        stub.says(500)
    with pytest.raises(WeatherServiceError, match="by hand"):
        client.ask("/points/1,2")
    assert len(stub.asked) == 3
    assert waits == [1, 2]


def test_a_slow_service_is_left(stub: Stub, waits: list[float]) -> None:
    stub.slow_s = 1.0
    for _ in range(2):
        stub.says(200, POINT)
    hasty = WeatherClient(stub.address, timeout_s=0.2, tries=2, pause=waits.append)
    with pytest.raises(WeatherServiceError, match="did not answer"):
        hasty.ask("/points/1,2")


def test_a_service_that_is_away_is_left(waits: list[float]) -> None:
    away = WeatherClient("http://127.0.0.1:9", timeout_s=1, tries=2, pause=waits.append)
    with pytest.raises(WeatherServiceError, match="did not answer"):
        away.ask("/points/1,2")


def test_another_host_is_never_asked(stub: Stub, client: WeatherClient) -> None:
    stub.says(302, Location="http://127.0.0.1:1/elsewhere")
    with pytest.raises(WeatherServiceError, match="302"):
        client.ask("/points/1,2")
    assert len(stub.asked) == 1


def test_an_endless_answer_is_cut(stub: Stub, client: WeatherClient) -> None:
    stub.says(200, b"x" * (weather_client.MOST_BYTES + 1))
    with pytest.raises(WeatherServiceError, match="more than is read"):
        client.ask("/points/1,2")


def test_the_service_is_off_unless_its_address_is_set() -> None:
    assert service() is None
    with (
        override_settings(WEATHER_SERVICE_URL="file:///etc/passwd"),
        pytest.raises(WeatherServiceError, match="http"),
    ):
        service()


@pytest.mark.django_db
class TestSeen:
    """A forecast becomes a record with the moment it was seen."""

    def test_a_forecast_is_kept_as_seen(self, stub: Stub, client: WeatherClient) -> None:
        operation = builders.make_operation()
        seat = builders.make_seat(operation)
        builders.make_field(operation)
        stub.says(200, POINT)
        stub.says(200, FORECAST)
        with clock.standing_at(dt.datetime(2026, 4, 22, 13, tzinfo=dt.UTC)):
            seen = see_forecast(seat, client)
        assert seen.rain_in == Decimal("0.00")
        assert seen.issued_at == dt.datetime(2026, 4, 22, 10, tzinfo=dt.UTC)
        assert seen.seen_at == dt.datetime(2026, 4, 22, 13, tzinfo=dt.UTC)
        assert seen.kept_file

    @pytest.mark.parametrize("answer", ["", "[]", "{", '{"properties": {}}', "<html>no</html>"])
    def test_nonsense_leaves_nothing(self, stub: Stub, client: WeatherClient, answer: str) -> None:
        operation = builders.make_operation()
        seat = builders.make_seat(operation)
        builders.make_field(operation)
        stub.says(200, POINT)
        stub.says(200, answer)
        with pytest.raises(WeatherServiceError):
            see_forecast(seat, client)
        assert not Forecast.objects.exists()

    def test_a_farm_without_land_or_service_is_told_so(self, client: WeatherClient) -> None:
        seat = builders.make_seat(builders.make_operation())
        with pytest.raises(WeatherServiceError, match="boundary"):
            see_forecast(seat, client)
        with pytest.raises(WeatherServiceError, match="No weather service"):
            see_forecast(seat)
