"""Facts that the rules in force ask of a record, entered by a person."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
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
from farmrecords.farm.further import check_further
from farmrecords.farm.models import Feature, Field
from farmrecords.findings.asked import asked_facts
from farmrecords.findings.permit_layer import layers, own_rules, rulebook_of
from farmrecords.history import write
from farmrecords.history.errors import NothingChanged, StaleRevision
from farmrecords.loads.models import Load
from farmrecords.people.access import Seat, may_amend_load, record, records, seated
from farmrecords.people.models import Permit
from farmrecords.plan.models import PlannedCrop


@seated("amend")
def field_facts(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """What the rules ask of the field as it stands today; a correction for all its days."""
    field = record(seat, Field, pk)
    version = field.version_on(seat.today)
    if version is None:
        raise Http404
    return _page(
        request, seat, version, "field", [field], reverse_to(seat, "field", pk),
        others=_others(seat, field),
    )  # fmt: skip


@seated("amend_load")
def load_facts(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """What the rules ask of one load."""
    load = record(seat, Load, pk)
    if not may_amend_load(seat, load):
        raise Http404
    fields = [part.field for part in load.parts.select_related("field__operation")]
    return _page(request, seat, load, "load", fields, reverse_to(seat, "load", pk))


@seated("amend")
def feature_facts(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """What the rules of any field of the operation ask of one feature."""
    feature = _standing(seat, Feature, pk)
    fields = list(records(seat, Field).filter(voided=False))
    back = reverse("record_page", args=[seat.operation.slug, "features", pk])
    return _page(request, seat, feature, "feature", fields, back)


@seated("enter_plan")
def plan_facts(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """What the rules ask of the plan for one crop of a field."""
    crop = _standing(seat, PlannedCrop, pk)
    back = reverse_to(seat, "field", crop.field_id)
    return _page(request, seat, crop, "plan", [crop.field], back)


@seated("enter_permit")
def operation_facts(request: HttpRequest, seat: Seat) -> HttpResponse:
    """What the rules ask of the operation; kept with the permit facts in force today."""
    permit = records(seat, Permit).in_force(seat.today).first()
    if permit is None:
        raise Http404
    fields = list(records(seat, Field).filter(voided=False))
    return _page(request, seat, permit, "operation", fields, reverse("permit", args=_op(seat)))


def _op(seat: Seat) -> list[str]:
    return [seat.operation.slug]


def _standing(seat: Seat, model: type[Any], pk: uuid.UUID) -> Any:
    found = record(seat, model, pk)
    if found.voided:
        raise Http404
    return found


def _others(seat: Seat, field: Field) -> list[tuple[str, str]]:
    """Where the facts of the plan, of features and of the operation are entered."""
    found: list[tuple[str, str]] = []
    plan = field.operation.plan_versions.the_one_in_force(seat.today)
    if plan is not None and seat.may("enter_plan"):
        crops = records(seat, PlannedCrop).filter(plan=plan, field=field, voided=False)
        for crop in crops.order_by("-crop_year", "crop"):
            words = _("the plan: %(crop)s, crop year %(year)s")
            told = words % {"crop": crop.crop, "year": crop.crop_year}
            found.append((told, reverse_to(seat, "plan_facts", crop.pk)))
    if seat.may("enter_permit") and records(seat, Permit).in_force(seat.today).exists():
        found.append((_("the operation"), reverse("operation_facts", args=_op(seat))))
    for feature in records(seat, Feature).in_force(seat.today).filter(voided=False):
        words = f"{feature.get_kind_display()}: {feature.name}" if feature.name else str(feature)
        found.append((words, reverse_to(seat, "feature_facts", feature.pk)))
    return found


def reverse_to(seat: Seat, page: str, pk: uuid.UUID) -> str:
    """The address of the record's own page."""
    return reverse(page, args=[seat.operation.slug, pk])


def _names(seat: Seat, kind: str, fields: list[Field], on: Any) -> tuple[str, ...]:
    """Facts asked by the rules of the fields and of the operation on the day."""
    conditions, book = own_rules(seat.operation), rulebook_of(seat.operation)
    stack = set(seat.operation.stack_on(on)) if kind == "operation" else set()
    stack |= {
        name
        for field in fields
        for name in (*field.stack_on(on), *layers(conditions, field.pk, on))
    }
    return asked_facts(book, tuple(sorted(stack)), kind)


def _page(
    request: HttpRequest,
    seat: Seat,
    found: Any,
    kind: str,
    fields: list[Field],
    back: str,
    others: Sequence[tuple[str, str]] = (),
) -> HttpResponse:
    on = found.local_day if isinstance(found, Load) else seat.today
    names = _names(seat, kind, fields, on)
    form = FactsForm(sent(request), kind=kind, names=names, stored=found.further)
    reason = ReasonForm(sent(request))
    context: dict[str, Any] = {"form": form, "reason": reason, "back": back, "found": found}
    context |= {"rev": revision_of(request, found), "others": others}
    context["field"] = fields[0] if kind in ("field", "load", "plan") and fields else None
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
    found: Any,
    form: FactsForm,
    reason: ReasonForm,
) -> None:
    check_further(form.kind, form.further())
    with write.change(by=seat.actor, channel="web") as change:
        change.amend(
            found,
            base_rev=opened_at(request),
            values={"further": form.further()},
            reason_code="entry_error",
            reason_text=reason.cleaned_data["reason_text"],
        )
