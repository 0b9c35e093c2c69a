"""Kinds of record of what was measured: soil tests, inspections, deficiencies, discharges."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from farmrecords.book.record_form import RecordForm
from farmrecords.book.record_kind import Kind, TypedAmount
from farmrecords.findings.rulebooks import rulebook
from farmrecords.measurements.models import Calibration, Deficiency, Discharge, Inspection, SoilTest
from farmrecords.measurements.results import ANALYTES, check_results

SOIL_UNITS: dict[str, list[str]] = {
    "soil_p": ["ppm", "lb/ac", "mg/L"],
    "soil_nitrate_n": ["ppm", "lb/ac"],
    "soil_al": ["ppm"],
    "soil_om": ["%"],
    "soil_ph": ["pH"],
    "soil_p_fiv": ["FIV"],
}
CORRECTION = "US-F27"  # the rule that gives a deficiency its days


class SoilForm(RecordForm):
    """A soil test: each figure as it stands on the sheet."""

    def build(self) -> None:
        reported = {row["analyte"]: row["unit"] for row in self.instance.results or []}
        for name, offered in SOIL_UNITS.items():
            units = dict.fromkeys([*offered, reported.get(name, offered[0])])
            words = str(ANALYTES[name])
            words = words[:1].upper() + words[1:]
            self.fields[f"value_{name}"] = forms.CharField(
                label=words, max_length=20, required=False
            )
            self.fields[f"unit_{name}"] = forms.ChoiceField(
                label=gettext("%(what)s, unit") % {"what": words},
                choices=[(unit, unit) for unit in units],
                required=False,
            )

    def further(self, stored: Any) -> dict[str, Any]:
        found = {}
        for row in stored.results:
            found[f"value_{row['analyte']}"] = row["value"]
            found[f"unit_{row['analyte']}"] = row["unit"]
        return found

    def check(self, found: dict[str, Any]) -> None:
        before = {row["analyte"]: row for row in self.instance.results or []}
        rows = [row for name, row in before.items() if name not in SOIL_UNITS]
        for name in SOIL_UNITS:
            value = found.get(f"value_{name}", "").strip()
            if not value:
                continue
            unit = found.get(f"unit_{name}") or SOIL_UNITS[name][0]
            row = before.get(name, {}) | {"analyte": name, "value": value, "unit": unit}
            try:
                check_results([row])
            except forms.ValidationError as problem:
                self.add_error(f"value_{name}", problem)
            rows.append(row)
        if not rows:
            self.add_error(None, gettext("No figure of the sheet is entered. Enter at least one."))
        self.instance.results = rows


class InspectionForm(RecordForm):
    """A look of today, or a miss of any day; nothing is looked at afterwards."""

    def check(self, found: dict[str, Any]) -> None:
        day, missed = found.get("inspected_on"), found.get("missed")
        looked_on = self._looked_on()
        if missed and not (found.get("found") or "").strip():
            self.add_error("found", gettext("Say why the inspection was missed."))
        if day and not missed and day != looked_on:
            self.add_error(
                "inspected_on",
                gettext(
                    "%(day)s is not %(today)s. An inspection is entered on its day; for another "
                    "day tick that it was missed, and say why."
                )
                % {"day": day, "today": looked_on},
            )

    def _looked_on(self) -> dt.date:
        """The one day on which something can have been looked at."""
        stored: Any = self.initial
        if self.is_new or stored.get("missed"):
            return self.seat.today
        day: dt.date = stored["inspected_on"]
        return day


class DeficiencyForm(RecordForm):
    """Something found, and what was done about it."""

    def check(self, found: dict[str, Any]) -> None:
        if found.get("corrected_on") and not (found.get("correction") or "").strip():
            self.add_error("correction", gettext("Say what was done to put it right."))


class DischargeForm(RecordForm):
    """A discharge; its time lies on its day."""

    def check(self, found: dict[str, Any]) -> None:
        at, on = found.get("happened_at"), found.get("happened_on")
        if at and on and timezone.localtime(at).date() != on:
            told = {"at": f"{timezone.localtime(at):%Y-%m-%d %H:%M}", "on": on}
            words = gettext("%(at)s is not on %(on)s. Make day and time agree.")
            self.add_error("happened_at", words % told)


class CalibrationForm(RecordForm):
    """A calibration says what a load holds, how wide it falls, or both."""

    def check(self, found: dict[str, Any]) -> None:
        if self.errors or found.get("load_text") or found.get("width_ft") is not None:
            return
        words = gettext("Enter the amount of a full load, the effective width, or both.")
        self.add_error("load_text", words)


def fix_by(row: Any) -> dt.date | None:
    """The day by which a deficiency is put right, from the rule that stood when it was found."""
    rule = rulebook().rule(CORRECTION).on(row.found_on)
    days = rule.plain.get("days")
    return row.found_on + dt.timedelta(days=int(str(days.value))) if days else None


SOIL = Kind(
    slug="soil-tests",
    model=SoilTest,
    group="rounds",
    many=_("Soil tests"),
    one=_("soil test"),
    lede=_("One test of one field and depth, as the laboratory reports it."),
    fields=(
        "field", "sampled_on", "analysed_on", "reported_on", "depth_in", "extractant",
        "sampled_by", "laboratory", "sheet_number", "sampling_method", "laboratory_method",
    ),
    columns=("sampled_on", "field", "depth_in", "extractant", "results"),
    see="see_measurements",
    write="enter_measurement",
    form=SoilForm,
    above_zero=("depth_in",),
    not_coming=("sampled_on", "analysed_on", "reported_on"),
    in_order=(("sampled_on", "analysed_on"), ("sampled_on", "reported_on")),
    own=("results",),
)  # fmt: skip

INSPECTIONS = Kind(
    slug="inspections",
    model=Inspection,
    group="rounds",
    many=_("Inspections"),
    one=_("inspection"),
    lede=_(
        "What was looked at today, with what was found. A round that was left out is recorded as "
        "missed, with the reason; it is never filled in afterwards."
    ),
    fields=("kind", "inspected_on", "missed", "storage", "spreader", "field", "found"),
    columns=("inspected_on", "kind", "storage", "missed", "found"),
    see="see_measurements",
    write="enter_measurement",
    form=InspectionForm,
    labels={"found": _("found, or why it was missed"), "inspected_by": _("looked at by")},
    not_coming=("inspected_on",),
    own=("inspected_by",),
    initial=lambda seat: {"inspected_on": seat.today},
    fill=lambda seat: {"inspected_by": seat.person},
)

DEFICIENCIES = Kind(
    slug="deficiencies",
    model=Deficiency,
    group="rounds",
    many=_("Deficiencies"),
    one=_("deficiency"),
    lede=_("What is to be put right, by which day, and what was done."),
    fields=("storage", "found_on", "description", "corrected_on", "correction", "explanation"),
    columns=("found_on", "storage", "description", (_("To be put right by"), fix_by),
             "corrected_on"),
    see="see_measurements",
    write="enter_measurement",
    form=DeficiencyForm,
    not_coming=("found_on", "corrected_on"),
    in_order=(("found_on", "corrected_on"),),
    also=((_("To be put right by"), fix_by),),
    initial=lambda seat: {"found_on": seat.today},
)  # fmt: skip

DISCHARGES = Kind(
    slug="discharges",
    model=Discharge,
    group="rounds",
    many=_("Discharges and overflows"),
    one=_("discharge"),
    lede=_(
        "Manure or wastewater that left the production area or ran off a field. Call the agency "
        "first; this page keeps the times of what was done."
    ),
    fields=(
        "from_production_area", "happened_on", "happened_at", "storage", "volume_text", "cause",
        "receiving_water", "aware_at", "told_at", "written_on",
    ),
    columns=("happened_on", "storage", "volume_text", "told_at", "written_on"),
    see="see_measurements",
    write="enter_measurement",
    form=DischargeForm,
    amounts=(TypedAmount("volume_text", fixed_unit="gal"),),
    not_coming=("happened_on", "happened_at", "aware_at", "told_at", "written_on"),
    in_order=(("happened_on", "written_on"), ("happened_at", "aware_at"), ("aware_at", "told_at")),
    initial=lambda seat: {"happened_on": seat.today, "from_production_area": True},
)  # fmt: skip

CALIBRATIONS = Kind(
    slug="calibrations",
    model=Calibration,
    group="rounds",
    many=_("Calibrations"),
    one=_("calibration"),
    lede=_("What a spreader really holds and how wide it spreads. It holds from its day forward."),
    fields=("spreader", "calibrated_on", "method", "load_text", "load_unit", "width_ft",
            "calculation"),
    columns=("calibrated_on", "spreader", "method", "load_text", "width_ft"),
    see="see_measurements",
    write="enter_measurement",
    form=CalibrationForm,
    amounts=(TypedAmount("load_text", "load_unit"),),
    above_zero=("width_ft",),
    not_coming=("calibrated_on",),
    initial=lambda seat: {"calibrated_on": seat.today},
)  # fmt: skip

ROUNDS = (SOIL, INSPECTIONS, DEFICIENCIES, DISCHARGES, CALIBRATIONS)
