"""Tests: manure results as reported with the converted figures beside, and soil results."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.db.models.functions import Length
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from farmrecords.book.forms import ManureTestForm, sent
from farmrecords.book.history_lines import lines_of
from farmrecords.book.sending import Sending, sent_once
from farmrecords.book.sheets import sheet_of_test
from farmrecords.loads.models import Load
from farmrecords.loads.nutrients import content_of
from farmrecords.measurements.models import ManureTest, SoilTest
from farmrecords.people.access import Seat, record, records, seated


@seated("see_measurements")
def tests(request: HttpRequest, seat: Seat) -> HttpResponse:
    """Manure and soil tests, newest first."""
    manure = records(seat, ManureTest).filter(voided=False).select_related("storage")
    soil = records(seat, SoilTest).filter(voided=False).select_related("field")
    context = {
        "manure": [(test, _content(test)) for test in manure],
        "soil": soil.order_by(Length("field__number"), "field__number", "-sampled_on"),
        "may_enter": seat.may("enter_measurement"),
    }
    return render(request, "book/tests.html", context)


def _content(test: ManureTest):
    try:
        return content_of(test)
    except ValueError:
        return None


@seated("see_measurements")
def manure_test(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """One laboratory sheet, its worksheet, and the loads that use it."""
    found = record(seat, ManureTest, pk)
    used = records(seat, Load).counted().filter(Q(rate_test=found) | Q(content_test=found))
    context = {
        "test": found,
        "content": _content(found),
        "sheet": sheet_of_test(found),
        "used": used.order_by("-local_day")[:50],
        "used_count": used.count(),
        "may_renew": seat.may("amend") and found.storage_id is not None and not found.voided,
        "history": lines_of(found),
    }
    return render(request, "book/manure_test.html", context)


@seated("enter_measurement")
@sent_once
def enter_manure_test(request: HttpRequest, seat: Seat) -> HttpResponse:
    """Enter a laboratory sheet with its values and units as reported."""
    form = ManureTestForm(sent(request), seat=seat)
    slug = seat.operation.slug
    sending = Sending(request, seat, lambda pk: reverse("manure_test", args=[slug, pk]))
    if sending.is_due(form):
        test = form.to_test(seat.operation)
        try:
            with sending.change("web") as change:
                change.create(test, reason_code="entry")
        except ValidationError as problem:
            form.add_problem(problem)
        else:
            if test.voided:
                messages.warning(
                    request,
                    _("The period of that day is filed: the test is kept and waits for the owner."),
                )
            else:
                messages.success(request, _("The test is recorded."))
            return redirect("manure_test", op=slug, pk=test.pk)
    return render(request, "book/enter_manure_test.html", {"form": form, "sending": sending})
