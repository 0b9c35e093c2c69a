"""Which system tells how much nitrogen of the manure a crop can use: chosen, amended, void."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from farmrecords.book.correcting import amended, voided
from farmrecords.book.forms import sent
from farmrecords.book.history_lines import lines_of
from farmrecords.book.nitrogen_form import NitrogenForm
from farmrecords.book.revisions import revision_of
from farmrecords.book.sending import Sending, sent_once
from farmrecords.book.views.entry import ReasonForm
from farmrecords.people.access import Seat, may_correct, record, records, seated
from farmrecords.plan.models import NitrogenChoice


@seated("see_permit")
def choices(request: HttpRequest, seat: Seat) -> HttpResponse:
    """The choice in force today, and every other one, newest first."""
    rows = list(records(seat, NitrogenChoice).order_by("-from_on", "-recorded_at"))
    standing = next((row for row in rows if not row.voided and row.holds_on(seat.today)), None)
    context = {"rows": rows, "standing": standing, "may_enter": seat.may("enter_permit")}
    return render(request, "book/nitrogen.html", context)


@seated("see_permit")
def choice(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """One choice with the figures it stands for, how well each is known, and its history."""
    found = record(seat, NitrogenChoice, pk)
    context = {
        "choice": found,
        "history": lines_of(found),
        "may_enter": seat.may("enter_permit") and not found.voided and may_correct(seat, found),
    }
    return render(request, "book/nitrogen_choice.html", context)


@seated("enter_permit")
@sent_once
def enter_choice(request: HttpRequest, seat: Seat) -> HttpResponse:
    """Choose a system from a day on."""
    new = NitrogenChoice(operation=seat.operation)
    form = NitrogenForm(sent(request), instance=new, initial={"from_on": seat.today})
    slug = seat.operation.slug
    sending = Sending(request, seat, lambda pk: reverse("nitrogen_choice", args=[slug, pk]))
    if sending.is_due(form):
        try:
            with sending.change("web") as change:
                change.create(form.instance, reason_code="entry")
        except ValidationError as problem:
            form.add_error(None, problem)
        else:
            messages.success(request, _("It is recorded and counts from its first day."))
            return redirect("nitrogen", op=slug)
    return render(request, "book/enter_nitrogen.html", {"form": form, "sending": sending})


@seated("enter_permit")
def amend_choice(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """Correct a choice for all its days, with a reason; another system is a new choice."""
    found = record(seat, NitrogenChoice, pk)
    if found.voided or not may_correct(seat, found):
        raise Http404
    context: dict[str, Any] = {"choice": found, "rev": revision_of(request, found)}
    form = NitrogenForm(sent(request), instance=record(seat, NitrogenChoice, pk))
    reason = ReasonForm(sent(request))
    done, shown = amended(request, seat, found, form, reason)
    if done:
        messages.success(request, _("It is amended; both versions stay in its history."))
        return redirect("nitrogen_choice", op=seat.operation.slug, pk=pk)
    return render(
        request, "book/amend_nitrogen.html", context | shown | {"form": form, "reason": reason}
    )


@seated("enter_permit")
def void_choice(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """Take a choice back with a reason; it stays visible."""
    found = record(seat, NitrogenChoice, pk)
    if found.voided or not may_correct(seat, found):
        raise Http404
    reason = ReasonForm(sent(request))
    context = {"choice": found, "reason": reason, "rev": revision_of(request, found)}
    done, shown = voided(request, seat, found, reason)
    if done:
        messages.success(request, _("It is void and counts on no day. It stays in the list."))
        return redirect("nitrogen_choice", op=seat.operation.slug, pk=pk)
    return render(request, "book/void_nitrogen.html", context | shown)
