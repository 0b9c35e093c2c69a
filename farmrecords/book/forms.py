"""Forms of the book other than the load itself."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.models import Storage
from farmrecords.loads.nutrients import questions_about
from farmrecords.measurements.models import ManureTest
from farmrecords.measurements.results import ANALYTES
from farmrecords.people.access import Seat, records
from farmrecords.people.plain_errors import PlainForm

UNITS = [
    ("", "—"),
    ("lb/1000 gal", _("lb per 1,000 gal")),
    ("lb/ton", _("lb per ton")),
    ("%", "%"),
    ("ppm", _("ppm (mg/kg)")),
    ("mg/L", "mg/L"),
]
BASES = [("as_is", _("as is")), ("dry", _("dry"))]
ROWS = ("total_n", "ammonium_n", "nitrate_n", "p", "p2o5", "k", "k2o", "solids_pct")


SAME = (
    "storage",
    "form",
    "sampled_on",
    "analysed_on",
    "reported_on",
    "sampled_by",
    "laboratory",
    "sheet_number",
    "sampling_method",
    "laboratory_method",
    "density_lb_per_gal",
)


def sent(request: HttpRequest) -> QueryDict | None:
    """What a form is bound to: everything that was posted, were it nothing at all."""
    return request.POST if request.method == "POST" else None


def offer(form: forms.BaseForm, name: str, rows: Any, none: Any = None) -> None:
    """Let a choice of records offer these, and say `none` for no record."""
    field: Any = form.fields[name]
    field.queryset = rows
    if none is not None:
        field.empty_label = none


def offer_words(form: forms.BaseForm, name: str, choices: list[tuple[Any, Any]]) -> None:
    """Let a choice of words offer these."""
    field: Any = form.fields[name]
    field.choices = choices


def day_input() -> forms.DateInput:
    """A day picker that also takes typed days."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def plain_helper() -> FormHelper:
    """The helper of a form whose tag and buttons come from the page."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    return helper


class LevelForm(PlainForm):
    """A reading of today, or that it was missed and why."""

    reading_ft = forms.DecimalField(
        label=_("Reading, ft"), max_digits=6, decimal_places=2, min_value=0, required=False
    )
    missed = forms.BooleanField(label=_("The reading was missed"), required=False)
    note = forms.CharField(label=_("Note, or why it was missed"), max_length=250, required=False)

    def __init__(self, *args: Any, storage: Storage, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.storage = storage
        self.helper = plain_helper()

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        reading, missed = found.get("reading_ft"), found.get("missed")
        if missed and not found.get("note", "").strip():
            self.add_error("note", _("Say why the reading was missed."))
        if not missed and reading is None and "reading_ft" not in self.errors:
            self.add_error("reading_ft", _("Enter the reading, or tick that it was missed."))
        if missed and reading is not None:
            self.add_error("missed", _("A missed reading has no number: leave one of them out."))
        depth = self.storage.depth_ft
        if reading is not None and depth is not None and reading > depth:
            self.add_error(
                "reading_ft",
                _("%(reading)s ft is more than the storage is deep (%(depth)s ft). Check it.")
                % {"reading": reading, "depth": depth},
            )
        return found


class ManureTestForm(PlainForm):
    """A laboratory sheet: each figure with the unit and basis that stand on it."""

    storage = forms.ModelChoiceField(label=_("Storage"), queryset=Storage.objects.none())
    form = forms.ChoiceField(
        label=_("Form"), choices=[("liquid", _("liquid")), ("solid", _("solid"))]
    )
    sampled_on = forms.DateField(label=_("Sampled on"), widget=day_input())
    analysed_on = forms.DateField(label=_("Analysed on"), widget=day_input(), required=False)
    reported_on = forms.DateField(label=_("Result known from"), widget=day_input(), required=False)
    sampled_by = forms.CharField(label=_("Sampled by"), max_length=80, required=False)
    laboratory = forms.CharField(label=_("Laboratory"), max_length=80, required=False)
    sheet_number = forms.CharField(label=_("Sheet number"), max_length=40, required=False)
    sampling_method = forms.CharField(label=_("Sampling method"), max_length=120, required=False)
    laboratory_method = forms.CharField(
        label=_("Laboratory method"), max_length=120, required=False
    )
    basis = forms.ChoiceField(label=_("Basis of the sheet"), choices=BASES)
    density_lb_per_gal = forms.DecimalField(
        label=_("Measured density, lb/gal"), max_digits=5, decimal_places=3, required=False
    )
    stands_so = forms.BooleanField(
        label=_("The figures stand so on the sheet"), required=False, widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, seat: Seat, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.seat = seat
        offer(self, "storage", records(seat, Storage).filter(voided=False))
        for row in ROWS:
            self.fields[f"value_{row}"] = forms.CharField(
                label=ANALYTES[row], max_length=20, required=False
            )
            if row != "solids_pct":
                self.fields[f"unit_{row}"] = forms.ChoiceField(
                    label=_("unit"), choices=UNITS, required=False
                )
        self.helper = plain_helper()

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        self._refuse_coming_days(found)
        for row in ROWS:
            value = found.get(f"value_{row}", "").strip()
            if value and row != "solids_pct" and not found.get(f"unit_{row}"):
                self.add_error(
                    f"unit_{row}",
                    _("%(value)s has no unit. Choose the one printed on the sheet.")
                    % {"value": value},
                )
        if not self.errors:
            self._ask(found)
        return found

    def _ask(self, found: dict[str, Any]) -> None:
        """Ask about figures that look like a mistake of units; a person may let them stand."""
        questions = questions_about(self.to_test(self.seat.operation))
        if not questions:
            return
        self.fields["stands_so"].widget = forms.CheckboxInput()
        if not found.get("stands_so"):
            asked = _("Compare with the sheet; if the figures stand so there, say it here.")
            self.add_error("stands_so", [*questions, asked])

    def _refuse_coming_days(self, found: dict[str, Any]) -> None:
        for name in ("sampled_on", "analysed_on", "reported_on"):
            day = found.get(name)
            if day and day > self.seat.today:
                self.add_error(
                    name,
                    _("%(day)s has not come yet; today is %(today)s. Check the day.")
                    % {"day": day, "today": self.seat.today},
                )

    def to_test(self, operation: Any) -> ManureTest:
        """The record as entered, not yet written."""
        found = self.cleaned_data
        results = []
        for row in ROWS:
            value = found.get(f"value_{row}", "").strip()
            if value:
                unit = "%" if row == "solids_pct" else found[f"unit_{row}"]
                results.append(
                    {"analyte": row, "value": value, "unit": unit, "basis": found["basis"]}
                )
        return ManureTest(
            operation=operation, results=results, **{name: found[name] for name in SAME}
        )
