"""The log: every load, filtered, page by page."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from farmrecords.book.filters import LoadFilter
from farmrecords.book.keyset import page_of
from farmrecords.findings.models import FindingIndex
from farmrecords.findings.tasks import ask_when_due
from farmrecords.people.access import Seat, seated

WEIGHTY = ("not_met", "cannot_tell", "notice")


@seated("see")
def loads(request: HttpRequest, seat: Seat) -> HttpResponse:
    """The log with its filter; a filter that cannot be read shows why and filters nothing."""
    ask_when_due(seat.operation)
    chosen = LoadFilter(request.GET, seat)
    rows = chosen.qs if chosen.is_valid() else chosen.queryset.none()
    rows = rows.select_related("spreader", "person").prefetch_related(
        "parts__field", "draws__storage"
    )
    pager = page_of(rows, request.GET)
    outcomes = _outcomes(pager.rows)
    context = {
        "filter": chosen,
        "pager": pager,
        "rows": [(load, outcomes[load.pk]) for load in pager.rows],
        "may_enter": seat.may("enter_load"),
        "may_import": seat.may("import"),
    }
    return render(request, "book/loads.html", context)


def _outcomes(rows: list[Any]) -> dict[Any, list[tuple[str, int]]]:
    """Per load the weighty outcomes with their counts, from the index."""
    found: dict[Any, Counter] = defaultdict(Counter)
    lines = FindingIndex.objects.filter(load__in=[load.pk for load in rows])
    for load_id, outcome in lines.values_list("load_id", "outcome"):
        found[load_id][outcome] += 1
    return defaultdict(
        list,
        {
            load_id: [(o, counted[o]) for o in WEIGHTY if counted[o]]
            or ([("met", counted["met"])] if counted["met"] else [])
            for load_id, counted in found.items()
        },
    )
