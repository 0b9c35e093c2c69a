"""Acres of a field that manure may go on: the field less the ground kept free by setbacks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import LocalPlane, area_ac
from farmrecords.calculations.setback_geometry import cut_out, is_within, widened
from farmrecords.farm.acres import boundary_of, place_of
from farmrecords.farm.models import Feature
from farmrecords.findings.zones import Known, asked_ft, known_on
from farmrecords.loads.distances import search_ft
from farmrecords.loads.kinds import METHODS
from farmrecords.loads.year_figures import FieldYear

FORM_OF_KIND = {"gal": "liquid", "lb": "solid"}
METHOD_WITHOUT_LOADS = "surface"


@dataclass(frozen=True)
class Manner:
    """How manure goes on: the day, the method and the form."""

    on: dt.date
    method: str
    form: str


@dataclass(frozen=True)
class Spreadable:
    """The acres, None when none are known, and in words how they came about."""

    acres: float | None
    words: str


def spreadable_of(
    year: FieldYear, features: Sequence[Feature], manner: Manner, known: Known
) -> Spreadable:
    """The acres of the field's boundary that no setback closes for such manure.

    Without a boundary the acres the plan states. `features` may be all of the operation's.
    """
    boundary = boundary_of(year.version)
    if boundary is None:
        if year.acres is None:
            return Spreadable(None, "")
        words = _("the acres the plan states; without a boundary no ground is taken out")
        return Spreadable(year.acres, words)
    kept = []
    reach_ft = search_ft(known.around.conditions if known.around else (), features)
    for feature in close_features(features, boundary, reach_ft):
        asked = asked_ft(
            year.field, feature, manner.on, method=manner.method, form=manner.form, known=known
        )
        if asked:
            kept.append((place_of(feature), float(asked)))
    how = {"method": dict(METHODS)[manner.method], "day": f"{manner.on:%Y-%m-%d}"}
    ground, closing = cut_out(boundary, kept)
    if not closing:
        words = _(
            "the whole field; no feature entered closes ground to manure %(method)s on %(day)s"
        )
        return Spreadable(year.acres, words % how)
    words = ngettext(
        "the field less the ground that %(n)d feature closes to manure %(method)s on %(day)s",
        "the field less the ground that %(n)d features close to manure %(method)s on %(day)s",
        len(closing),
    )
    acres = 0.0 if ground.is_empty else area_ac(ground)
    return Spreadable(acres, words % (how | {"n": len(closing)}))


def spreadable_in(year: FieldYear, on: dt.date) -> dict[str, Spreadable]:
    """The spreadable acres of a year by kind of amount, for liquid ("gal") and solid ("lb").

    Each as for the last load of that form in the year; without one, for manure left on the
    surface on the day.
    """
    field = year.field
    found = {}
    last = {load.amount_kind: load for load in year.loads}
    for kind, form in FORM_OF_KIND.items():
        load = last.get(kind)
        day = load.local_day if load else on
        manner = Manner(day, load.method if load else METHOD_WITHOUT_LOADS, form)
        features = list(Feature.objects.in_force(day).filter(operation=field.operation))
        found[kind] = spreadable_of(year, features, manner, known_on(field, day))
    return found


def close_features(
    features: Sequence[Feature], boundary: BaseGeometry, reach_ft: float
) -> list[Feature]:
    """The features within reach of the field."""
    plane = LocalPlane.centred_on(boundary)
    return [row for row, _ground in near(features, plane, plane.project(boundary), reach_ft)]


def near(
    features: Iterable[Feature], plane: LocalPlane, here: BaseGeometry, reach_ft: float
) -> Iterable[tuple[Feature, BaseGeometry]]:
    """Features within reach of the field, with their place in metres of its plane."""
    west, south, east, north = widened(here, reach_ft).bounds
    for row in features:
        ground = shapely.clip_by_rect(plane.project(place_of(row)), west, south, east, north)
        if is_within(ground, here, reach_ft):
            yield row, ground
