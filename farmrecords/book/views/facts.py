"""Facts that the rules in force ask of one field or one load, entered by a person."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from farmrecords.book.facts_form import FactsForm, initial_of
from farmrecords.book.forms import sent
from farmrecords.book.revisions import both_versions, opened_at, revision_of
from farmrecords.book.views.entry import ReasonForm
from farmrecords.farm.models import Field, FieldVersion
from farmrecords.findings.asked import asked_facts
from farmrecords.findings.permit_layer import layers, own_rules, rulebook_of
from farmrecords.history import write
from farmrecords.history.errors import NothingChanged, StaleRevision
from farmrecords.loads.models import Load
from farmrecords.people.access import Seat, may_amend_load, record, seated


@seated("amend")
def field_facts(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """What the rules ask of the field as it stands today; a correction for all its days."""
    field = record(seat, Field, pk)
    version = field.version_on(seat.today)
    if version is None:
        raise Http404
    return _page(request, seat, version, "field", [field], reverse_to(seat, "field", pk))


@seated("amend_load")
def load_facts(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """What the rules ask of one load."""
    load = record(seat, Load, pk)
    if not may_amend_load(seat, load):
        raise Http404
    fields = [part.field for part in load.parts.select_related("field__operation")]
    return _page(request, seat, load, "load", fields, reverse_to(seat, "load", pk))


def reverse_to(seat: Seat, page: str, pk: uuid.UUID) -> str:
    """The address of the record's own page."""
    return reverse(page, args=[seat.operation.slug, pk])


def _names(seat: Seat, kind: str, fields: list[Field], on: Any) -> tuple[str, ...]:
    conditions, book = own_rules(seat.operation), rulebook_of(seat.operation)
    stack = {
        name
        for field in fields
        for name in (*field.stack_on(on), *layers(conditions, field.pk, on))
    }
    return asked_facts(book, tuple(sorted(stack)), kind)


def _page(
    request: HttpRequest,
    seat: Seat,
    found: Load | FieldVersion,
    kind: str,
    fields: list[Field],
    back: str,
) -> HttpResponse:
    on = found.local_day if isinstance(found, Load) else seat.today
    names = _names(seat, kind, fields, on)
    form = FactsForm(sent(request), kind=kind, names=names, stored=found.further)
    reason = ReasonForm(sent(request))
    context: dict[str, Any] = {"form": form, "reason": reason, "back": back, "found": found}
    context |= {"rev": revision_of(request, found), "field": fields[0] if fields else None}
    if request.method == "POST" and form.is_valid() and reason.is_valid():
        try:
            _amend(request, seat, found, form, reason)
        except NothingChanged:
            form.add_error(None, _("Nothing was changed, so there is nothing to amend."))
        except StaleRevision:
            now = type(found)._default_manager.get(pk=found.pk)
            rows = both_versions(form, initial_of(now.further))
            context |= {"conflict": rows, "rev": now.rev}
        except ValidationError as problem:
            form.add_error(None, problem)
        else:
            messages.success(request, _("It is recorded; findings are judged with it."))
            return redirect(back)
    return render(request, "book/enter_facts.html", context)


def _amend(
    request: HttpRequest,
    seat: Seat,
    found: Load | FieldVersion,
    form: FactsForm,
    reason: ReasonForm,
) -> None:
    with write.change(by=seat.actor, channel="web") as change:
        change.amend(
            found,
            base_rev=opened_at(request),
            values={"further": form.further()},
            reason_code="entry_error",
            reason_text=reason.cleaned_data["reason_text"],
        )
