"""Entering, amending and voiding a load, and deciding on one that came late."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import BadRequest
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.book.forms import plain_helper, sent
from farmrecords.book.load_form import LoadForm
from farmrecords.book.load_said import initial_of
from farmrecords.book.revisions import both_versions, changed_since, opened_at, revision_of
from farmrecords.book.sending import Sending, sent_once
from farmrecords.history import clock
from farmrecords.history.errors import StaleRevision
from farmrecords.loads.entry import (
    EntryProblem,
    amend_load,
    decide_waiting,
    record_load,
    void_load,
)
from farmrecords.loads.models import Load
from farmrecords.people.access import Seat, may_amend_load, record, records, seated
from farmrecords.people.plain_errors import PlainForm


class ReasonForm(PlainForm):
    """The reason every amendment and void carries."""

    reason_text = forms.CharField(
        label=gettext_lazy("Reason"), max_length=250, widget=forms.TextInput
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()


@seated("enter_load")
@sent_once
def enter_load(request: HttpRequest, seat: Seat) -> HttpResponse:
    """Enter one load. A breach of a rule is recorded and judged, never refused."""
    form = LoadForm(sent(request), seat=seat, initial=_first_values(request, seat))
    sending = Sending(request, seat, lambda pk: reverse("load", args=[seat.operation.slug, pk]))
    if sending.is_due(form):
        channel = "paper" if form.cleaned_data["from_paper"] else "web"
        try:
            with sending.change(channel) as change:
                load = record_load(seat, form.to_draft(), channel=channel, change=change)
        except EntryProblem as problem:
            form.add_problem(problem)
        else:
            _tell(request, load, _("The load is recorded."))
            return redirect("load", op=seat.operation.slug, pk=load.pk)
    return render(request, "book/enter_load.html", {"form": form, "sending": sending})


def _first_values(request: HttpRequest, seat: Seat) -> dict[str, Any]:
    now = clock.now().astimezone(seat.operation.zone).replace(tzinfo=None, second=0, microsecond=0)
    found: dict[str, Any] = {
        "started": now,
        "measured_by": "rated",
        "ground": "unknown",
        "person": seat.person.pk,
    }
    last = records(seat, Load).filter(voided=False, person=seat.person).first()
    if last:
        found |= {
            "spreader": last.spreader_id,
            "method": last.method,
            "amount_unit": last.amount_unit,
            "storage_1": next((draw.storage_id for draw in last.draws.all()), None),
        }
    return found


def _tell(request: HttpRequest, load: Load, words: str) -> None:
    messages.success(request, words)
    for warning in getattr(load, "warnings", []):
        messages.warning(request, warning)
    if load.status == "waiting":
        messages.warning(
            request,
            _(
                "The period of this day is filed. The load is kept and waits for the decision of "
                "the person who signs; it does not count until then."
            ),
        )


@seated("amend_load")
def amend(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """Amend a load with a reason, at the revision the form was opened at."""
    found = record(seat, Load, pk)
    if not may_amend_load(seat, found):
        raise Http404
    form = LoadForm(sent(request), seat=seat, load=found, initial=initial_of(found))
    reason = ReasonForm(sent(request))
    context: dict[str, Any] = {"form": form, "reason": reason, "load": found}
    context["rev"] = revision_of(request, found)
    if request.method == "POST" and form.is_valid() and reason.is_valid():
        try:
            load = amend_load(
                seat,
                found,
                form.to_draft(),
                base_rev=opened_at(request),
                reason_code="entry_error",
                reason_text=reason.cleaned_data["reason_text"],
            )
        except EntryProblem as problem:
            form.add_problem(problem)
        except StaleRevision:
            current = record(seat, Load, pk)
            rows = both_versions(form, initial_of(current))
            context |= {"conflict": rows, "load": current, "rev": current.rev}
        else:
            _tell(request, load, _("The load is amended; both versions stay in its history."))
            return redirect("load", op=seat.operation.slug, pk=load.pk)
    return render(request, "book/amend_load.html", context)


@seated("void")
def void(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """Take a load out of the count with a reason; it stays visible."""
    found = record(seat, Load, pk)
    if found.voided:
        raise Http404
    reason = ReasonForm(sent(request))
    context: dict[str, Any] = {"reason": reason, "rev": revision_of(request, found)}
    if request.method == "POST" and reason.is_valid():
        said = reason.cleaned_data["reason_text"]
        try:
            void_load(seat, found, base_rev=opened_at(request), reason_text=said)
        except EntryProblem as problem:
            reason.add_error(None, problem.messages)
        except StaleRevision:
            found = record(seat, Load, pk)
            context |= changed_since(request, found)
        else:
            messages.success(request, _("The load is void. It stays in the log, struck out."))
            return redirect("load", op=seat.operation.slug, pk=pk)
    return render(request, "book/void_load.html", context | {"load": found})


@seated("decide_waiting")
def decide(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """The signatory's decision on a load that came late for a filed period."""
    found = record(seat, Load, pk)
    if found.status != "waiting" or found.voided:
        raise Http404
    reason = ReasonForm(sent(request))
    context: dict[str, Any] = {"reason": reason, "rev": revision_of(request, found)}
    if request.method == "POST" and reason.is_valid():
        decision = request.POST.get("decision")
        if decision not in ("accept", "refuse"):
            raise BadRequest
        said = reason.cleaned_data["reason_text"]
        try:
            decide_waiting(seat, found, decision == "accept", said, base_rev=opened_at(request))
        except EntryProblem as problem:
            reason.add_error(None, problem.messages)
        except StaleRevision:
            found = record(seat, Load, pk)
            context |= changed_since(request, found)
        else:
            messages.success(request, _("The decision is recorded."))
            return redirect("load", op=seat.operation.slug, pk=pk)
    return render(request, "book/decide.html", context | {"load": found})
