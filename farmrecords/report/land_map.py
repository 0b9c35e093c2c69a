"""A field's map from its records: laid on the field's own plane, kept in whole feet."""

from __future__ import annotations

from decimal import Decimal

import shapely
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import LocalPlane, feet
from farmrecords.farm.acres import boundary_of
from farmrecords.farm.models import Feature
from farmrecords.findings.spreadable import close_features, near
from farmrecords.findings.zones import zones_of
from farmrecords.loads.distances import search_ft
from farmrecords.loads.year_figures import FieldYear, YearPart
from farmrecords.report.amounts import FORM_OF_KIND, UNITS
from farmrecords.report.land import Areas, LandMap, LandmarkShape, Outline, SwathShape, ZoneShape
from farmrecords.report.rows import Rows
from farmrecords.report.spreadable import features_on, known_for

DRAWN_FT = 600.0  # of the drawing alone: a farther feature is drawn only where it closes ground
TRUE_TO_FT = 3.0  # a drawn line may leave the computed one by this much


def land_map(rows: Rows, year: FieldYear) -> LandMap | None:
    """The field with the ground its loads covered; None without a boundary.

    The zones are those that a load of the last load's method and form has to keep free.
    """
    boundary = boundary_of(year.version)
    if boundary is None:
        return None
    plane = LocalPlane.centred_on(boundary)
    here = plane.project(boundary)
    swaths = [made for part in year.parts if (made := _swath(plane, part)) is not None]
    close = list(near(rows.features, plane, here, DRAWN_FT))
    units = [swath.unit for swath in swaths]
    return LandMap(
        areas(here),
        tuple(swaths),
        tuple(_landmark(row, ground) for row, ground in close),
        _zones(rows, year, boundary, plane),
        unit=units[0] if units else "gal/ac",
    )


def _zones(
    rows: Rows, year: FieldYear, boundary: BaseGeometry, plane: LocalPlane
) -> tuple[ZoneShape, ...]:
    last = year.parts[-1].load
    features = features_on(rows, last)
    found = zones_of(
        year.field,
        boundary,
        close_features(features, boundary, search_ft(rows.conditions, features)),
        last.local_day,
        method=last.method,
        form=FORM_OF_KIND[last.amount_kind],
        known=known_for(rows, year, last),
    )
    return tuple(ZoneShape(label, areas(plane.project(ground))) for label, ground in found)


def areas(ground: BaseGeometry) -> Areas:
    """Polygons in metres as rings of whole feet."""
    outlines = shapely.transform(ground, feet).simplify(TRUE_TO_FT)
    found = []
    for part in shapely.get_parts(outlines):
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
    drawn = shapely.transform(metres, feet).simplify(TRUE_TO_FT)
    label = row.name or str(row.get_kind_display())
    kind = {"Point": "point", "Polygon": "outline"}.get(_longest(drawn).geom_type, "line")
    part = _longest(drawn)
    return LandmarkShape(label, kind, outline(part.exterior if kind == "outline" else part))


def _longest(feet: BaseGeometry) -> BaseGeometry:
    """The largest piece of what is drawn; one label stands for the feature."""
    return max(shapely.get_parts(feet), key=lambda part: (part.length, part.area))
