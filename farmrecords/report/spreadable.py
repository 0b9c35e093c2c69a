"""Acres of a field that manure may go on: the field less the ground kept free by setbacks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import LocalPlane
from farmrecords.calculations.setback_geometry import is_within, spreadable, widened
from farmrecords.farm.acres import boundary_of, place_of
from farmrecords.farm.models import Feature
from farmrecords.findings.zones import Known, asked_ft, known_from
from farmrecords.loads.distances import search_ft
from farmrecords.loads.models import Load
from farmrecords.loads.year_figures import FieldYear
from farmrecords.report.amounts import FORM_OF_KIND
from farmrecords.report.rows import Rows, in_force

DRAWN_FT = 600.0  # of the drawing alone: a farther feature is drawn only where it closes ground


@dataclass(frozen=True)
class Spreadable:
    """The acres, None when none are known, and in words how they came about."""

    acres: float | None
    words: str


def spreadable_by_kind(rows: Rows, year: FieldYear) -> dict[str, Spreadable]:
    """The spreadable acres for the last load of each kind of amount ("gal", "lb")."""
    last = {load.amount_kind: load for load in year.loads}
    return {kind: _spreadable(rows, year, load) for kind, load in last.items()}


def _spreadable(rows: Rows, year: FieldYear, load: Load) -> Spreadable:
    boundary = boundary_of(year.version)
    if boundary is None:
        if year.acres is None:
            return Spreadable(None, "")
        words = "the acres the plan states; without a boundary no ground is taken out for setbacks"
        return Spreadable(year.acres, words)
    known = known_for(rows, year, load)
    kept = []
    reach_ft = search_ft(rows.conditions, rows.features)
    for feature in close_features(rows.features, boundary, reach_ft):
        asked = asked_ft(
            year.field,
            feature,
            load.local_day,
            method=load.method,
            form=FORM_OF_KIND[load.amount_kind],
            known=known,
        )
        if asked:
            kept.append((place_of(feature), float(asked)))
    how = f"for manure {load.get_method_display()} on {load.local_day:%Y-%m-%d}"
    if not kept:
        words = f"the whole field; no feature entered asks for a distance {how}"
        return Spreadable(year.acres, words)
    _ground, acres = spreadable(boundary, kept)
    features = f"{len(kept)} feature" + ("s" if len(kept) > 1 else "")
    words = f"the field less the ground kept free around {features} {how}"
    return Spreadable(acres, words)


def known_for(rows: Rows, year: FieldYear, load: Load) -> Known:
    """The permit facts, stack and rulebook that held for the field on the day of the load."""
    stack = year.version.stack if year.version else None
    if not stack:
        held = in_force(rows.stacks, load.local_day)
        stack = held.stack if held else ()
    permit = in_force(rows.permits, load.local_day)
    day = load.local_day
    return known_from(permit, stack, rows.conditions, year.field, day, rows.around)


def close_features(
    features: Sequence[Feature], boundary: BaseGeometry, reach_ft: float
) -> list[Feature]:
    """The features within reach of the field."""
    plane = LocalPlane.centred_on(boundary)
    return [row for row, _ground in near(features, plane, plane.project(boundary), reach_ft)]


def near(
    features: Iterable[Feature],
    plane: LocalPlane,
    here: BaseGeometry,
    reach_ft: float = DRAWN_FT,
) -> Iterable[tuple[Feature, BaseGeometry]]:
    """Features within reach of the field, with their place in metres of its plane."""
    west, south, east, north = widened(here, reach_ft).bounds
    for row in features:
        ground = shapely.clip_by_rect(plane.project(place_of(row)), west, south, east, north)
        if is_within(ground, here, reach_ft):
            yield row, ground
