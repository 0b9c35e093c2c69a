"""The start page: what needs attention, then what was recorded lately."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db.models import Count, Max, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from farmrecords.book import farm_findings
from farmrecords.book.granted import shown_year
from farmrecords.farm.models import Field
from farmrecords.findings.models import FindingIndex
from farmrecords.findings.tasks import ask_when_due
from farmrecords.loads.models import Load
from farmrecords.measurements.models import Deficiency, StorageLevel
from farmrecords.people.access import Seat, records, seated
from farmrecords.people.models import LateRecord

RECENT = 8
OF_A_RULE = ("rule_id", "title", "outcome", "standing")


@seated("see")
def start(request: HttpRequest, seat: Seat) -> HttpResponse:
    """What needs me, and the last loads."""
    ask_when_due(seat.operation)
    week = (seat.today - dt.timedelta(days=seat.today.weekday()), seat.today)
    loads = records(seat, Load).filter(voided=False)
    recent = loads.select_related("spreader").prefetch_related("parts__field")[:RECENT]
    context: dict[str, Any] = {
        "recent": recent,
        "week": week,
        "week_loads": loads.counted().between(*week).count(),
        "waiting": loads.filter(status="waiting").count(),
        "may_enter": seat.may("enter_load"),
    }
    if seat.may("see_whole_log"):
        context |= _attention(seat)
    return render(request, "book/start.html", context)


def _period(seat: Seat) -> tuple[dt.date, dt.date] | None:
    """This year as far as the seat sees it; else the latest granted period that has begun."""
    year = dt.date(seat.today.year, 1, 1), dt.date(seat.today.year, 12, 31)
    begun = sorted((period for period in seat.periods if period[0] <= seat.today), reverse=True)
    return seat.narrowed_period(*year) or next(iter(begun), None)


def _attention(seat: Seat) -> dict[str, Any]:
    first = dt.date(seat.today.year, 1, 1)
    period = _period(seat)
    rows: list[dict[str, Any]] = []
    if period:
        on_farm = farm_findings.rows_by_rule(seat, period)
        rows = [*_on_loads(seat, period), *_on_fields(seat, period), *on_farm]
    return {
        "period": period,
        "late": records(seat, LateRecord).filter(voided=False, state="waiting").count(),
        "groups": [
            (outcome, [row for row in rows if row["outcome"] == outcome])
            for outcome in ("not_met", "cannot_tell", "notice")
        ],
        "deficiencies": records(seat, Deficiency).filter(voided=False, corrected_on__isnull=True),
        "missed_levels": records(seat, StorageLevel)
        .filter(voided=False, missed=True, read_on__gte=first)
        .select_related("storage"),
    }


def _indexed(seat: Seat, period: tuple[dt.date, dt.date]) -> QuerySet[FindingIndex]:
    return FindingIndex.objects.filter(operation=seat.operation, day__range=period).exclude(
        outcome="met"
    )


def _on_loads(seat: Seat, period: tuple[dt.date, dt.date]) -> list[dict[str, Any]]:
    """A line for each rule and outcome of loads: how many, and the last day."""
    rows = _indexed(seat, period).filter(load__isnull=False).values(*OF_A_RULE)
    return list(rows.annotate(n=Count("id"), last_on=Max("day")).order_by("outcome", "-n"))


def _on_fields(seat: Seat, period: tuple[dt.date, dt.date]) -> list[dict[str, Any]]:
    """A line for each rule and outcome of fields' years, with the years it speaks of."""
    rows = _indexed(seat, period).filter(field__isnull=False)
    rows = rows.order_by("rule_id", "field__number", "crop_year")
    lands = {land.pk: land for land in records(seat, Field)}
    found: dict[tuple[Any, ...], dict[str, Any]] = {}
    for row in rows.values(*OF_A_RULE, "field_id", "crop_year", "day"):
        key = tuple(row[name] for name in OF_A_RULE)
        line = found.setdefault(
            key,
            dict(zip(OF_A_RULE, key, strict=True)) | {"n": 0, "last_on": row["day"], "years": []},
        )
        line["n"] += 1
        line["last_on"] = max(line["last_on"], row["day"])
        if row["field_id"] in lands and shown_year(seat, row["crop_year"]):
            line["years"].append((lands[row["field_id"]], row["crop_year"]))
    return sorted(found.values(), key=lambda line: -line["n"])
