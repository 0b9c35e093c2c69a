"""A field's map from its records: laid on the field's own plane, kept in whole feet."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

import shapely
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import FT_M, LocalPlane
from farmrecords.farm.acres import boundary_of
from farmrecords.farm.models import Feature
from farmrecords.loads.year_figures import FieldYear, YearPart
from farmrecords.report.amounts import UNITS
from farmrecords.report.land import Areas, LandMap, LandmarkShape, Outline, SwathShape

NEAR_FT = 600.0  # features farther away are left off the map
TRUE_TO_FT = 3.0  # a drawn line may leave the computed one by this much


def land_map(year: FieldYear, features: Iterable[Feature]) -> LandMap | None:
    """The field with the ground its loads covered; None without a boundary."""
    boundary = boundary_of(year.version)
    if boundary is None:
        return None
    plane = LocalPlane.centred_on(boundary)
    here = plane.project(boundary)
    swaths = [made for part in year.parts if (made := _swath(plane, part)) is not None]
    marks = [_landmark(row, ground) for row, ground in near(features, plane, here)]
    units = [swath.unit for swath in swaths]
    return LandMap(areas(here), tuple(swaths), tuple(marks), unit=units[0] if units else "gal/ac")


def near(
    features: Iterable[Feature], plane: LocalPlane, here: BaseGeometry
) -> Iterable[tuple[Feature, BaseGeometry]]:
    """Features within reach of the field, with their place in metres of its plane."""
    west, south, east, north = here.buffer(NEAR_FT * FT_M).bounds
    for row in features:
        ground = shapely.clip_by_rect(plane.project(shape(row.geometry)), west, south, east, north)
        if not ground.is_empty and ground.distance(here) <= NEAR_FT * FT_M:
            yield row, ground


def areas(metres: BaseGeometry) -> Areas:
    """Polygons in metres as rings of whole feet."""
    feet = shapely.transform(metres, lambda xy: xy / FT_M).simplify(TRUE_TO_FT)
    found = []
    for part in shapely.get_parts(feet):
        if part.geom_type == "Polygon" and not part.is_empty:
            found.append(tuple(outline(ring) for ring in (part.exterior, *part.interiors)))
    return tuple(found)


def outline(feet: BaseGeometry) -> Outline:
    """The corners of a line in whole feet."""
    return tuple((round(x), round(y)) for x, y in shapely.get_coordinates(feet).tolist())


def _swath(plane: LocalPlane, row: YearPart) -> SwathShape | None:
    ground, rate = row.on_ground.geometry, row.facts.get("rate_per_ac")
    if ground is None or rate is None:
        return None
    unit = f"{UNITS[row.load.amount_kind]}/ac"
    return SwathShape(areas(plane.project(ground)), Decimal(f"{float(rate):.1f}"), unit)


def _landmark(row: Feature, metres: BaseGeometry) -> LandmarkShape:
    feet = shapely.transform(metres, lambda xy: xy / FT_M).simplify(TRUE_TO_FT)
    label = row.name or str(row.get_kind_display())
    kind = {"Point": "point", "Polygon": "outline"}.get(_longest(feet).geom_type, "line")
    part = _longest(feet)
    return LandmarkShape(label, kind, outline(part.exterior if kind == "outline" else part))


def _longest(feet: BaseGeometry) -> BaseGeometry:
    """The largest piece of what is drawn; one label stands for the feature."""
    return max(shapely.get_parts(feet), key=lambda part: (part.length, part.area))
