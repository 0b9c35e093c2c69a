"""The operation's permit: its dated facts, and the conditions and papers entered from it."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from farmrecords.book import farm_findings
from farmrecords.book.correcting import amended, voided
from farmrecords.book.forms import sent
from farmrecords.book.history_lines import lines_of
from farmrecords.book.permit_form import ConditionForm
from farmrecords.book.revisions import revision_of
from farmrecords.book.sending import Sending, sent_once
from farmrecords.book.views.entry import ReasonForm
from farmrecords.people.access import Seat, may_correct, record, records, seated
from farmrecords.people.models import Permit
from farmrecords.plan.models import PermitCondition


@seated("see_permit")
def permit(request: HttpRequest, seat: Seat) -> HttpResponse:
    """The permit facts in force today, and every condition, those in force first."""
    rows = list(records(seat, PermitCondition).select_related("field", "feature"))
    today = seat.today
    standing = [row for row in rows if not row.voided and row.holds_on(today)]
    rest = [row for row in rows if row not in standing]
    context = {
        "permit": records(seat, Permit).in_force(today).first(),
        "standing": sorted(standing, key=_order),
        "rest": sorted(rest, key=_order, reverse=True),
        "may_enter": seat.may("enter_permit"),
        **farm_findings.of_operation(seat),
    }
    return render(request, "book/permit.html", context)


def _order(row: PermitCondition) -> tuple[object, ...]:
    return row.from_on, row.kind, row.text


@seated("see_permit")
def condition(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """One condition with its document, its days and its history."""
    found = record(seat, PermitCondition, pk)
    context = {
        "condition": found,
        "history": lines_of(found),
        "may_enter": seat.may("enter_permit") and not found.voided and may_correct(seat, found),
    }
    return render(request, "book/permit_condition.html", context)


@seated("enter_permit")
@sent_once
def enter_condition(request: HttpRequest, seat: Seat) -> HttpResponse:
    """Enter a condition, waiver, variance or approval from its document."""
    new = PermitCondition(operation=seat.operation)
    form = ConditionForm(sent(request), seat=seat, instance=new, initial={"from_on": seat.today})
    slug = seat.operation.slug
    sending = Sending(request, seat, lambda pk: reverse("permit_condition", args=[slug, pk]))
    if sending.is_due(form):
        try:
            with sending.change("web") as change:
                change.create(form.instance, reason_code="entry")
        except ValidationError as problem:
            form.add_error(None, problem)
        else:
            messages.success(request, _("It is recorded and joins the rules from its first day."))
            return redirect("permit", op=slug)
    return render(request, "book/enter_condition.html", {"form": form, "sending": sending})


@seated("enter_permit")
def amend_condition(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """Correct a condition for all its days, with a reason; a change of terms is a new one."""
    found = record(seat, PermitCondition, pk)
    if found.voided or not may_correct(seat, found):
        raise Http404
    context: dict[str, Any] = {"condition": found, "rev": revision_of(request, found)}
    own = record(seat, PermitCondition, pk)
    form = ConditionForm(sent(request), seat=seat, instance=own)
    reason = ReasonForm(sent(request))
    done, shown = amended(request, seat, found, form, reason)
    if done:
        messages.success(request, _("It is amended; both versions stay in its history."))
        return redirect("permit_condition", op=seat.operation.slug, pk=pk)
    return render(
        request, "book/amend_condition.html", context | shown | {"form": form, "reason": reason}
    )


@seated("enter_permit")
def void_condition(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """Take a condition back with a reason; it stays visible."""
    found = record(seat, PermitCondition, pk)
    if found.voided or not may_correct(seat, found):
        raise Http404
    reason = ReasonForm(sent(request))
    context = {"condition": found, "reason": reason, "rev": revision_of(request, found)}
    done, shown = voided(request, seat, found, reason)
    if done:
        messages.success(request, _("It is void and judges nothing. It stays in the list."))
        return redirect("permit_condition", op=seat.operation.slug, pk=pk)
    return render(request, "book/void_condition.html", context | shown)
