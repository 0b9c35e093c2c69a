"""The form for facts that the rules ask of one record: none of them is required."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.book.forms import day_input, plain_helper
from farmrecords.findings.words import fact_meaning, unit_words, value_words
from farmrecords.people.plain_errors import PlainForm
from farmrecords.rules.terms import Term
from farmrecords.rules.vocabulary import TERMS

UNKNOWN = ("", gettext_lazy("not known"))
TRUTHS = {"yes": True, "no": False}


class FactsForm(PlainForm):
    """One entry for each fact asked; what stays empty is not known, and judged so."""

    def __init__(
        self, *args: Any, kind: str, names: Sequence[str], stored: dict[str, Any], **kwargs: Any
    ) -> None:
        kwargs["initial"] = initial_of(stored)
        super().__init__(*args, **kwargs)
        self.kind, self.stored = kind, stored
        for name in names:
            self.fields[name.removeprefix(f"{kind}.")] = _entry(name, TERMS[name])
        self.helper = plain_helper()

    def further(self) -> dict[str, Any]:
        """The facts as they are kept; what the form does not offer stays as it was."""
        kept = {name: value for name, value in self.stored.items() if name not in self.fields}
        for name, value in self.cleaned_data.items():
            told = _told(TERMS[f"{self.kind}.{name}"], value)
            if told is not None:
                kept[name] = told
        return kept


def initial_of(stored: dict[str, Any]) -> dict[str, Any]:
    """The kept facts as the form shows them."""
    said = {True: "yes", False: "no"}
    return {
        name: said[value] if isinstance(value, bool) else value for name, value in stored.items()
    }


def _entry(name: str, term: Term) -> forms.Field:
    meaning = fact_meaning(name)
    label = f"{meaning}, {unit_words(term.unit)}" if term.unit else meaning
    label = label[:1].upper() + label[1:]
    if term.kind == "truth":
        choices = [UNKNOWN, ("yes", _("yes")), ("no", _("no"))]
        return forms.ChoiceField(label=label, choices=choices, required=False)
    if term.kind == "number":
        return forms.DecimalField(
            label=label, required=False, max_digits=12, decimal_places=3, min_value=Decimal(0)
        )
    if term.kind == "day":
        return forms.DateField(label=label, required=False, widget=day_input())
    choices = [(one, value_words(one)) for one in term.choices]
    if term.kind == "words" and choices:
        return forms.MultipleChoiceField(label=label, choices=choices, required=False)
    if term.kind == "word" and choices:
        return forms.ChoiceField(label=label, choices=[UNKNOWN, *choices], required=False)
    return forms.CharField(label=label, required=False, max_length=120)


def _told(term: Term, value: Any) -> Any:
    """A value as it is kept: truths and words plain, numbers and days as text; None: not known."""
    if value is None or value in ("", []):
        return None
    if term.kind == "truth":
        return TRUTHS[value]
    if term.kind == "number":
        return f"{value.normalize():f}"
    if term.kind == "day":
        return value.isoformat()
    if term.kind == "words" and isinstance(value, str):
        return [one.strip() for one in value.split(",") if one.strip()]
    return value
