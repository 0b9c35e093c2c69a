"""Amending and voiding from a page: one way for every kind of record.

Each returns whether it was written, and what the page shows when it was not: the refusal stands on
the form, and who was slower sees what the other person wrote.
"""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext as _

from farmrecords.book.revisions import both_versions, changed_since, opened_at
from farmrecords.history import write
from farmrecords.history.errors import NothingChanged, StaleRevision
from farmrecords.history.recorded import Recorded
from farmrecords.people.access import Seat, record

Shown = dict[str, Any]


def amended(
    request: HttpRequest,
    seat: Seat,
    found: Recorded,
    form: Any,
    reason: forms.Form,
) -> tuple[bool, Shown]:
    """Write the form's `values()` over the record; `stored(record)` is a record as it shows it.

    The form stands on its own copy of the record: checking it writes on that copy.
    """
    if request.method != "POST" or not form.is_valid() or not reason.is_valid():
        return False, {}
    try:
        with write.change(by=seat.actor, channel="web") as change:
            change.amend(
                found,
                base_rev=opened_at(request),
                values=form.values(),
                reason_code="entry_error",
                reason_text=reason.cleaned_data["reason_text"],
            )
    except NothingChanged:
        form.add_error(None, _("Nothing was changed, so there is nothing to amend."))
    except StaleRevision:
        held = record(seat, type(found), found.pk)
        return False, {"conflict": both_versions(form, form.stored(held)), "rev": held.rev}
    except ValidationError as problem:
        form.add_problem(problem)
    else:
        return True, {}
    return False, {}


def voided(
    request: HttpRequest, seat: Seat, found: Recorded, reason: forms.Form
) -> tuple[bool, Shown]:
    """Take the record back with the reason."""
    if request.method != "POST" or not reason.is_valid():
        return False, {}
    try:
        with write.change(by=seat.actor, channel="web") as change:
            change.void(
                found,
                base_rev=opened_at(request),
                reason_code="void",
                reason_text=reason.cleaned_data["reason_text"],
            )
    except StaleRevision:
        return False, changed_since(request, record(seat, type(found), found.pk))
    except ValidationError as problem:
        reason.add_error(None, problem)
        return False, {}
    return True, {}
