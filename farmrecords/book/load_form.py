"""The form of one load: what was spread where, from which storage, how and when."""

from __future__ import annotations

import datetime as dt
from typing import Any

from crispy_forms.layout import HTML, Column, Fieldset, Layout, Row
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from farmrecords.book.forms import offer, plain_helper
from farmrecords.book.load_said import BASE_UNITS, untouched
from farmrecords.farm.models import Field, Spreader, Storage
from farmrecords.loads.entry import DrawDraft, LoadDraft, PartDraft
from farmrecords.loads.kinds import (
    AMOUNT_UNITS,
    GROUND,
    MEASURED_BY,
    METHODS,
    OFFERED_UNITS,
    ORIGINS,
)
from farmrecords.loads.models import Load
from farmrecords.people.access import NARROWED, Seat, records
from farmrecords.people.models import Membership, Person
from farmrecords.people.plain_errors import PlainForm

PARTS, DRAWS = 3, 2  # rows offered; a load with more shows them all
# What entry names otherwise than the form.
SECOND_HOUR = [
    ("", _("only once")),
    ("first", _("the first time")),
    ("second", _("the second time")),
]
YES_NO = [("", _("not noted")), ("yes", _("yes")), ("no", _("no"))]
SAME_IN_DRAFT = (
    "started",
    "started_choice",
    "ended",
    "ended_choice",
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
    "incorporated_choice",
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


def _which_hour(label: Any) -> forms.ChoiceField:
    """As clocks go back an hour comes twice; then, and only then, the form asks which."""
    return forms.ChoiceField(label=label, choices=SECOND_HOUR, required=False)


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


class LoadForm(PlainForm):
    """One load with up to three fields and two storages."""

    concerns = {"parts": "field_1", "draws": "storage_1", "each_load_text": "loads_counted"}

    started = _moment(_("Start"), required=True)
    started_choice = _which_hour(_("Start, if its hour came twice"))
    ended = _moment(_("End"))
    ended_choice = _which_hour(_("End, if its hour came twice"))
    amount_text = forms.CharField(label=_("Amount"), max_length=20, required=False)
    amount_unit = forms.ChoiceField(label=_("Unit"), choices=OFFERED_UNITS)
    measured_by = forms.ChoiceField(label=_("Measured by"), choices=MEASURED_BY)
    measure_start = forms.CharField(label=_("Reading at the start"), max_length=20, required=False)
    measure_stop = forms.CharField(label=_("Reading at the end"), max_length=20, required=False)
    loads_counted = forms.IntegerField(label=_("Loads counted"), min_value=1, required=False)
    spreader = forms.ModelChoiceField(
        label=_("Spreader"), queryset=Spreader.objects.none(), required=False
    )
    person = forms.ModelChoiceField(
        label=_("Driver"), queryset=Person.objects.none(), required=False
    )
    driver_name = forms.CharField(
        label=_("Driver without an account"), max_length=80, required=False
    )
    method = forms.ChoiceField(label=_("Method"), choices=METHODS)
    incorporated = _moment(_("Incorporated at"))
    incorporated_choice = _which_hour(_("Incorporation, if its hour came twice"))
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

    def __init__(self, *args: Any, seat: Seat, load: Load | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.seat = seat
        self.load = load
        parts, draws = (list(load.parts.all()), list(load.draws.all())) if load else ([], [])
        self.parts = range(1, max(PARTS, len(parts)) + 1)
        self.draws = range(1, max(DRAWS, len(draws)) + 1)
        offer(self, "spreader", records(seat, Spreader).filter(voided=False))
        fields = records(seat, Field)
        self._add_parts(
            fields.filter(voided=False, ended_on__isnull=True)
            | fields.filter(pk__in=[part.field_id for part in parts])
        )
        self._add_draws(records(seat, Storage).filter(voided=False))
        if load:
            units = [unit for unit in AMOUNT_UNITS if unit[0] == load.amount_unit]
            amount_unit: Any = self.fields["amount_unit"]
            amount_unit.choices = list(dict.fromkeys([*OFFERED_UNITS, *units]))
        self._say_who()
        self.helper = plain_helper()
        self.helper.layout = layout_of(self)

    def _say_who(self) -> None:
        """Crew and haulers enter their own loads; the office says whose a load was."""
        if self.seat.role in NARROWED:
            del self.fields["person"]
            return
        members = records(self.seat, Membership).filter(voided=False)
        drivers = members.exclude(role__in=("planner", "inspector")).values("person")
        known = [self.load.person_id] if self.load and self.load.person_id else []
        people = Person.objects.filter(pk__in=drivers) | Person.objects.filter(pk__in=known)
        offer(self, "person", people.order_by("display_name", "username"))

    def _add_parts(self, rows: Any) -> None:
        for n in self.parts:
            self.fields[f"field_{n}"] = forms.ModelChoiceField(
                label=_("Field"), queryset=rows, required=n == 1
            )
            self.fields[f"field_amount_{n}"] = forms.CharField(
                label=_("Its share"), max_length=24, required=False
            )
            self.fields[f"field_ac_{n}"] = forms.DecimalField(
                label=_("Acres covered"),
                min_value=0,
                max_digits=8,
                decimal_places=3,
                required=False,
            )

    def _add_draws(self, rows: Any) -> None:
        for n in self.draws:
            self.fields[f"storage_{n}"] = forms.ModelChoiceField(
                label=_("Storage"), queryset=rows, required=False
            )
            self.fields[f"storage_amount_{n}"] = forms.CharField(
                label=_("Its share"), max_length=24, required=False
            )

    def to_draft(self) -> LoadDraft:
        """What the form says, for `loads.entry`; an amendment keeps what the form does not ask."""
        found = self.cleaned_data
        parts = [
            PartDraft(
                found[f"field_{n}"], *self._share(f"field_amount_{n}"), found[f"field_ac_{n}"]
            )
            for n in self.parts
            if found[f"field_{n}"]
        ]
        draws = [
            DrawDraft(found[f"storage_{n}"], *self._share(f"storage_amount_{n}"))
            for n in self.draws
            if found[f"storage_{n}"]
        ]
        said = {name: found[name] for name in SAME_IN_DRAFT} | untouched(self.load, parts)
        return LoadDraft(
            parts=parts,
            draws=draws,
            person=self._driver(),
            growing_crop={"yes": True, "no": False}.get(found["growing_crop"]),
            origin=found["origin"] or "own",
            **said,
        )

    def _share(self, name: str) -> tuple[str, str]:
        """A share with its unit: the load's, or the one written behind the number."""
        text = self.cleaned_data[name].strip()
        number, _space, unit = text.rpartition(" ")
        if number and unit in BASE_UNITS:
            return number, unit
        return text, self.cleaned_data["amount_unit"] if text else ""

    def _driver(self) -> Person | None:
        if "person" in self.fields:
            return self.cleaned_data["person"]
        if self.cleaned_data["driver_name"]:
            return None
        return self.load.person if self.load else self.seat.person

    def add_problem(self, problem: ValidationError) -> None:
        """Show what entry refused, with the part of the form open in which it stands."""
        super().add_problem(problem)
        self.helper.layout = layout_of(self)


def layout_of(form: LoadForm) -> Layout:
    """The form in the order a driver thinks: when and how much, where to, where from, how."""
    parts, draws = (
        [Row(*(Column(f"{name}_{n}") for name in names)) for n in numbers]
        for names, numbers in (
            (("field", "field_ac", "field_amount"), form.parts),
            (("storage", "storage_amount"), form.draws),
        )
    )
    who = ["person"] if "person" in form.fields else []
    return Layout(
        Fieldset(
            _("When and how much"),
            Row(Column("started"), Column("ended")),
            _more(
                _("Clocks went back that night"),
                Row(Column("started_choice"), Column("ended_choice")),
                "incorporated_choice",
                is_open=_has_errors(form, "started", "ended", "incorporated"),
            ),
            Row(Column("amount_text"), Column("amount_unit"), Column("measured_by")),
            Row(Column("measure_start"), Column("measure_stop"), Column("loads_counted")),
        ),
        Fieldset(
            _("Where to"),
            parts[0],
            _more(
                _("The load went onto more fields"),
                *parts[1:],
                is_open=_is_filled(form, "field_2"),
            ),
        ),
        Fieldset(
            _("Where from"),
            draws[0],
            _more(
                _("More storages, or manure that is not your own"),
                *draws[1:],
                Row(Column("origin"), Column("origin_name")),
                is_open=_is_filled(form, "storage_2") or _is_filled(form, "origin_name"),
            ),
        ),
        Fieldset(
            _("How"),
            Row(Column("method"), Column("incorporated")),
            Row(Column("spreader"), *(Column(name) for name in (*who, "driver_name"))),
            Row(Column("ground"), Column("snow_in"), Column("frozen_depth_in")),
            Row(Column("growing_crop"), Column("residue_pct"), Column("crop_year")),
            "from_paper",
            "note",
        ),
    )


def _is_filled(form: LoadForm, name: str) -> bool:
    given = form.data.get(name) if form.is_bound else form.initial.get(name)
    return bool(given)


def _has_errors(form: LoadForm, *names: str) -> bool:
    """Whether the folded part holds an answer, or is asked for by a refusal of `add_problem`."""
    refused = getattr(form, "_errors", None) or {}
    return any(name in refused or form.data.get(f"{name}_choice") for name in names)


def _more(words: Any, *rows: Any, is_open: bool = False) -> Layout:
    return Layout(
        HTML(f"<details class='more'{' open' if is_open else ''}><summary>"),
        HTML(str(words)),
        HTML("</summary>"),
        *rows,
        HTML("</details>"),
    )
