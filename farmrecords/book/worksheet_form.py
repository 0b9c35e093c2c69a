"""A form made from a worksheet's own declaration, and the inputs read back from it.

Every figure stays text until the worksheet reads it: the range, the reason and the words of a
refusal are the worksheet's, not the form's.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from farmrecords.book.forms import plain_helper
from farmrecords.calculations.worksheet import Input, WorksheetKind, plain
from farmrecords.people.plain_errors import PlainForm
from farmrecords.templatetags.figures import measure

ROWS = 6
YES_NO = [("", "—"), ("yes", _("yes")), ("no", _("no"))]


class WorksheetForm(PlainForm):
    """The inputs of one worksheet; lists as rows of which the empty ones are left out."""

    def __init__(self, kind: WorksheetKind, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial=None if data else example_values(kind))
        self.kind = kind
        self.row_names: list[tuple[Input, list[list[str]]]] = []
        for one in kind.inputs:
            if one.kind == "list":
                self._add_rows(one, data)
            else:
                self.fields[one.name] = _field(one)
        self.helper = plain_helper()

    def _add_rows(self, one: Input, data: Mapping[str, Any] | None) -> None:
        given = len(self.kind.example.get(one.name, ()) or ())
        if data is not None:
            given = sum(f"{one.name}-{n}-{one.items[0].name}" in data for n in range(60))
        rows = []
        for n in range(max(ROWS, given)):
            names = [f"{one.name}-{n}-{item.name}" for item in one.items]
            for name, item in zip(names, one.items, strict=True):
                self.fields[name] = _field(item)
                self.fields[name].required = False
            rows.append(names)
        self.row_names.append((one, rows))

    @property
    def single_fields(self) -> list[forms.BoundField]:
        """The inputs that stand alone."""
        return [self[one.name] for one in self.kind.inputs if one.kind != "list"]

    @property
    def lists(self) -> list[tuple[Input, list[str], list[list[forms.BoundField]]]]:
        """The lists, each with the headings of its columns and its rows of fields."""
        return [
            (one, [_label(item) for item in one.items], [[self[n] for n in row] for row in rows])
            for one, rows in self.row_names
        ]

    def inputs(self) -> dict[str, Any]:
        """What was filled in, as the worksheet takes it. Call after is_valid()."""
        found = {
            one.name: _value(one, self.cleaned_data[one.name])
            for one in self.kind.inputs
            if one.kind != "list" and self.cleaned_data[one.name] != ""
        }
        for one, rows in self.row_names:
            filled = []
            for names in rows:
                row = {
                    item.name: _value(item, self.cleaned_data[name])
                    for name, item in zip(names, one.items, strict=True)
                    if self.cleaned_data[name] != ""
                }
                if row:
                    filled.append(row)
            if filled or not one.optional:
                found[one.name] = filled
        return found


def _field(one: Input) -> forms.Field:
    label = _label(one)
    if one.kind == "choice":
        choices = [("", "—"), *((word, word.replace("_", " ")) for word in one.choices)]
        return forms.ChoiceField(label=label, choices=choices, required=not one.optional)
    if one.kind == "yes_no":
        return forms.ChoiceField(label=label, choices=YES_NO, required=not one.optional)
    if one.kind == "geometry":
        return forms.CharField(
            label=label, required=not one.optional, widget=forms.Textarea(attrs={"rows": 3})
        )
    return forms.CharField(
        label=label,
        required=not one.optional,
        max_length=60,
        help_text=_range_words(one),
        widget=forms.TextInput(attrs={"inputmode": "decimal"} if one.kind != "text" else {}),
    )


def _label(one: Input) -> str:
    words = one.meaning or one.name.replace("_", " ")
    unit = measure(one.unit)
    return f"{words}, {unit}" if unit else words


def _range_words(one: Input) -> str:
    if one.low is None:
        return "" if one.high is None else _("at most %(high)s") % {"high": f"{one.high:g}"}
    if one.high is None:
        return _("at least %(low)s") % {"low": f"{one.low:g}"}
    return f"{one.low:g} – {one.high:g}"


def _value(one: Input, text: str) -> Any:
    if one.kind == "yes_no":
        return text == "yes"
    if one.kind == "geometry":
        try:
            return json.loads(text)
        except ValueError:
            return text
    if one.kind in ("number", "whole"):
        return text.strip().replace(",", "")
    return text


def example_values(kind: WorksheetKind) -> dict[str, str]:
    """The worksheet's own example as first values of the form."""
    found: dict[str, str] = {}
    for name, value in plain(kind.example).items():
        one = next(item for item in kind.inputs if item.name == name)
        if one.kind == "list":
            for n, row in enumerate(value or ()):
                for key, item in row.items():
                    found[f"{name}-{n}-{key}"] = _text(item)
        elif value is not None:
            found[name] = _text(value)
    return found


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return json.dumps(value)
    if isinstance(value, float):
        return f"{value:g}" if value == float(f"{value:g}") else repr(value)
    return str(value)
