"""“May I spread here today?”: the answer for a planned load, field by field."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.book.forms import day_input, offer, plain_helper
from farmrecords.calculations.units import Amount, AmountError, parse_amount
from farmrecords.farm.models import Field, Spreader, Storage
from farmrecords.findings.may_i_spread import Answer, Asked, answers
from farmrecords.loads.kinds import GROUND, METHODS, OFFERED_UNITS
from farmrecords.loads.models import Load
from farmrecords.loads.problems import problem_words
from farmrecords.loads.year import years_of
from farmrecords.people.access import Seat, records, seated
from farmrecords.people.plain_errors import PlainForm

ORDER = ("open", "partly_open", "cannot_tell", "closed")
EARLIEST, LATEST = dt.timedelta(days=366), dt.timedelta(days=366)


class AskForm(PlainForm):
    """A planned load: from where, with what, how, how much, when, on what ground."""

    field = forms.ModelChoiceField(
        label=gettext_lazy("Field"),
        queryset=Field.objects.none(),
        required=False,
        empty_label=gettext_lazy("every field"),
    )
    storage = forms.ModelChoiceField(
        label=gettext_lazy("Storage"), queryset=Storage.objects.none(), empty_label=None
    )
    spreader = forms.ModelChoiceField(
        label=gettext_lazy("Spreader"), queryset=Spreader.objects.none(), required=False
    )
    method = forms.ChoiceField(label=gettext_lazy("Method"), choices=METHODS)
    incorporated_within_h = forms.DecimalField(
        label=gettext_lazy("Worked in within, hours"), min_value=0, max_value=240, required=False
    )
    amount_text = forms.CharField(
        label=gettext_lazy("Amount for one field"), max_length=20, required=False
    )
    amount_unit = forms.ChoiceField(label=gettext_lazy("Unit"), choices=OFFERED_UNITS)
    on = forms.DateField(label=gettext_lazy("Day"), widget=day_input())
    ground = forms.ChoiceField(label=gettext_lazy("Ground"), choices=GROUND)

    def __init__(self, *args: Any, seat: Seat, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.seat = seat
        for name, model in (("field", Field), ("storage", Storage), ("spreader", Spreader)):
            offer(self, name, records(seat, model).filter(voided=False))
        self.helper = plain_helper()

    def clean_on(self) -> dt.date:
        day: dt.date = self.cleaned_data["on"]
        today = self.seat.today
        if not today - EARLIEST <= day <= today + LATEST:
            raise ValidationError(_("Choose a day within a year of today."))
        if not self.seat.sees_day(day):
            raise ValidationError(_("Your grant does not reach this day."))
        return day

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        found["amount"] = self._amount(found)
        return found

    def _amount(self, found: dict[str, Any]) -> Amount | None:
        text, storage = (found.get("amount_text") or "").strip(), found.get("storage")
        if not text or "amount_unit" not in found:
            return None
        try:
            amount = parse_amount(text, found["amount_unit"])
        except AmountError as trouble:
            self.add_error("amount_text", problem_words(trouble))
            return None
        if amount.milli <= 0:
            self.add_error("amount_text", _("Enter an amount above zero, or leave it empty."))
            return None
        if storage and (amount.kind == "gal") != (storage.form == "liquid"):
            self.add_error("amount_unit", _("The unit does not fit what the storage holds."))
            return None
        return amount

    def asked(self) -> Asked:
        """What is planned."""
        found = self.cleaned_data
        within: Decimal | None = found["incorporated_within_h"]
        names = ("storage", "on", "method", "spreader", "amount", "ground")
        return Asked(incorporated_within_h=within, **{name: found[name] for name in names})


@seated("ask_ahead")
def may_i_spread(request: HttpRequest, seat: Seat) -> HttpResponse:
    """The form, and the answer for each field once the form says what is planned."""
    first = _first_values(seat)
    form = AskForm(request.GET if "storage" in request.GET else None, seat=seat, initial=first)
    context: dict[str, Any] = {"form": form, "answers": None}
    if form.is_bound and form.is_valid():
        context |= _answered(seat, form)
    return render(request, "book/may_i_spread.html", context)


def _answered(seat: Seat, form: AskForm) -> dict[str, Any]:
    asked = form.asked()
    one = form.cleaned_data["field"]
    fields = [one] if one else list(records(seat, Field).filter(voided=False))
    years = years_of(seat.operation, asked.on.year, until=asked.on)
    found = answers(seat.operation, asked, fields, years)
    found.sort(key=lambda answer: ORDER.index(answer.verdict))
    return {"answers": found, "asked": asked, "by_verdict": _counted(found)}


def _counted(found: list[Answer]) -> list[tuple[str, int]]:
    return [
        (verdict, count)
        for verdict in ORDER
        if (count := sum(1 for answer in found if answer.verdict == verdict))
    ]


def _first_values(seat: Seat) -> dict[str, Any]:
    """The storage, spreader and method of the last load; today; what the ground is, unknown."""
    found: dict[str, Any] = {"on": seat.today, "ground": "unknown", "method": "surface"}
    last = records(seat, Load).filter(voided=False).first()
    if last:
        found |= {
            "spreader": last.spreader_id,
            "method": last.method,
            "amount_unit": last.amount_unit,
            "storage": next((draw.storage_id for draw in last.draws.all()), None),
        }
    return found
