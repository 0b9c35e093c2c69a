"""The one list of what the log can be filtered by: shared by the page and its export."""

from __future__ import annotations

import django_filters
from django import forms
from django.db.models import Exists, OuterRef, QuerySet
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.models import Field, Storage
from farmrecords.findings.models import FindingIndex
from farmrecords.loads.kinds import METHODS
from farmrecords.loads.models import Load
from farmrecords.people.access import Seat, records
from farmrecords.people.plain_errors import PlainForm

OUTCOMES = [
    ("not_met", _("not met")),
    ("cannot_tell", _("cannot tell")),
    ("notice", _("notice")),
]
STATES = [
    ("counted", _("counted")),
    ("waiting", _("waiting")),
    ("voided", _("void")),
]


def _day() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"})


class LoadFilter(django_filters.FilterSet):
    """Filter of the log by day, field, storage, method, finding and state."""

    first = django_filters.DateFilter("local_day", "gte", label=_("From"), widget=_day())
    last = django_filters.DateFilter("local_day", "lte", label=_("To"), widget=_day())
    field = django_filters.ModelChoiceFilter(
        label=_("Field"), queryset=Field.objects.none(), method="on_field"
    )
    storage = django_filters.ModelChoiceFilter(
        label=_("Storage"), queryset=Storage.objects.none(), method="from_storage"
    )
    method = django_filters.ChoiceFilter(label=_("Method"), choices=METHODS)
    outcome = django_filters.ChoiceFilter(
        label=_("Finding"), choices=OUTCOMES, method="with_outcome"
    )
    rule = django_filters.CharFilter(label=_("Rule"), method="with_rule")
    state = django_filters.ChoiceFilter(label=_("State"), choices=STATES, method="in_state")

    class Meta:
        model = Load
        fields: list[str] = []
        form = PlainForm

    def __init__(self, data: object, seat: Seat, **kwargs: object) -> None:
        super().__init__(data, queryset=records(seat, Load), **kwargs)
        self.filters["field"].queryset = records(seat, Field).filter(voided=False)
        self.filters["storage"].queryset = records(seat, Storage).filter(voided=False)

    def on_field(self, rows: QuerySet, _name: str, field: Field) -> QuerySet:
        return rows.filter(parts__field=field).distinct()

    def from_storage(self, rows: QuerySet, _name: str, storage: Storage) -> QuerySet:
        return rows.filter(draws__storage=storage).distinct()

    def with_outcome(self, rows: QuerySet, _name: str, outcome: str) -> QuerySet:
        found = FindingIndex.objects.filter(load=OuterRef("pk"), outcome=outcome)
        return rows.filter(Exists(found))

    def with_rule(self, rows: QuerySet, _name: str, rule_id: str) -> QuerySet:
        found = FindingIndex.objects.filter(load=OuterRef("pk"), rule_id=rule_id)
        outcome = self.data.get("outcome")
        if outcome:
            found = found.filter(outcome=outcome)
        return rows.filter(Exists(found))

    def in_state(self, rows: QuerySet, _name: str, state: str) -> QuerySet:
        if state == "voided":
            return rows.filter(voided=True)
        return rows.filter(voided=False, status=state)
