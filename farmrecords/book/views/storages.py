"""Storages: the list, one storage with its level line, and the level entry."""

from __future__ import annotations

import datetime as dt
import uuid
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import OuterRef, Subquery
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from farmrecords.book import farm_findings
from farmrecords.book.forms import LevelForm, sent
from farmrecords.book.sending import Sending, sent_once
from farmrecords.calculations.storage_budget import pump_out_mark
from farmrecords.drawing.inputs import LevelMark, LevelReading, Period
from farmrecords.drawing.storages import level_line
from farmrecords.drawing.svg import to_svg
from farmrecords.farm.models import Storage
from farmrecords.farm.shapes import depth_of, gallons_at
from farmrecords.findings.words import drawing_words
from farmrecords.history import clock
from farmrecords.loads.models import Load, LoadDraw
from farmrecords.measurements.models import ManureTest, StorageLevel
from farmrecords.people.access import Seat, record, records, seated


@seated("see_storages")
def storages(request: HttpRequest, seat: Seat) -> HttpResponse:
    """All storages with their last level."""
    found = list(records(seat, Storage).filter(voided=False))
    last = _last_readings(seat, found)
    rows = [(one, last.get(one.pk), gallons_at(one, last.get(one.pk))) for one in found]
    return render(request, "book/storages.html", {"rows": rows})


@seated("see_storages")
def storage(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """One storage: level line of the last twelve months, readings, what was drawn."""
    found = record(seat, Storage, pk)
    first = seat.today - dt.timedelta(days=365)
    readings = list(_readings(seat, found).filter(read_on__gte=first))
    drawn = (
        LoadDraw.objects.filter(
            storage=found, load__in=records(seat, Load).counted(), load__local_day__gte=first
        )
        if seat.may("see_whole_log")
        else LoadDraw.objects.none()
    )
    by_month: dict[str, int] = {}
    for day, milli in drawn.values_list("load__local_day", "amount_milli"):
        key = f"{day:%Y-%m}"
        by_month[key] = by_month.get(key, 0) + milli
    context = {
        "storage": found,
        "readings": readings[::-1],
        "volumes": {row.pk: gallons_at(found, row) for row in readings},
        "by_month": sorted(by_month.items(), reverse=True),
        "tests": records(seat, ManureTest).filter(storage=found, voided=False)[:6]
        if seat.may("see_measurements")
        else [],
        "may_enter": seat.may("enter_level") and found.form == "liquid",
        **_lines(seat, found, readings, first),
        **farm_findings.of_storage(seat, found),
    }
    return render(request, "book/storage.html", context)


def _last_readings(seat: Seat, found: list[Storage]) -> dict[Any, StorageLevel]:
    """The newest reading of each storage, in one question."""
    newest = _readings(seat, OuterRef("pk")).filter(missed=False).order_by("-read_on")
    ids = Storage.objects.filter(pk__in=[one.pk for one in found])
    last = ids.annotate(last=Subquery(newest.values("pk")[:1])).values("last")
    return {row.storage_id: row for row in StorageLevel.objects.filter(pk__in=last)}


def _readings(seat: Seat, found: Any) -> Any:
    rows = StorageLevel.objects.filter(storage=found, voided=False)
    if seat.role in ("planner", "inspector"):
        rows = rows.filter(pk__in=records(seat, StorageLevel).values("pk"))
    return rows.order_by("read_on")


def _lines(
    seat: Seat, found: Storage, readings: list[StorageLevel], first: dt.date
) -> dict[str, str]:
    if found.form != "liquid" or not found.depth_ft or not readings:
        return {}
    marks = []
    if found.pump_out_ft:
        marks.append(LevelMark(_("pump-out"), float(found.pump_out_ft)))
    if found.freeboard_ft and found.freeboard_ft <= found.depth_ft:
        top = pump_out_mark(float(found.depth_ft), 0.0, float(found.freeboard_ft))
        marks.append(LevelMark(_("freeboard"), top.depth_ft))
    points = [
        LevelReading(row.read_on, depth)
        for row in readings
        if (depth := depth_of(found, row)) is not None
    ]
    period = Period(first, seat.today)
    words = {}
    for name, width in (("level_wide", 720), ("level_narrow", 358)):
        drawing = level_line(
            period,
            points,
            depth_ft=float(found.depth_ft),
            marks=marks,
            missed_on=[row.read_on for row in readings if row.missed],
            today=seat.today,
            words=drawing_words(),
            width=width,
        )
        words[name] = to_svg(drawing, str(found), _("Level in feet against days."))
    return words


@seated("enter_level")
@sent_once
def enter_level(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """Today's level, or the record that it was missed; no other day may be named."""
    found = record(seat, Storage, pk)
    form = LevelForm(sent(request), storage=found)
    page = reverse("storage", args=[seat.operation.slug, pk])
    sending = Sending(request, seat, lambda _level: page)
    if sending.is_due(form):
        missed = form.cleaned_data["missed"]
        reading = form.cleaned_data["reading_ft"]
        level = StorageLevel(
            operation=seat.operation,
            storage=found,
            read_on=seat.today,
            read_at=None if missed else clock.now(),
            read_by=seat.person,
            reading_ft=None if missed else Decimal(reading),
            missed=missed,
            note=form.cleaned_data["note"],
        )
        try:
            with sending.change("web") as change:
                change.create(level, reason_code="entry")
        except ValidationError as problem:
            form.add_error(None, problem)
        else:
            messages.success(request, _("The level is recorded."))
            return redirect(page)
    context = {"form": form, "storage": found, "sending": sending}
    return render(request, "book/enter_level.html", context)
