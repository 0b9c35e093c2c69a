"""Where manure went on a field: a day or a crop year, on the map, as a table and as GeoJSON."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import Counter
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from farmrecords.book.granted import latest_year, shown_year
from farmrecords.book.ground import GroundPicture, geojson_of, map_of, picture_of
from farmrecords.farm.models import Field
from farmrecords.loads.models import Load
from farmrecords.people.access import Seat, record, records, seated

MOST_LOADS = 400
EARLIEST, LATEST = 1950, 2100


@seated("see")
def ground(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """The ground of a field under the loads of `?day=` or `?year=`, also as GeoJSON."""
    land = record(seat, Field, pk)
    day, year = _asked(request, seat)
    rows = records(seat, Load).counted().filter(parts__field=land)
    rows = rows.filter(local_day=day) if day else rows.filter(crop_year=year)
    loads = list(
        rows.select_related("spreader", "operation", "facts")
        .prefetch_related("parts__field")
        .order_by("local_day", "started_at", "id")
        .distinct()[:MOST_LOADS]
    )
    on = day or max((load.local_day for load in loads), default=seat.today)
    kinds = sorted({load.amount_kind for load in loads})
    kind = request.GET.get("kind", "")
    kind = kind if kind in kinds else _main(loads)
    found = picture_of(land, loads, on, kind)
    if request.GET.get("format") == "geojson":
        return _handed_out(found, land, day, year)
    layer = "rate" if request.GET.get("layer") == "rate" else "passes"
    context = {
        "field": land,
        "day": day,
        "year": year,
        "found": found,
        "kinds": [one for one in kinds if one != kind],
        "layer": layer,
        "days": sorted({load.local_day for load in loads}) if day is None else [],
        "query": f"day={day.isoformat()}" if day else f"year={year}",
        "figures": _figures(found),
        "map_data": map_of(found, land, on, layer) if found.version else None,
        "is_cut": len(loads) == MOST_LOADS,
    }
    return render(request, "book/ground.html", context)


def _asked(request: HttpRequest, seat: Seat) -> tuple[dt.date | None, int]:
    """The day or the crop year of the address; what the seat may not see is 404."""
    text = request.GET.get("day", "")
    if text:
        try:
            day = dt.date.fromisoformat(text)
        except ValueError as error:
            raise Http404 from error
        if not seat.sees_day(day):
            raise Http404
        return day, day.year
    text = request.GET.get("year", "")
    latest = latest_year(seat)
    if text and not (text.isascii() and text.isdigit() and len(text) == 4):
        raise Http404
    year = int(text) if text else (latest.crop_year if latest else seat.today.year)
    if not EARLIEST <= year <= LATEST or shown_year(seat, year) is None:
        raise Http404
    return None, year


def _main(loads: list[Load]) -> str:
    """The kind most of the loads are in."""
    counted = Counter(load.amount_kind for load in loads)
    return "gal" if counted["gal"] >= counted["lb"] else "lb"


def _figures(found: GroundPicture) -> list[tuple[str, str]]:
    cover = found.cover
    if cover is None:
        return []
    rows = [
        (_("field"), _acres(cover.field_ac)),
        (_("covered"), _acres(cover.covered_ac)),
        (_("covered twice or more, by different loads"), _acres(cover.twice_ac)),
        (_("swept (length times width)"), _acres(cover.swept_ac)),
        (_("missed between passes"), _acres(cover.missed_ac)),
        (_("covered outside the boundary"), _acres(cover.outside_ac)),
    ]
    rates = found.cell_rates
    if rates:
        told = f"{rates.lowest:,.1f} / {rates.middle:,.1f} / {rates.highest:,.1f} {found.rate_unit}"
        rows.append((_("rate by cell: lowest, middle, highest"), told))
    return rows


def _acres(acres: float) -> str:
    return _("%(acres)s ac") % {"acres": f"{acres:,.2f}"}


def _handed_out(found: GroundPicture, land: Field, day: dt.date | None, year: int) -> HttpResponse:
    told: Any = geojson_of(found, land)
    answer = JsonResponse(told, content_type="application/geo+json")
    when = day.isoformat() if day else str(year)
    answer["Content-Disposition"] = f'attachment; filename="ground-{land.number}-{when}.geojson"'
    return answer
