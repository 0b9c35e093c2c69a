"""Kinds of record of what the farm has: fields, features, storages, spreaders, animals."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from farmrecords.book.record_cells import points_of
from farmrecords.book.record_form import RecordForm
from farmrecords.book.record_kind import Kind, TypedAmount
from farmrecords.calculations.units import AmountError, read_number
from farmrecords.farm.kinds import CONTROLS
from farmrecords.farm.models import (
    AnimalCount,
    AnimalGroup,
    Feature,
    Field,
    FieldVersion,
    Spreader,
    Storage,
)
from farmrecords.history.recorded import Recorded
from farmrecords.loads.problems import problem_words

SHAPES = [("point", _("one place")), ("line", _("a line")), ("area", _("an area"))]
CORNERS = {"point": (1, 1), "line": (2, None), "area": (3, None)}


def _lines(text: str) -> list[list[str]]:
    """The filled lines of a text, each cut at commas, semicolons or blanks."""
    rows = (line.replace(";", " ").replace(",", " ").split() for line in text.splitlines())
    return [row for row in rows if row]


def _same(typed: str, shown: str) -> bool:
    """Whether a text of several lines came back as it was shown; browsers end lines differently."""
    return typed.strip().splitlines() == shown.strip().splitlines()


class FieldForm(RecordForm):
    """A field without a file: number, name, and who controls it from its first day."""

    def build(self) -> None:
        self.fields["aliases_text"] = forms.CharField(
            label=_("Other names, with commas between"), max_length=250, required=False
        )
        if self.is_new:
            self.fields["control"] = forms.ChoiceField(label=_("Control"), choices=CONTROLS)
            self.fields["stated_ac"] = forms.DecimalField(
                label=_("Acres as stated in the plan"), max_digits=9, decimal_places=2,
                min_value=0, required=False,
            )  # fmt: skip

    def further(self, stored: Any) -> dict[str, Any]:
        return {"aliases_text": ", ".join(stored.aliases)}

    def check(self, found: dict[str, Any]) -> None:
        names = [name.strip() for name in found.get("aliases_text", "").split(",")]
        self.instance.aliases = [name for name in names if name]
        if found.get("stated_ac") == 0:
            self.add_error("stated_ac", gettext("0 acres must be more than zero, or left empty."))
        if bool(found.get("ended_on")) != bool(found.get("ended_how")) and not self.errors:
            words = gettext("Give both: the last day farmed, and how it ended.")
            self.add_error("ended_how", words)

    def followers(self) -> list[Recorded]:
        found = self.cleaned_data
        return [
            FieldVersion(
                operation=self.instance.operation, field=self.instance,
                from_on=self.instance.began_on, control=found["control"],
                stated_ac=found["stated_ac"],
            )
        ]  # fmt: skip


class FactsForm(RecordForm):
    """Facts of a field from a day on; the outline goes on as it was."""

    def check(self, found: dict[str, Any]) -> None:
        field, day = found.get("field"), found.get("from_on")
        if not (self.is_new and field and day):
            return
        before = field.version_on(day)
        if before:
            for name in ("boundary", "line_source", "uncertainty_ft", "stack", "further"):
                setattr(self.instance, name, getattr(before, name))


class FeatureForm(RecordForm):
    """A feature by its coordinates: one line for each corner, latitude first as maps say it."""

    def build(self) -> None:
        self.fields["shape"] = forms.ChoiceField(label=_("Shape"), choices=SHAPES)
        self.fields["corners"] = forms.CharField(
            label=_("Latitude and longitude, one corner on each line"),
            widget=forms.Textarea(attrs={"rows": 5, "placeholder": "44.12345, -73.21234"}),
        )

    def further(self, stored: Any) -> dict[str, Any]:
        kind = stored.geometry.get("type", "")
        if kind not in ("Point", "LineString", "Polygon") or len(stored.geometry) > 2:
            self.fields["corners"].required = self.fields["shape"].required = False
        shape = {"Point": "point", "LineString": "line", "Polygon": "area"}.get(kind, "")
        corners = points_of(stored.geometry)
        corners = corners[:-1] if shape == "area" else corners
        return {"shape": shape, "corners": "\n".join(f"{lat}, {lon}" for lon, lat in corners)}

    def check(self, found: dict[str, Any]) -> None:
        text, shape = found.get("corners", ""), found.get("shape", "")
        if self.errors or self._untouched(text, shape):
            return
        if not shape:
            words = gettext("Say what the corners make: one place, a line or an area.")
            return self.add_error("shape", words)
        corners = self._corners(text)
        if "corners" in self.errors:
            return
        least, most = CORNERS[shape]
        if len(corners) < least or (most and len(corners) > most):
            told = {"n": len(corners), "least": least}
            words = (
                gettext("%(n)d corners do not make this shape; it needs %(least)d.")
                if most
                else gettext("%(n)d corners do not make this shape; it needs %(least)d or more.")
            )
            return self.add_error("corners", words % told)
        self.instance.geometry = _geometry(shape, corners)
        try:
            self.instance._meta.get_field("geometry").clean(self.instance.geometry, self.instance)
        except forms.ValidationError as problem:
            self.add_error("corners", problem)

    def _untouched(self, text: str, shape: str) -> bool:
        """Whether the place stands as it was shown; one of many pieces is not typed anew."""
        if self.is_new:
            return False
        return _same(text, self.initial["corners"]) and shape == self.initial["shape"]

    def _corners(self, text: str) -> list[list[float]]:
        corners = []
        for number, row in enumerate(_lines(text), 1):
            try:
                lat, lon = (float(part) for part in row)
            except ValueError:
                words = gettext(
                    "Line %(n)d, “%(row)s”, is no place. Write latitude and longitude in degrees, "
                    "for example 44.12345, -73.21234."
                )
                self.add_error("corners", words % {"n": number, "row": " ".join(row)[:40]})
                return []
            if not (-90 <= lat <= 90 and -180 <= lon <= 180):
                words = gettext(
                    "Line %(n)d: latitude %(lat)s, longitude %(lon)s is not a place on earth. "
                    "Latitude comes first."
                )
                self.add_error("corners", words % {"n": number, "lat": lat, "lon": lon})
                return []
            corners.append([lon, lat])
        return corners


def _geometry(shape: str, corners: list[list[float]]) -> dict[str, Any]:
    if shape == "point":
        return {"type": "Point", "coordinates": corners[0]}
    if shape == "line":
        return {"type": "LineString", "coordinates": corners}
    return {"type": "Polygon", "coordinates": [[*corners, corners[0]]]}


class StorageForm(RecordForm):
    """A storage; a surveyed one has its table of depths and volumes."""

    def build(self) -> None:
        self.fields["table"] = forms.CharField(
            label=_("Surveyed table: depth in ft and gallons, one pair on each line"),
            widget=forms.Textarea(attrs={"rows": 4}), required=False,
        )  # fmt: skip

    def further(self, stored: Any) -> dict[str, Any]:
        return {"table": "\n".join(f"{depth} {gal}" for depth, gal in stored.stage_table)}

    def check(self, found: dict[str, Any]) -> None:
        rows: list[tuple[Any, Any]] = []
        for number, row in enumerate(_stage_rows(found.get("table", "")), 1):
            try:
                depth, gallons = (read_number(part) for part in row)
            except (AmountError, ValueError) as trouble:
                said = (
                    problem_words(trouble)
                    if isinstance(trouble, AmountError)
                    else gettext("Write two numbers, for example 2.5 180000.")
                )
                told = {"n": number, "row": " ".join(row)[:40], "why": said}
                self.add_error("table", gettext("Line %(n)d, “%(row)s”: %(why)s") % told)
                return
            if rows and (depth <= rows[-1][0] or gallons < rows[-1][1]):
                words = gettext(
                    "Line %(n)d, “%(row)s”, does not rise. Depths and gallons go upwards."
                )
                self.add_error("table", words % {"n": number, "row": " ".join(row)[:40]})
                return
            rows.append((depth, gallons))
        if found.get("shape") == "stage_table" and len(rows) < 2:
            self.add_error(
                "table", gettext("A surveyed storage needs at least two lines of its table.")
            )
        if not self.is_new and _same(found.get("table", ""), self.initial["table"]):
            return
        self.instance.stage_table = [[f"{depth}", f"{gallons}"] for depth, gallons in rows]


def _stage_rows(text: str) -> list[list[str]]:
    """Depth and gallons of each line; a comma inside a number is one between thousands."""
    return [line.replace(";", " ").split() for line in text.splitlines() if line.strip()]


FIELDS = Kind(
    slug="fields",
    model=Field,
    group="farm",
    many=_("Fields"),
    one=_("field"),
    lede=_(
        "A field can be entered without its outline, by number, name and control; the outline "
        "comes later with a file. Without it, acres covered and distances cannot be told."
    ),
    fields=("number", "name", "began_on", "ended_on", "ended_how"),
    columns=("number", "name", "aliases", "began_on", "ended_on"),
    see="see_whole_log",
    write="enter_measurement",
    form=FieldForm,
    in_order=(("began_on", "ended_on"),),
    own=("aliases",),
    refusals={
        "field_number_once": (
            "number",
            _("Field %(number)s from %(began_on)s is recorded already. Choose another number."),
        )
    },
    initial=lambda seat: {"began_on": seat.today},
)

FACTS = Kind(
    slug="field-facts",
    model=FieldVersion,
    group="farm",
    many=_("Facts of fields"),
    one=_("facts of a field"),
    lede=_(
        "Acres, control, slope and soil of a field from a day on. Enter a new line when they "
        "change; amend a line when it was wrong from its first day."
    ),
    fields=(
        "field", "from_on", "to_on", "control", "stated_ac", "slope_pct", "drainage_class",
        "hydrologic_group", "tile", "soil",
    ),
    columns=("from_on", "field", "control", "stated_ac", "slope_pct", "tile"),
    see="see_whole_log",
    write="enter_measurement",
    form=FactsForm,
    above_zero=("stated_ac",),
    in_order=(("from_on", "to_on"),),
    own=("boundary", "line_source", "uncertainty_ft", "stack", "further"),
    order=("-from_on",),
    refusals={
        "field_version_one_a_day": (
            "from_on",
            _("Facts of %(field)s from %(from_on)s are recorded already. Amend those."),
        ),
        "field_version_amounts": (
            "slope_pct",
            _("A slope of %(slope_pct)s %% is steeper than 200 %%. Check the number."),
        ),
    },
    initial=lambda seat: {"from_on": seat.today},
)  # fmt: skip

FEATURES = Kind(
    slug="features",
    model=Feature,
    group="farm",
    many=_("Features"),
    one=_("feature"),
    lede=_(
        "Streams, wells, houses and whatever else rules keep a distance from. Coordinates are "
        "typed in degrees, latitude first; a file of many is brought in instead."
    ),
    fields=(
        "kind", "name", "down_gradient", "flows_toward", "line_source", "uncertainty_ft",
        "built_on", "from_on", "to_on",
    ),
    columns=("kind", "name", "geometry", "from_on", "to_on"),
    see="see_whole_log",
    write="enter_measurement",
    form=FeatureForm,
    in_order=(("from_on", "to_on"),),
    own=("geometry",),
    order=("kind", "name"),
    initial=lambda seat: {"from_on": seat.today, "shape": "point"},
)  # fmt: skip

STORAGES = Kind(
    slug="storages",
    model=Storage,
    group="farm",
    many=_("Storages"),
    one=_("storage"),
    lede=_("Pits, ponds, tanks and stacks, with the measures that turn a level into gallons."),
    fields=(
        "name", "form", "material", "species", "shape", "length_ft", "width_ft", "diameter_ft",
        "depth_ft", "side_slope", "is_open", "level_datum", "pump_out_ft", "freeboard_ft",
        "design_volume_gal", "treatment_volume_gal", "solids_allowance_gal", "design_days",
        "storm_depth_in", "storm_source", "drainage_area_ac", "capacity_ton", "began_on",
        "ended_on",
    ),
    columns=("name", "form", "shape", "depth_ft", "began_on", "ended_on"),
    see="see_measurements",
    write="enter_measurement",
    form=StorageForm,
    above_zero=(
        "length_ft", "width_ft", "diameter_ft", "depth_ft", "capacity_ton", "storm_depth_in",
    ),
    in_order=(("began_on", "ended_on"),),
    own=("stage_table",),
    order=("name",),
    refusals={
        "storage_name_once": (
            "name", _("A storage called %(name)s is recorded already. Choose another name."),
        )
    },
    initial=lambda seat: {"began_on": seat.today, "is_open": True},
)  # fmt: skip

SPREADERS = Kind(
    slug="spreaders",
    model=Spreader,
    group="farm",
    many=_("Spreaders"),
    one=_("spreader"),
    lede=_("Machines that take manure to the field. What one really holds is its calibration."),
    fields=(
        "name", "kind", "form", "rated_load_text", "rated_load_unit", "rated_width_ft", "throw_ft",
        "discharge_side", "cells", "owner_name",
    ),
    columns=("name", "kind", "form", "rated_load_text", "rated_width_ft", "owner_name"),
    see="see_measurements",
    write="enter_measurement",
    amounts=(TypedAmount("rated_load_text", "rated_load_unit"),),
    above_zero=("rated_width_ft", "throw_ft"),
    order=("name",),
    refusals={
        "spreader_name_once": (
            "name", _("A spreader called %(name)s is recorded already. Choose another name."),
        )
    },
    initial=lambda seat: {"cells": 0},
)  # fmt: skip

ANIMALS = Kind(
    slug="animals",
    model=AnimalGroup,
    group="farm",
    many=_("Groups of animals"),
    one=_("group of animals"),
    lede=_("Animals of one type and housing. Their number is counted by day, on its own page."),
    fields=("name", "kind", "other_kind", "storage", "has_liquid_system"),
    columns=("name", "kind", "storage", "has_liquid_system"),
    see="see_measurements",
    write="enter_measurement",
    order=("name",),
)

COUNTS = Kind(
    slug="animal-counts",
    model=AnimalCount,
    group="farm",
    many=_("Counts of animals"),
    one=_("count of animals"),
    lede=_("How many animals a group had on a day, in open confinement and under roof."),
    fields=("group", "counted_on", "open_head", "roof_head"),
    columns=("counted_on", "group", "open_head", "roof_head"),
    see="see_measurements",
    write="enter_measurement",
    not_coming=("counted_on",),
    refusals={
        "animal_count_once": (
            "counted_on",
            _("%(group)s was counted on %(counted_on)s already. Amend that count."),
        )
    },
    initial=lambda seat: {"counted_on": seat.today},
)

FARM = (FIELDS, FACTS, FEATURES, STORAGES, SPREADERS, ANIMALS, COUNTS)
