"""What every page shows: the seat taken, the places, the fixed day of a demonstration."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _

from farmrecords.people.access import Seat

# Name of the page, words, right needed. A link leads forward by its name alone.
PLACES = (
    ("start", lambda: _("Start"), "see"),
    ("fields", lambda: _("Fields"), "see"),
    ("loads", lambda: _("Loads"), "see"),
    ("may_i_spread", lambda: _("May I spread?"), "ask_ahead"),
    ("storages", lambda: _("Storages"), "see_storages"),
    ("tests", lambda: _("Tests"), "see_measurements"),
    ("records", lambda: _("Records"), "see_whole_log"),
    ("report", lambda: _("Report"), "see_report"),
)


def page(request: HttpRequest) -> dict[str, Any]:
    """Template variables for base.html."""
    seat = getattr(request, "seat", None)
    return {
        "seat": seat,
        "places": _places(request, seat) if seat else None,
        "fixed_day": dt.date.fromisoformat(settings.FARMRECORDS_DAY)
        if settings.FARMRECORDS_DAY
        else None,
        "map_tile_url": settings.MAP_TILE_URL,
        "map_tile_attribution": settings.MAP_TILE_ATTRIBUTION,
    }


def _places(request: HttpRequest, seat: Seat) -> list[dict[str, Any]]:
    found = []
    for name, words, right in PLACES:
        if not seat.may(right):
            continue
        url = reverse(name, args=[seat.operation.slug])
        here = request.path == url or (name != "start" and request.path.startswith(url))
        found.append({"url": url, "words": words(), "here": here})
    return found
