"""What a form says of an entry it cannot take: what was given, what was expected, what to do.

Django's own sentences name neither. Refusals of our own carry no code and stay as they are.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

SHOWN = 40  # characters of what was given; more helps nobody to find it again
# The first kind that fits counts: Django derives DecimalField from IntegerField.
EMPTY: list[tuple[type[forms.Field], Any]] = [
    (forms.FileField, gettext_lazy("“%(label)s” is not chosen. Choose a file of this device.")),
    (forms.ChoiceField, gettext_lazy("“%(label)s” is not chosen. Choose one of the list.")),
    (forms.ModelChoiceField, gettext_lazy("“%(label)s” is not chosen. Choose one of the list.")),
    (
        forms.DateTimeField,
        gettext_lazy("“%(label)s” is empty. Enter day and time as 2026-04-22 14:05."),
    ),
    (forms.DateField, gettext_lazy("“%(label)s” is empty. Enter the day as 2026-04-22.")),
    (forms.DecimalField, gettext_lazy("“%(label)s” is empty. Enter a number, for example 12.5.")),
    (forms.IntegerField, gettext_lazy("“%(label)s” is empty. Enter a whole number.")),
    (forms.Field, gettext_lazy("“%(label)s” is empty. Fill it in.")),
]
UNREAD: list[tuple[type[forms.Field], Any]] = [
    (forms.ModelChoiceField, gettext_lazy("“%(value)s” is not on the list. Choose one that is.")),
    (forms.DateTimeField, gettext_lazy("“%(value)s” is no time. Enter it as 2026-04-22 14:05.")),
    (forms.DateField, gettext_lazy("“%(value)s” is no day. Enter it as 2026-04-22.")),
    (
        forms.DecimalField,
        gettext_lazy("“%(value)s” is no number. Enter digits alone, for example 12.5."),
    ),
    (
        forms.IntegerField,
        gettext_lazy("“%(value)s” is no whole number. Enter digits alone, for example 12."),
    ),
]
BY_CODE: dict[str, Any] = {
    "invalid_choice": gettext_lazy("“%(value)s” is not on the list. Choose one that is."),
    "min_value": gettext_lazy("%(value)s is less than %(limit)s. Enter %(limit)s or more."),
    "max_value": gettext_lazy("%(value)s is more than %(limit)s. Enter %(limit)s or less."),
    "max_length": gettext_lazy(
        "%(length)s characters were given and %(limit)s fit. Leave some of it out."
    ),
    "max_digits": gettext_lazy("%(value)s has more than %(max)s digits. Check the number."),
    "max_decimal_places": gettext_lazy(
        "%(value)s has more than %(max)s digits after the point. Round it."
    ),
    "max_whole_digits": gettext_lazy(
        "%(value)s has more than %(max)s digits before the point. Check the number."
    ),
}
OF_A_FILE: dict[str, Any] = {
    "empty": gettext_lazy("“%(value)s” has nothing in it. Choose the file again."),
    "max_length": gettext_lazy(
        "The name of the file has %(length)s characters and %(max)s fit. Give it a shorter name."
    ),
}


class PlainErrors(forms.BaseForm):
    """Goes before a form class: its refusals name the value and the remedy.

    `concerns` names the entry that a column of the record is asked by, where their names differ.
    """

    concerns: Mapping[str, str] = {}

    def add_problem(self, problem: ValidationError) -> None:
        """Show a record's refusal at the entry it concerns, else above the form."""
        if not hasattr(problem, "error_dict"):
            self.add_error(None, problem)
            return
        for column, errors in problem.error_dict.items():
            name = self.concerns.get(column, column)
            self.add_error(name if name in self.fields else None, errors)

    def full_clean(self) -> None:
        """Clean as always, then say what is wrong in our own words."""
        super().full_clean()
        found: dict[str, Any] = self.errors
        for name, errors in found.items():
            if name in self.fields:
                errors.data = [_words(self, name, error) for error in errors.as_data()]


def _words(form: forms.BaseForm, name: str, error: ValidationError) -> ValidationError:
    """The refusal in plain words; the same where it has them already."""
    field = form.fields[name]
    params = dict(error.params or {})
    given = str(params.get("value") or _given(form, form.add_prefix(name)) or "")
    pattern = _pattern(field, error.code, given)
    if pattern is None:
        return error
    limit = params.get("limit_value", "")
    told = {
        "label": field.label or name,
        "value": given[:SHOWN],
        "length": len(given),
        "limit": limit() if callable(limit) else limit,
        "max": params.get("max", ""),
    }
    return ValidationError(str(pattern) % told, code=error.code)


def _given(form: forms.BaseForm, name: str) -> Any:
    return form.data.get(name) or getattr(form.files.get(name), "name", "")


def _pattern(field: forms.Field, code: str | None, given: str) -> Any:
    if isinstance(field, forms.FileField) and code in OF_A_FILE:
        return OF_A_FILE[code]
    if code in ("required", "null", "blank"):
        return _first(EMPTY, field)
    if code == "invalid":
        return _first(UNREAD, field)
    if code in ("invalid_choice", "invalid_pk_value") and _is_id(given):
        return _("What was chosen is not, or no longer, on the list. Choose one that is.")
    return BY_CODE.get(code or "")


def _first(rows: list[tuple[type[forms.Field], Any]], field: forms.Field) -> Any:
    return next((words for kind, words in rows if isinstance(field, kind)), None)


def _is_id(given: str) -> bool:
    try:
        uuid.UUID(str(given))
    except ValueError:
        return False
    return True


class PlainForm(PlainErrors, forms.Form):
    """A form whose refusals name the value and the remedy."""
