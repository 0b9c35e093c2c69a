"""The form of one load: what was spread where, from which storage, how and when."""

from __future__ import annotations

import datetime as dt
from typing import Any

from crispy_forms.layout import HTML, Column, Fieldset, Layout, Row
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from farmrecords.book.forms import plain_helper
from farmrecords.farm.models import Field, Spreader, Storage
from farmrecords.loads.amounts import plain
from farmrecords.loads.entry import DrawDraft, LoadDraft, PartDraft
from farmrecords.loads.kinds import AMOUNT_UNITS, GROUND, MEASURED_BY, METHODS, ORIGINS
from farmrecords.loads.models import Load
from farmrecords.people.access import Seat, records

PARTS = (1, 2, 3)
DRAWS = (1, 2)
SECOND_HOUR = [
    ("", _("only once")),
    ("first", _("the first time")),
    ("second", _("the second time")),
]
YES_NO = [("", _("not noted")), ("yes", _("yes")), ("no", _("no"))]
SAME_IN_LOAD = (
    "amount_text",
    "amount_unit",
    "measured_by",
    "measure_start",
    "measure_stop",
    "loads_counted",
    "spreader",
    "driver_name",
    "method",
    "ground",
    "snow_in",
    "frozen_depth_in",
    "residue_pct",
    "origin",
    "origin_name",
    "crop_year",
    "from_paper",
    "note",
)
SAME_IN_DRAFT = (
    "started",
    "started_choice",
    "ended",
    "amount_text",
    "amount_unit",
    "measured_by",
    "measure_start",
    "measure_stop",
    "loads_counted",
    "spreader",
    "driver_name",
    "method",
    "incorporated",
    "ground",
    "snow_in",
    "frozen_depth_in",
    "residue_pct",
    "origin_name",
    "crop_year",
    "from_paper",
    "note",
)
MOMENT_FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%m/%d/%Y %H:%M"]


def _moment(label: Any, required: bool = False) -> forms.DateTimeField:
    # The plain field reads a naive time; which moment it is on the farm's clock is settled later.
    return NaiveMomentField(
        label=label,
        required=required,
        input_formats=MOMENT_FORMATS,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )


class NaiveMomentField(forms.DateTimeField):
    """A time as it stands on the farm's clock, without a zone."""

    def to_python(self, value: Any) -> Any:
        if not value:
            return None
        for pattern in MOMENT_FORMATS:
            try:
                return dt.datetime.strptime(str(value).strip(), pattern)  # noqa: DTZ007
            except ValueError:
                continue
        raise ValidationError(
            _("“%(value)s” is no time. Enter it as 2026-04-22 14:05.") % {"value": value}
        )

    def prepare_value(self, value: Any) -> Any:
        return value


class LoadForm(forms.Form):
    """One load with up to three fields and two storages."""

    started = _moment(_("Start"), required=True)
    started_choice = forms.ChoiceField(
        label=_("if the hour came twice"), choices=SECOND_HOUR, required=False
    )
    ended = _moment(_("End"))
    amount_text = forms.CharField(label=_("Amount"), max_length=20, required=False)
    amount_unit = forms.ChoiceField(label=_("Unit"), choices=AMOUNT_UNITS)
    measured_by = forms.ChoiceField(label=_("Measured by"), choices=MEASURED_BY)
    measure_start = forms.CharField(label=_("Reading at the start"), max_length=20, required=False)
    measure_stop = forms.CharField(label=_("Reading at the end"), max_length=20, required=False)
    loads_counted = forms.IntegerField(label=_("Loads counted"), min_value=1, required=False)
    spreader = forms.ModelChoiceField(
        label=_("Spreader"), queryset=Spreader.objects.none(), required=False
    )
    driver_name = forms.CharField(
        label=_("Driver without an account"), max_length=80, required=False
    )
    method = forms.ChoiceField(label=_("Method"), choices=METHODS)
    incorporated = _moment(_("Incorporated at"))
    ground = forms.ChoiceField(label=_("Ground"), choices=GROUND)
    snow_in = forms.DecimalField(label=_("Snow, in"), min_value=0, required=False)
    frozen_depth_in = forms.DecimalField(label=_("Frozen, in deep"), min_value=0, required=False)
    growing_crop = forms.ChoiceField(label=_("Onto a growing crop"), choices=YES_NO, required=False)
    residue_pct = forms.IntegerField(
        label=_("Ground cover, %"), min_value=0, max_value=100, required=False
    )
    origin = forms.ChoiceField(label=_("Manure from"), choices=ORIGINS, required=False)
    origin_name = forms.CharField(label=_("Whose manure"), max_length=120, required=False)
    crop_year = forms.IntegerField(
        label=_("Counts for crop year"), min_value=1990, max_value=2100, required=False
    )
    from_paper = forms.BooleanField(label=_("From paper"), required=False)
    note = forms.CharField(label=_("Note"), max_length=250, required=False)

    def __init__(self, *args: Any, seat: Seat, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.seat = seat
        self.fields["spreader"].queryset = records(seat, Spreader).filter(voided=False)
        self._add_parts(records(seat, Field).filter(voided=False, ended_on__isnull=True))
        self._add_draws(records(seat, Storage).filter(voided=False))
        self.helper = plain_helper()
        self.helper.layout = _layout()

    def _add_parts(self, rows: Any) -> None:
        for n in PARTS:
            self.fields[f"field_{n}"] = forms.ModelChoiceField(
                label=_("Field"), queryset=rows, required=n == 1
            )
            self.fields[f"field_amount_{n}"] = forms.CharField(
                label=_("Its share"), max_length=20, required=False
            )
            self.fields[f"field_ac_{n}"] = forms.DecimalField(
                label=_("Acres covered"),
                min_value=0,
                max_digits=8,
                decimal_places=3,
                required=False,
            )

    def _add_draws(self, rows: Any) -> None:
        for n in DRAWS:
            self.fields[f"storage_{n}"] = forms.ModelChoiceField(
                label=_("Storage"), queryset=rows, required=False
            )
            self.fields[f"storage_amount_{n}"] = forms.CharField(
                label=_("Its share"), max_length=20, required=False
            )

    def to_draft(self) -> LoadDraft:
        """What the form says, for `loads.entry`."""
        found = self.cleaned_data
        unit = found["amount_unit"]
        parts = [
            PartDraft(
                field=found[f"field_{n}"],
                amount_text=found[f"field_amount_{n}"],
                amount_unit=unit if found[f"field_amount_{n}"] else "",
                area_ac=found[f"field_ac_{n}"],
            )
            for n in PARTS
            if found[f"field_{n}"]
        ]
        draws = [
            DrawDraft(
                storage=found[f"storage_{n}"],
                amount_text=found[f"storage_amount_{n}"],
                amount_unit=unit if found[f"storage_amount_{n}"] else "",
            )
            for n in DRAWS
            if found[f"storage_{n}"]
        ]
        return LoadDraft(
            parts=parts,
            draws=draws,
            person=None if found["driver_name"] else self.seat.person,
            growing_crop={"yes": True, "no": False}.get(found["growing_crop"]),
            origin=found["origin"] or "own",
            **{name: found[name] for name in SAME_IN_DRAFT},
        )

    def add_problem(self, problem: ValidationError) -> None:
        """Show what entry refused at the field it concerns, else above the form."""
        if not hasattr(problem, "error_dict"):
            self.add_error(None, problem)
            return
        for name, errors in problem.error_dict.items():
            self.add_error(name if name in self.fields else None, errors)


def initial_of(load: Load) -> dict[str, Any]:
    """The form's first values for an amendment: what the load says now."""
    found: dict[str, Any] = {name: getattr(load, name) for name in SAME_IN_LOAD}
    found["started"] = load.started_local.replace(tzinfo=None)
    found["ended"] = load.ended_local.replace(tzinfo=None) if load.ended_local else None
    if load.incorporated_at:
        local = load.incorporated_at.astimezone(load.started_local.tzinfo)
        found["incorporated"] = local.replace(tzinfo=None)
    found["growing_crop"] = {True: "yes", False: "no"}.get(load.growing_crop, "")
    parts, draws = list(load.parts.all()), list(load.draws.all())
    per = 2_000_000 if load.amount_unit == "ton" else 1000
    for n, part in zip(PARTS, parts, strict=False):
        found |= {f"field_{n}": part.field_id, f"field_ac_{n}": part.area_ac}
        if len(parts) > 1:
            found[f"field_amount_{n}"] = plain(part.amount_milli, per)
    for n, draw in zip(DRAWS, draws, strict=False):
        found[f"storage_{n}"] = draw.storage_id
        if len(draws) > 1:
            found[f"storage_amount_{n}"] = plain(draw.amount_milli, per)
    return found


def _layout() -> Layout:
    return Layout(
        Fieldset(
            _("When and how much"),
            Row(Column("started"), Column("ended")),
            "started_choice",
            Row(Column("amount_text"), Column("amount_unit"), Column("measured_by")),
            Row(Column("measure_start"), Column("measure_stop"), Column("loads_counted")),
        ),
        Fieldset(
            _("Where to"),
            Row(Column("field_1"), Column("field_ac_1"), Column("field_amount_1")),
            _more(
                _("The load went onto more fields"),
                Row(Column("field_2"), Column("field_ac_2"), Column("field_amount_2")),
                Row(Column("field_3"), Column("field_ac_3"), Column("field_amount_3")),
            ),
        ),
        Fieldset(
            _("Where from"),
            Row(Column("storage_1"), Column("storage_amount_1")),
            _more(
                _("More storages, or manure that is not your own"),
                Row(Column("storage_2"), Column("storage_amount_2")),
                Row(Column("origin"), Column("origin_name")),
            ),
        ),
        Fieldset(
            _("How"),
            Row(Column("method"), Column("incorporated")),
            Row(Column("spreader"), Column("driver_name")),
            Row(Column("ground"), Column("snow_in"), Column("frozen_depth_in")),
            Row(Column("growing_crop"), Column("residue_pct"), Column("crop_year")),
            "from_paper",
            "note",
        ),
    )


def _more(words: Any, *rows: Any) -> Layout:
    return Layout(
        HTML("<details class='more'><summary>"),
        HTML("{% load i18n %}" + str(words)),
        HTML("</summary>"),
        *rows,
        HTML("</details>"),
    )
