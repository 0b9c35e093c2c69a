"""Fields: the list with its map, and one field's crop year."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from farmrecords.book.granted import latest_year, shown_year
from farmrecords.book.map_data import fields_map, year_map
from farmrecords.book.sheets import sheet_of_year
from farmrecords.drawing.svg import to_svg
from farmrecords.farm.models import Field
from farmrecords.findings.judging import Judge, counts
from farmrecords.findings.models import FindingIndex
from farmrecords.findings.pictures import field_band, field_picture
from farmrecords.findings.seasons import closed_windows
from farmrecords.findings.spreadable import spreadable_in
from farmrecords.loads.models import Load
from farmrecords.loads.year import field_year, years_of
from farmrecords.people.access import Seat, record, records, seated

MAP_LOADS = 60
EARLIEST, LATEST = 1950, 2100  # a crop year outside is no address of ours


@seated("see")
def fields(request: HttpRequest, seat: Seat) -> HttpResponse:
    """All fields with what each received in the crop year of today, and the map."""
    rows = records(seat, Field).filter(voided=False).select_related("operation")
    latest = latest_year(seat)
    crop_year = latest.crop_year if latest else seat.today.year
    until = latest.until if latest else None
    years = years_of(seat.operation, crop_year, until=until) if latest else {}
    found = [(field, years.get(field.pk)) for field in rows]
    versions = [(field, year.version if year else None) for field, year in found]
    context = {
        "rows": found,
        "crop_year": crop_year,
        "until": until,
        "outcomes": _outcomes(seat, crop_year) if latest and not until else {},
        "map_data": fields_map(versions, lambda field: _url(seat, field, crop_year)),
    }
    return render(request, "book/fields.html", context)


def _url(seat: Seat, field: Field, crop_year: int) -> str:
    return reverse("field_year", args=[seat.operation.slug, field.pk, crop_year])


def _outcomes(seat: Seat, crop_year: int) -> dict[Any, str]:
    """The weightiest indexed outcome of each field's year."""
    order = ("met", "notice", "cannot_tell", "not_met")
    found: dict[Any, str] = {}
    lines = FindingIndex.objects.filter(
        operation=seat.operation, field__isnull=False, crop_year=crop_year
    )
    for field_id, outcome in lines.values_list("field_id", "outcome"):
        known = found.get(field_id, "met")
        found[field_id] = max(known, outcome, key=order.index)
    return found


@seated("see")
def field(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """The field's crop year of today."""
    record(seat, Field, pk)
    latest = latest_year(seat)
    crop_year = latest.crop_year if latest else seat.today.year
    return redirect("field_year", op=seat.operation.slug, pk=pk, crop_year=crop_year)


@seated("see")
def field_year_page(
    request: HttpRequest, seat: Seat, pk: uuid.UUID, crop_year: int
) -> HttpResponse:
    """One field and crop year: amounts, limits, loads, findings, picture."""
    found = record(seat, Field, pk)
    part = shown_year(seat, crop_year)
    if part is None or not EARLIEST <= crop_year <= LATEST:
        raise Http404
    year = field_year(found, crop_year, until=part.until)
    on = part.day(seat.today)
    ground = spreadable_in(year, on)
    loads = list(
        records(seat, Load)
        .counted()
        .filter(crop_year=crop_year, parts__field=found)
        .select_related("spreader", "operation", "content_test__storage", "facts")
        .prefetch_related("parts__field", "draws__storage")
        .order_by("local_day", "started_at")
        .distinct()
    )
    findings = Judge(seat.operation).field_year(year) if seat.may("see_whole_log") else []
    context = {
        "field": found,
        "year": year,
        "left": year.left_over({kind: row.acres for kind, row in ground.items()}),
        "left_acres": [(kind, ground[kind]) for kind in sorted({s.kind for s in year.supplies})],
        "crop_year": crop_year,
        "until": part.until,
        "version": found.version_on(on),
        "loads": loads,
        "findings": findings,
        "is_judged": seat.may("see_whole_log"),
        "may_enter_facts": seat.may("amend") and found.version_on(seat.today) is not None,
        "counts": counts(findings),
        "sheet": sheet_of_year(year),
        "years": [one for one in (crop_year - 1, crop_year + 1) if shown_year(seat, one)],
        **_pictures(found, crop_year, loads, on),
    }
    return render(request, "book/field_year.html", context)


def _pictures(found: Field, crop_year: int, loads: list[Load], on: dt.date) -> dict[str, Any]:
    shown = loads[-MAP_LOADS:]
    picture = field_picture(found, on, shown, width=560, height=400)
    small = field_picture(found, on, shown, width=350, height=300)
    title = f"{found}, {crop_year}"
    desc = _("The field with its features, the ground to keep off and the ground covered.")
    closed = [*closed_windows(found, crop_year - 1), *closed_windows(found, crop_year)]
    today = on if on.year == crop_year else None
    band = {
        name: to_svg(
            field_band(crop_year, loads, found, closed=closed, today=today, width=width),
            title,
            _("Loads of the year as ticks by amount; closed seasons are hatched."),
        )
        for name, width in (("band_wide", 720), ("band_narrow", 358))
    }
    return {
        "drawn": to_svg(picture, title, desc) if picture else "",
        "drawn_small": to_svg(small, title, desc) if small else "",
        "map_data": year_map(found, on, shown) if picture else None,
        **band,
    }
