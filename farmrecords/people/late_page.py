"""The page of what came late for a filed period and waits for the owner's decision."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import BadRequest, ValidationError
from django.db import models
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from farmrecords.history.errors import StaleRevision
from farmrecords.history.recorded import columns
from farmrecords.people import filed
from farmrecords.people.access import Seat, records, seated
from farmrecords.people.models import LateRecord

SHOWN = 200
APART = {"operation", "id"}


@require_http_methods(["GET", "HEAD", "POST"])
@seated("see_whole_log")
def late_records(request: HttpRequest, seat: Seat) -> HttpResponse:
    """What waits, oldest day first; the owner marks lines and decides them with one reason."""
    status, problems = 200, list[str]()
    if request.method == "POST":
        if not seat.may("decide_waiting"):
            raise Http404
        try:
            _decide(request, seat)
        except ValidationError as problem:
            status, problems = 422, problem.messages
        except StaleRevision:
            status, problems = 409, [_("Somebody decided on one of them meanwhile. Look again.")]
        else:
            messages.success(request, _("The decision is recorded."))
            return redirect("late_records", op=seat.operation.slug)
    waiting = records(seat, LateRecord).filter(state="waiting", voided=False)
    found = waiting.order_by("day", "recorded_at", "id").select_related("period")
    context = {
        "rows": [{"late": late, "said": said_of(late.row)} for late in found[:SHOWN]],
        "count": found.count(),
        "may_decide": seat.may("decide_waiting"),
        "problems": problems,
        "reason_text": request.POST.get("reason_text", ""),
    }
    return render(request, "people/late_records.html", context, status=status)


def _decide(request: HttpRequest, seat: Seat) -> None:
    decision = request.POST.get("decision")
    if decision not in ("accept", "refuse"):
        raise BadRequest
    chosen: list[tuple[LateRecord, int]] = []
    known = {str(late.pk): late for late in filed.waiting(seat)}
    for text in request.POST.getlist("chosen"):
        key, _colon, rev = text.partition(":")
        if key not in known or not (rev.isascii() and rev.isdigit() and len(rev) < 10):
            raise ValidationError(_("The page is out of date. Look again and decide."))
        chosen.append((known[key], int(rev)))
    if not chosen:
        raise ValidationError(_("Mark the lines that the decision is about."))
    filed.decide_all(seat, chosen, decision == "accept", request.POST.get("reason_text", ""))


def said_of(row: models.Model) -> list[tuple[str, str]]:
    """What a record says, column by column: (what, value), empty ones left out."""
    found = []
    for column in columns(type(row)):
        if column.name in APART or isinstance(column, models.JSONField):
            continue
        if value := _shown(row, column):
            found.append((str(column.verbose_name), value))
    return found


def _shown(row: Any, column: Any) -> str:
    if column.choices:
        return str(getattr(row, f"get_{column.name}_display")())
    value = getattr(row, column.name)
    if isinstance(value, bool):
        return str(_("yes") if value else _("no"))
    return "" if value is None else str(value)
