"""The form of any record that has no page of its own: made from what its kind declares."""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.forms import model_to_dict
from django.forms.models import construct_instance
from django.utils import timezone
from django.utils.translation import gettext as _

from farmrecords.book.forms import day_input, offer, offer_words, plain_helper
from farmrecords.book.record_kind import Kind, TypedAmount, label_of
from farmrecords.calculations.units import AmountError, parse_amount
from farmrecords.history.recorded import Recorded
from farmrecords.loads.kinds import AMOUNT_UNITS, OFFERED_UNITS
from farmrecords.loads.problems import problem_words
from farmrecords.people.access import Seat, records
from farmrecords.people.plain_errors import PlainErrors

MOMENT = "%Y-%m-%dT%H:%M"


class RecordForm(PlainErrors, forms.ModelForm):
    """What a kind asks; refusals name the value and the remedy before the database sees them."""

    kind: Kind

    def __init__(self, *args: Any, seat: Seat, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.seat = seat
        self.is_new = self.instance._state.adding
        self.build()
        if not self.is_new:
            self.initial.update(self.further(self.instance))
        for name, field in self.fields.items():
            field.label = label_of(self.kind, name) if name in self.kind.fields else field.label
            field.help_text = self.kind.helps.get(name, "")
            if isinstance(field, forms.ModelChoiceField):
                self._offer(name, field)
            elif isinstance(field, forms.ChoiceField):
                listed: Any = field.choices
                field.choices = [one if one[0] != "" else ("", "—") for one in listed]
        for amount in self.kind.amounts:
            self._offer_units(amount)
        self.helper = plain_helper()

    def build(self) -> None:
        """Add entries that are no columns of their own."""

    def further(self, _stored: Any) -> dict[str, Any]:
        """What a stored record says in the entries that are no columns."""
        return {}

    def stored(self, held: Recorded) -> dict[str, Any]:
        """A stored record in the entries of this form, to stand beside what was typed."""
        return model_to_dict(held, list(self.kind.fields)) | self.further(held)

    def values(self) -> dict[str, Any]:
        """The columns as entered, for an amendment."""
        names = [*self.kind.fields, *self.kind.derived]
        return {name: getattr(self.instance, name) for name in names}

    def before_writing(self) -> None:
        """What must stand before the record itself is written."""

    def followers(self) -> list[Recorded]:
        """What is recorded with a new one."""
        return []

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        for amount in self.kind.amounts:
            self._read_amount(found, amount)
        self._check_days(found)
        for name in self.kind.above_zero:
            if found.get(name) is not None and found[name] <= 0:
                told = {"label": self.fields[name].label, "value": found[name]}
                words = _(
                    "“%(label)s” %(value)s must be more than zero. Leave it empty if unknown."
                )
                self.add_error(name, words % told)
        self.check(found)
        return found

    def check(self, _found: dict[str, Any]) -> None:
        """What a kind refuses beyond its declaration."""

    def _meet_constraints(self) -> None:
        """Meet what the database asks of the table, in words of the kind."""
        for constraint in self.instance._meta.constraints:
            if self.errors:
                return
            try:
                constraint.validate(type(self.instance), self.instance)
            except ValidationError:
                name, words = self.kind.refusals.get(constraint.name, (None, None))
                said = words or _(
                    "These entries do not fit together. Compare them with the paper and correct "
                    "the one that is wrong."
                )
                given = {key: self.cleaned_data.get(key) for key in self.fields}
                self.add_error(name if name in self.fields else None, str(said) % given)

    def _post_clean(self) -> None:
        if self.errors:
            return
        construct_instance(self, self.instance, self._meta.fields, self._meta.exclude)
        self._meet_constraints()
        if not self.errors:
            super()._post_clean()  # type: ignore[misc]

    def _offer(self, name: str, field: Any) -> None:
        model = field.queryset.model
        rows = records(self.seat, model).filter(voided=False)
        narrow = self.kind.offers.get(name)
        rows = narrow(rows) if narrow else rows
        chosen = getattr(self.instance, f"{name}_id", None)
        if not self.is_new and chosen:
            rows = rows | records(self.seat, model).filter(pk=chosen)
        offer(self, name, rows, "—")

    def _offer_units(self, amount: TypedAmount) -> None:
        if not amount.unit or amount.unit not in self.fields:
            return
        stands = getattr(self.instance, amount.unit)
        kept = [unit for unit in AMOUNT_UNITS if unit[0] == stands]
        empty = [] if amount.required else [("", "—")]
        choices = list(dict.fromkeys([*empty, *OFFERED_UNITS, *kept]))
        self.fields[amount.unit] = forms.ChoiceField(
            label=self.fields[amount.unit].label, choices=choices, required=amount.required
        )
        offer_words(self, amount.unit, choices)

    def _read_amount(self, found: dict[str, Any], amount: TypedAmount) -> None:
        text = (found.get(amount.text) or "").strip()
        unit = found.get(amount.unit, "") if amount.unit else amount.fixed_unit
        if not text:
            if amount.unit and not amount.required:
                found[amount.unit] = ""
            return
        if amount.unit and not unit:
            if amount.unit not in self.errors:
                words = _("%(value)s has no unit. Choose the one it was measured in.")
                self.add_error(amount.unit, words % {"value": text})
            return
        try:
            read = parse_amount(text, unit)
        except AmountError as trouble:
            self.add_error(amount.text, problem_words(trouble))
            return
        if read.milli <= 0:
            words = _("The amount %(value)s must be more than zero. Enter what was measured.")
            self.add_error(amount.text, words % {"value": text})
        elif amount.milli:
            self.instance.amount_milli, self.instance.amount_kind = read.milli, read.kind

    def _check_days(self, found: dict[str, Any]) -> None:
        today = self.seat.today
        for name in self.kind.not_coming:
            day = _day(found.get(name))
            if day and day > today:
                told = {"day": day, "today": today}
                words = _("%(day)s has not come yet; today is %(today)s. Check the day.")
                self.add_error(name, words % told)
        for first, last in self.kind.in_order:
            begins, ends = found.get(first), found.get(last)
            if begins and ends and _day(ends) < _day(begins):
                told = {
                    "given": _day(ends),
                    "first": _day(begins),
                    "label": self.fields[first].label,
                }
                words = _("%(given)s is before %(first)s (%(label)s). Check both days.")
                self.add_error(last, words % told)


def _day(value: Any) -> Any:
    if isinstance(value, dt.datetime):
        return timezone.localtime(value).date()
    return value


@cache
def form_class(slug: str) -> type[RecordForm]:
    """The form of a kind."""
    from farmrecords.book.record_kinds import KINDS

    kind = KINDS[slug]
    base = kind.form or RecordForm
    made: Any = forms.modelform_factory(
        kind.model, form=base, fields=kind.fields, formfield_callback=_entry
    )
    made.kind = kind
    found: type[RecordForm] = made
    return found


def _entry(column: Any, **kwargs: Any) -> Any:
    """The entry of one column: days and times with their pickers, numbers not below zero."""
    if isinstance(column, models.DateTimeField):
        widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MOMENT)
        return column.formfield(widget=widget, **kwargs)
    if isinstance(column, models.DateField):
        return column.formfield(widget=day_input(), **kwargs)
    if isinstance(column, models.DecimalField | models.IntegerField):
        return column.formfield(min_value=0, **kwargs)
    return column.formfield(**kwargs)
