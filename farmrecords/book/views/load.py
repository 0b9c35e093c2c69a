"""One load: what was recorded, where it went, what the rules say, how it came to read so."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _

from farmrecords.book.history_lines import lines_of
from farmrecords.book.map_data import load_map
from farmrecords.book.sheets import sheets_of_load
from farmrecords.drawing.svg import to_svg
from farmrecords.farm.models import Field, Storage
from farmrecords.findings.judging import counts, of_load
from farmrecords.findings.pictures import field_picture
from farmrecords.history.read import as_of
from farmrecords.loads.available import Choices
from farmrecords.loads.facts import facts_of
from farmrecords.loads.facts_past import facts_as_of
from farmrecords.loads.models import Load
from farmrecords.loads.nutrients import of_load as nutrients_of
from farmrecords.people.access import Seat, may_amend_load, record, records, seated


@seated("see")
def load(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """One load with map, findings and history; `as_of` shows how it read at a past moment."""
    now = record(seat, Load, pk, _with_all(records(seat, Load)))
    asked = request.GET.get("as_of", "").strip()
    if asked:
        return _past(request, seat, now, asked)
    kept = facts_of(now)
    findings = of_load(now) if now.counts else []
    context = {
        "load": now,
        "parts": _parts(now, kept),
        "findings": findings,
        "counts": counts(findings),
        "sheets": sheets_of_load(now, kept),
        "history": lines_of(now),
        "may_amend": may_amend_load(seat, now),
        "open_fields": _open(seat, Field, now.parts.all(), "field_id"),
        "open_storages": _open(seat, Storage, now.draws.all(), "storage_id"),
        "may_void": seat.may("void") and not now.voided,
        "may_decide": seat.may("decide_waiting") and now.status == "waiting",
        **_pictures(now, kept),
    }
    return render(request, "book/load.html", context)


def _open(seat: Seat, model: Any, rows: Any, name: str) -> set[Any]:
    """Which of the records a load names have a page for the seat, so that no link leads nowhere."""
    if model is Storage and not seat.may("see_storages"):
        return set()
    named = [getattr(row, name) for row in rows]
    return set(records(seat, model).filter(pk__in=named).values_list("pk", flat=True))


def _with_all(rows: Any) -> Any:
    return rows.select_related(
        "operation", "spreader", "person", "rate_test__storage", "content_test__storage"
    ).prefetch_related("parts__field__operation", "draws__storage")


def _parts(shown: Load, kept: Any) -> list[dict[str, Any]]:
    by_number = {row["part"]: row for row in kept.parts}
    pounds = {line.part.number: line for line in nutrients_of(shown)}
    chosen = Choices(shown.operation)
    return [
        {
            "part": part,
            "facts": by_number.get(part.number),
            "pounds": pounds.get(part.number),
            "available": chosen.of(shown, part.amount_milli),
        }
        for part in shown.parts.all()
    ]


def _pictures(shown: Load, kept: Any) -> dict[str, Any]:
    first = next(iter(shown.parts.all()), None)
    if first is None:
        return {}
    picture = field_picture(first.field, shown.local_day, [shown], width=560, height=400)
    small = field_picture(first.field, shown.local_day, [shown], width=350, height=300)
    title = f"{first.field}, {shown.local_day:%Y-%m-%d}"
    desc = _(
        "The field with its features, the ground to keep off and the ground this load covered."
    )
    return {
        "drawn": to_svg(picture, title, desc) if picture else "",
        "drawn_small": to_svg(small, title, desc) if small else "",
        "map_data": load_map(shown, kept) if picture else None,
    }


def _past(request: HttpRequest, seat: Seat, now: Load, asked: str) -> HttpResponse:
    moment = _moment(asked, seat)
    past = as_of(Load, now.pk, moment)
    if past is None:
        raise Http404
    context = {
        "load": past,
        "now": now,
        "moment": moment,
        "parts": _parts_then(past, facts_as_of(now, moment)),
        "open_storages": _open(seat, Storage, past.draws.all(), "storage_id"),
    }
    return render(request, "book/load_past.html", context)


def _parts_then(past: Load, told: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The parts of the load with the acres and distances that were worked out for it then."""
    by_number = {row["part"]: row for row in told}
    return [{"part": part, "facts": by_number.get(part.number)} for part in past.parts.all()]


def _moment(asked: str, seat: Seat) -> dt.datetime:
    """The moment asked for; without an offset it is a time on the farm's clock."""
    try:
        moment = parse_datetime(asked) or dt.datetime.fromisoformat(asked)
    except (ValueError, ValidationError) as error:
        raise Http404 from error
    return moment if moment.tzinfo else moment.replace(tzinfo=seat.operation.zone)
