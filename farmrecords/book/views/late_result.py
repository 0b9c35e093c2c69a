"""A laboratory result that came after the loads: the loads that would now rest on it."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from farmrecords.history.write import StaleRevision
from farmrecords.loads.entry import EntryProblem, apply_content_tests, propose_content_tests
from farmrecords.measurements.models import ManureTest
from farmrecords.people.access import Seat, record, seated

SHOWN = 400


@require_http_methods(["GET", "HEAD", "POST"])
@seated("amend")
def late_result(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """Proposes the test for loads that stood on the default; marked ones are amended."""
    found = record(seat, ManureTest, pk)
    proposals = propose_content_tests(seat.operation, found)[:SHOWN]
    context: dict[str, Any] = {
        "test": found,
        "proposals": proposals,
        "reason_text": request.POST.get("reason_text", ""),
    }
    status = 200
    if request.method == "POST":
        chosen = set(request.POST.getlist("chosen"))
        loads = [one.load for one in proposals if f"{one.load.pk}:{one.load.rev}" in chosen]
        try:
            if not chosen or len(loads) != len(chosen):
                raise EntryProblem(_("Mark the loads that rest on this test, and send again."))
            number = apply_content_tests(seat, loads, found, context["reason_text"])
        except EntryProblem as problem:
            status, context["problems"] = 422, problem.messages
        except StaleRevision:
            status = 409
            context["problems"] = [_("Somebody else changed one of the loads. Look again.")]
        else:
            words = ngettext("%(n)d load was amended.", "%(n)d loads were amended.", number)
            messages.success(request, words % {"n": number})
            return redirect("manure_test", op=seat.operation.slug, pk=pk)
    return render(request, "book/late_result.html", context, status=status)
