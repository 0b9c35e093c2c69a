"""Asking the public weather service: switched off unless its address is set, patient, bounded.

Only the service's own host is asked, answers are bounded in bytes and time, and an answer that was
not changed (304) is the one had before. Reading the answers is done in `formats/weather_service`.
"""

from __future__ import annotations

import datetime as dt
import http.client
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import IO, Any

from django.conf import settings
from django.utils.translation import gettext as _

from farmrecords.farm.acres import boundary_of
from farmrecords.farm.models import Field, FieldVersion
from farmrecords.formats.common import FormatError
from farmrecords.formats.weather_service import (
    GridForecast,
    GridPoint,
    Observation,
    read_forecast,
    read_observations,
    read_point,
)
from farmrecords.history import clock, files, write
from farmrecords.measurements.models import Forecast
from farmrecords.measurements.weather_keeping import forecast_of
from farmrecords.people.access import Seat

TIMEOUT_S = 10.0
TRIES = 3
LONGEST_WAIT_S = 10.0
MOST_BYTES = 5 * 1024 * 1024
AGAIN = (429, 500, 502, 503, 504)


class WeatherServiceError(RuntimeError):
    """The service gave no answer that can be used; says why and what to do."""


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    """Other hosts are never asked, whatever an answer says."""

    def redirect_request(
        self, req: urllib.request.Request, fp: IO[bytes], code: int, msg: str,
        headers: http.client.HTTPMessage, newurl: str,
    ) -> None:  # fmt: skip
        return None


@dataclass
class WeatherClient:
    """One service by its address; `pause` waits between two tries."""

    address: str
    agent: str = "farmrecords"
    timeout_s: float = TIMEOUT_S
    tries: int = TRIES
    pause: Callable[[float], None] = time.sleep
    known: dict[str, tuple[str, bytes]] = field(default_factory=dict)

    def point(self, lat: float, lon: float) -> GridPoint:
        """The cell of the service's grid at a place."""
        return read_point(self.ask(f"/points/{lat:.4f},{lon:.4f}"))

    def forecast(self, point: GridPoint) -> tuple[GridForecast, bytes]:
        """The forecast of a cell, and the answer as it came."""
        data = self.ask(f"/gridpoints/{point.office}/{point.x},{point.y}")
        found = read_forecast(data)
        if found.rejected:
            raise FormatError(found.rejected[0].reason, found.rejected[0].remedy)
        return found.items[0], data

    def observations(self, station: str) -> list[Observation]:
        """What a station observed of late."""
        if not (station.isalnum() and len(station) <= 12):
            raise WeatherServiceError(_("A station has a short name such as KBTV."))
        return read_observations(self.ask(f"/stations/{station}/observations")).items

    def ask(self, path: str) -> bytes:
        """The bytes of one answer. Raises WeatherServiceError."""
        why = ""
        for attempt in range(self.tries):
            try:
                return self._once(path)
            except _TryAgain as again:
                why = str(again)
                if attempt + 1 < self.tries:
                    self.pause(min(again.wait_s or 2.0**attempt, LONGEST_WAIT_S))
        raise WeatherServiceError(
            _("The weather service did not answer (%(why)s). Try later, or enter it by hand.")
            % {"why": why}
        )

    def _once(self, path: str) -> bytes:
        url = self.address.rstrip("/") + path
        headers = {"User-Agent": self.agent, "Accept": "application/geo+json"}
        if url in self.known:
            headers["If-None-Match"] = self.known[url][0]
        request = urllib.request.Request(url, headers=headers)
        opener = urllib.request.build_opener(_NoRedirect)
        try:
            with opener.open(request, timeout=self.timeout_s) as answer:
                return self._taken(url, answer)
        except urllib.error.HTTPError as error:
            with error:
                if error.code == 304 and url in self.known:
                    return self.known[url][1]
                if error.code in AGAIN:
                    raise _TryAgain(str(error.code), _seconds(error.headers)) from None
            raise WeatherServiceError(
                _("The weather service refused the question (%(code)s). Enter it by hand.")
                % {"code": error.code}
            ) from None
        except (OSError, http.client.HTTPException) as error:
            raise _TryAgain(type(error).__name__, 0.0) from None

    def _taken(self, url: str, answer: Any) -> bytes:
        """The body, never more than its bound in bytes or time."""
        until = time.monotonic() + self.timeout_s
        parts: list[bytes] = []
        size = 0
        while part := answer.read1(65_536):
            parts.append(part)
            size += len(part)
            if size > MOST_BYTES:
                raise WeatherServiceError(_("The weather service sent more than is read."))
            if time.monotonic() > until:
                raise _TryAgain("too slow", 0.0)
        body = b"".join(parts)
        if mark := answer.headers.get("ETag"):
            self.known[url] = (mark, body)
        return body


class _TryAgain(Exception):
    def __init__(self, why: str, wait_s: float) -> None:
        self.wait_s = wait_s
        super().__init__(why)


def _seconds(headers: Any) -> float:
    """What Retry-After asks for, when it asks in seconds."""
    text = (headers.get("Retry-After") or "").strip()
    return float(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0.0


def service() -> WeatherClient | None:
    """The service the settings name; None when it is switched off."""
    address = settings.WEATHER_SERVICE_URL
    if not address:
        return None
    if urllib.parse.urlsplit(address).scheme not in ("http", "https"):
        raise WeatherServiceError(_("WEATHER_SERVICE_URL must begin with http:// or https://."))
    return WeatherClient(address, settings.WEATHER_SERVICE_AGENT)


def place_of_farm(seat: Seat) -> tuple[float, float] | None:
    """Latitude and longitude of the middle of the farm's land; None without a boundary."""
    versions = FieldVersion.objects.filter(operation=seat.operation, voided=False)
    bounds = [b.bounds for version in versions if (b := boundary_of(version)) is not None]
    if not bounds:
        return None
    west, south, east, north = zip(*bounds, strict=True)
    return (min(south) + max(north)) / 2, (min(west) + max(east)) / 2


def place_of_field(field: Field, on: dt.date) -> tuple[float, float] | None:
    """Latitude and longitude of a place in the field as it is bounded on the day."""
    boundary = boundary_of(field.version_on(on))
    if boundary is None:
        return None
    inside = boundary.representative_point()
    return inside.y, inside.x


def see_forecast(
    seat: Seat, client: WeatherClient | None = None, field: Field | None = None
) -> Forecast:
    """Ask for the forecast of a field, or of the farm, and keep it as seen now.

    The whole answer is kept with it.

    Raises WeatherServiceError when the service is off, does not answer or answers nonsense.
    """
    asked = client or service()
    place = place_of_field(field, seat.today) if field else place_of_farm(seat)
    if asked is None:
        raise WeatherServiceError(_("No weather service is set up."))
    if place is None:
        raise WeatherServiceError(
            _("%(field)s has no boundary today, so there is no place to ask for.")
            % {"field": field}
            if field
            else _("No field has a boundary yet, so the farm has no place to ask for.")
        )
    try:
        forecast, data = asked.forecast(asked.point(*place))
    except FormatError as error:
        raise WeatherServiceError(str(error)) from None
    kept = files.keep(data, media_type="application/geo+json", original_name="forecast.json")
    row = forecast_of(seat.operation, forecast, clock.now(), kept.sha256)
    with write.change(by=seat.actor, channel="system") as change:
        change.create(row, reason_code="seen")
    return row
