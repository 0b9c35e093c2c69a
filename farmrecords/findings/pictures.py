"""Pictures of a field made from its records: the drawn map and the year band, for page and PDF.

Zones come from the same distance code that judges a load: what is hatched is what a surface load
of the field's usual form would have to keep away from on that day.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import shapely
from reportlab.graphics.shapes import Drawing
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import LocalPlane, feet
from farmrecords.calculations.setback_geometry import nearness
from farmrecords.calculations.units import whole
from farmrecords.drawing.band import year_band
from farmrecords.drawing.inputs import (
    ClosedWindow,
    Landmark,
    LoadTick,
    MultiPolygon,
    Period,
    Swath,
    Track,
    Zone,
)
from farmrecords.drawing.land import field_map
from farmrecords.farm.geometry import to_shape
from farmrecords.farm.models import Feature, Field
from farmrecords.findings.permit_layer import own_rules
from farmrecords.findings.words import drawing_words, rule_text
from farmrecords.findings.zones import Known, asked_ft, known_on, zones_of
from farmrecords.loads.distances import search_ft
from farmrecords.loads.facts import facts_of
from farmrecords.loads.models import Load

DRAWN_FT = 600.0  # of the drawing alone: farther features are drawn only where they close ground


def field_picture(
    field: Field,
    on: dt.date,
    loads: Iterable[Load] = (),
    *,
    width: float = 480,
    height: float = 340,
) -> Drawing | None:
    """The drawn map of a field on a day with the given loads' ground; None without a boundary."""
    version = field.version_on(on)
    boundary = to_shape(version.boundary) if version else None
    if boundary is None:
        return None
    frame = _Frame(boundary)
    features = near_features(field, boundary, on)
    swaths, tracks = _ground(frame, field, loads)
    return field_map(
        frame.polygons(boundary),
        zones=[
            Zone(label=label, polygons=frame.polygons(area), closed=True)
            for label, area in zones_of(field, boundary, features, on)
        ],
        swaths=swaths,
        tracks=tracks,
        landmarks=[frame.landmark(feature) for feature in features],
        name=str(field),
        words=drawing_words(),
        width=width,
        height=height,
    )


def near_features(field: Field, boundary: BaseGeometry, on: dt.date) -> list[Feature]:
    """The features in force on the day beside the field, and those that close ground of it."""
    rows = list(Feature.objects.filter(operation=field.operation_id).in_force(on))
    reach_ft = search_ft(own_rules(field.operation), rows)
    known = known_on(field, on)
    near = nearness([boundary], [shape(row.geometry) for row in rows], reach_ft)
    within = {
        one.place
        for one in near
        if one.distance_ft <= DRAWN_FT
        or one.distance_ft < _most_asked_ft(field, rows[one.place], on, known)
    }
    return [row for number, row in enumerate(rows) if number in within]


def _most_asked_ft(field: Field, feature: Feature, on: dt.date, known: Known) -> float:
    """The largest distance asked of the feature for manure left on the surface, in either form."""
    asked = [
        asked_ft(field, feature, on, method="surface", form=form, known=known)
        for form in ("liquid", "solid")
    ]
    return float(max((one for one in asked if one is not None), default=0))


def field_band(
    crop_year: int,
    loads: Sequence[Load],
    field: Field,
    *,
    closed: Sequence[ClosedWindow] = (),
    today: dt.date | None = None,
    width: float = 720,
) -> Drawing:
    """The year band of a field: its loads as ticks by amount, closed seasons hatched."""
    by_day: dict[dt.date, float] = defaultdict(float)
    for load in loads:
        for part in load.parts.all():
            if part.field_id == field.pk:
                by_day[load.local_day] += float(whole(part.amount_milli))
    ticks = [LoadTick(on=day, amount=amount) for day, amount in sorted(by_day.items())]
    period = band_period(crop_year, list(by_day))
    shown = [
        replace(window, label=rule_text(window.label))
        for window in closed
        if window.last_on >= period.first_on
    ]
    words = drawing_words()
    return year_band(period, loads=ticks, closed=shown, today=today, words=words, width=width)


def band_period(crop_year: int, days: Sequence[dt.date]) -> Period:
    """The calendar year, begun earlier when loads of the year before count for it."""
    first = min([dt.date(crop_year, 1, 1), *days]).replace(day=1)
    return Period(first, dt.date(crop_year, 12, 31))


class _Frame:
    """The field's own plane in feet, x east and y north."""

    def __init__(self, boundary: BaseGeometry) -> None:
        self.plane = LocalPlane.centred_on(boundary)

    def feet(self, geometry: BaseGeometry) -> BaseGeometry:
        return shapely.transform(self.plane.project(geometry), feet)

    def polygons(self, geometry: BaseGeometry) -> MultiPolygon:
        found = []
        for part in getattr(self.feet(geometry), "geoms", [self.feet(geometry)]):
            if part.geom_type == "Polygon" and not part.is_empty:
                rings = [part.exterior, *part.interiors]
                found.append([[(x, y) for x, y, *_ in ring.coords] for ring in rings])
        return found

    def landmark(self, feature: Feature) -> Landmark:
        geometry = self.feet(shape(feature.geometry))
        label = feature.name or str(feature.get_kind_display())
        if geometry.geom_type in ("Point", "MultiPoint"):
            return Landmark(label, _points(geometry), "point")
        if geometry.geom_type in ("Polygon", "MultiPolygon"):
            outline = getattr(geometry, "geoms", [geometry])[0].exterior
            return Landmark(label, _points(outline), "outline")
        return Landmark(label, _points(geometry), "line")


def _points(geometry: BaseGeometry) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(geometry)]


def _ground(frame: _Frame, field: Field, loads: Iterable[Load]) -> tuple[list[Swath], list[Track]]:
    swaths: list[Swath] = []
    for load in loads:
        for row in facts_of(load).parts:
            if str(row["field"]) != str(field.pk) or not row["footprint"]:
                continue
            swaths.append(_swath(frame, row))
    return swaths, []


def _swath(frame: _Frame, row: dict[str, Any]) -> Swath:
    return Swath(
        polygons=frame.polygons(shape(row["footprint"])),
        amount_per_ac=float(row["rate_per_ac"] or 0),
    )
