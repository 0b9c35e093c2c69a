"""The form of one permit condition, waiver, variance or approval."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import HTML, Column, Layout, Row
from django import forms
from django.utils.translation import gettext_lazy as _

from farmrecords.book.forms import day_input, offer, offer_words, plain_helper
from farmrecords.farm.kinds import FEATURE_KINDS
from farmrecords.farm.models import Feature, Field
from farmrecords.findings.words import rule_text
from farmrecords.people.access import Seat, records
from farmrecords.people.plain_errors import PlainErrors
from farmrecords.plan.models import PermitCondition
from farmrecords.rules.papers import PAPERS

COLUMNS = (
    "kind", "text", "field", "from_on", "to_on", "document", "document_dated", "citation",
    "value", "unit", "feature_kinds", "season_first", "season_last", "paper", "feature",
    "noticed_at", "recorded_with", "recorded_on",
)  # fmt: skip
UNITS = [("", "—"), ("ft", _("ft")), ("gal/ac", _("gal/ac")), ("ton/ac", _("tons/ac"))]


class ConditionForm(PlainErrors, forms.ModelForm):
    """One condition as the document says it; the record itself says what its kind lacks."""

    kind = forms.ChoiceField(label=_("What it is"), choices=PermitCondition.KINDS)
    unit = forms.ChoiceField(label=_("Unit"), choices=UNITS, required=False)
    feature_kinds = forms.MultipleChoiceField(
        label=_("Kept from"),
        choices=FEATURE_KINDS,
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    paper = forms.ChoiceField(label=_("The paper that rules look for"), required=False)

    class Meta:
        model = PermitCondition
        fields = COLUMNS
        widgets = {
            **{name: day_input() for name in ("from_on", "to_on", "document_dated", "recorded_on")},
            "noticed_at": forms.DateTimeInput(
                attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"
            ),
        }
        labels = {
            "text": _("What it says"),
            "field": _("Only on this field"),
            "feature": _("Only for this feature"),
            "value": _("Number"),
            "citation": _("Paragraph"),
        }

    def __init__(self, *args: Any, seat: Seat, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "field", records(seat, Field).filter(voided=False), _("all fields"))
        offer(self, "feature", records(seat, Feature).filter(voided=False), _("no single feature"))
        papers = sorted((name, rule_text(words)) for name, words in PAPERS.items())
        own = self.instance.unit
        if own not in dict(UNITS):  # a unit that came by another way stays what it is
            offer_words(self, "unit", [*UNITS, (own, own)])
        offer_words(self, "paper", [("", _("none")), *papers])
        for name in ("season_first", "season_last"):
            self.fields[name].widget.attrs["placeholder"] = "12-15"
        self.helper = plain_helper()
        self.helper.layout = _layout()

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if found.get("kind") == "distance" and not found.get("unit"):
            found["unit"] = "ft"
        return found

    def stored(self, held: Any) -> dict[str, Any]:
        """A stored record in the entries of this form, to stand beside what was typed."""
        return forms.model_to_dict(held, COLUMNS)

    def values(self) -> dict[str, Any]:
        """The columns as entered."""
        return {name: getattr(self.instance, name) for name in COLUMNS}


def _layout() -> Layout:
    def head(words: Any) -> HTML:
        return HTML(f"<h2>{words}</h2>")

    return Layout(
        "kind",
        "text",
        Row(Column("from_on"), Column("to_on")),
        "field",
        head(_("The document")),
        Row(Column("document"), Column("document_dated"), Column("citation")),
        head(_("A distance or a largest amount")),
        Row(Column("value"), Column("unit")),
        "feature_kinds",
        head(_("A closed season, both days inside")),
        Row(Column("season_first"), Column("season_last")),
        head(_("A waiver, variance or approval")),
        "paper",
        "feature",
        "noticed_at",
        Row(Column("recorded_with"), Column("recorded_on")),
    )
