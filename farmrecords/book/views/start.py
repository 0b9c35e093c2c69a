"""The start page: what needs attention, then what was recorded lately."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db.models import Count, Max
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from farmrecords.findings.models import FindingIndex
from farmrecords.loads.models import Load
from farmrecords.measurements.models import Deficiency, StorageLevel
from farmrecords.people.access import Seat, records, seated

RECENT = 8


@seated("see")
def start(request: HttpRequest, seat: Seat) -> HttpResponse:
    """What needs me, and the last loads."""
    week = (seat.today - dt.timedelta(days=seat.today.weekday()), seat.today)
    loads = records(seat, Load).filter(voided=False)
    recent = loads.select_related("spreader").prefetch_related("parts__field")[:RECENT]
    context: dict[str, Any] = {
        "recent": recent,
        "week": week,
        "week_loads": loads.counted().between(*week).count(),
        "waiting": loads.filter(status="waiting").count(),
        "may_decide": seat.may("decide_waiting"),
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
    rows: list[Any] = []
    if period:
        rows = list(
            FindingIndex.objects.filter(
                operation=seat.operation, day__gte=period[0], day__lte=period[1]
            )
            .exclude(outcome="met")
            .values("rule_id", "title", "outcome", "standing")
            .annotate(n=Count("id"), last_on=Max("day"))
            .order_by("outcome", "-n")
        )
    return {
        "period": period,
        "groups": [
            (outcome, [row for row in rows if row["outcome"] == outcome])
            for outcome in ("not_met", "cannot_tell", "notice")
        ],
        "deficiencies": records(seat, Deficiency).filter(voided=False, corrected_on__isnull=True),
        "missed_levels": records(seat, StorageLevel)
        .filter(voided=False, missed=True, read_on__gte=first)
        .select_related("storage"),
        "outcome_words": _("Rules that were not met, or that cannot be told yet"),
    }
