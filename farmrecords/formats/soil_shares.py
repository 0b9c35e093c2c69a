"""From soil polygons and tables to values of a field, each by a stated rule.

Rules: reference on data formats, section 4.1. Areas are taken in an equal-area projection centred
on the field. Null is never zero: a value is weighted over the soils that have it, and the share of
the field it rests on is handed back beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from pyproj import Transformer
from shapely.geometry.base import BaseGeometry

from farmrecords.formats.common import FormatError
from farmrecords.formats.numerals import plain_float
from farmrecords.formats.outlines import SQUARE_METRES_PER_ACRE
from farmrecords.formats.shapes import FeatureRow
from farmrecords.formats.ssurgo import Component, MapUnit, SoilTables

# More of the field than this without a map unit is said (section 4.1: 0.5 %).
MOST_GAP = 0.005


@dataclass(frozen=True)
class SoilShares:
    """Acres of a field on each map unit, largest first, and the acres without any."""

    acres_by_unit: dict[str, float]
    gap_ac: float

    @property
    def field_ac(self) -> float:
        """Acres of the whole field."""
        return sum(self.acres_by_unit.values()) + self.gap_ac

    @property
    def is_whole(self) -> bool:
        """True when the map covers the field but for half a percent."""
        return abs(self.gap_ac) <= MOST_GAP * self.field_ac


@dataclass(frozen=True, slots=True)
class Weighted:
    """A value of a field and the share of the field (0 to 1) that it rests on."""

    value: float | None
    share: float


@dataclass(frozen=True, slots=True)
class Condition:
    """The class that covers most of the field, and how much it covers (0 to 1)."""

    value: str
    share: float


def soil_shares(field: BaseGeometry, polygons: list[FeatureRow]) -> SoilShares:
    """How many acres of a field (WGS84 degrees) lie on each map unit (`kind` of the polygons)."""
    centre = field.centroid
    flat = Transformer.from_crs(
        4326, f"+proj=laea +lat_0={centre.y} +lon_0={centre.x} +datum=WGS84", always_xy=True
    )

    def flattened(geometry: BaseGeometry) -> BaseGeometry:
        return shapely.transform(geometry, flat.transform, interleaved=False)

    whole = flattened(field)
    if not whole.is_valid or whole.area == 0:
        raise FormatError("The field's outline is not valid.", "Mend the outline first.")
    found: dict[str, float] = {}
    for row in polygons:
        if not row.geometry.intersects(field):
            continue
        area_m2 = whole.intersection(flattened(row.geometry)).area
        if area_m2 > 0:
            found[row.kind] = found.get(row.kind, 0.0) + area_m2 / SQUARE_METRES_PER_ACRE
    ordered = dict(sorted(found.items(), key=lambda pair: (-pair[1], pair[0])))
    return SoilShares(ordered, whole.area / SQUARE_METRES_PER_ACRE - sum(found.values()))


def predominant_unit(shares: SoilShares, tables: SoilTables) -> MapUnit | None:
    """The map unit with the most acres; None when the tables do not hold it."""
    key = next(iter(shares.acres_by_unit), "")
    return tables.units.get(key)


def dominant_component(unit: MapUnit) -> Component | None:
    """The soil with the largest percentage; of equal ones the steeper, then the first by key."""

    def order(one: Component) -> tuple[float, float, str]:
        slope = one.number("slope_r")
        return (-(one.percent or 0.0), -(slope if slope is not None else -1.0), one.cokey)

    return min((c for c in unit.components if c.percent), key=order, default=None)


def weighted_number(shares: SoilShares, tables: SoilTables, column: str) -> Weighted:
    """Σ acres·percent·value over Σ acres·percent, over the soils that have a value."""
    total = weight = everything = 0.0
    for acres, component in _soils(shares, tables):
        part = acres * (component.percent or 0.0) / 100
        everything += part
        value = component.number(column)
        if value is not None and part > 0:
            total += part * value
            weight += part
    if not weight:
        return Weighted(None, 0.0)
    return Weighted(total / weight, weight / shares.field_ac)


def dominant_condition(
    shares: SoilShares, tables: SoilTables, column: str, drained: bool | None = None
) -> Condition:
    """The class of a column with the most acres·percent; classes are never averaged.

    A dual hydrologic group such as B/D becomes its first letter when the field is tile-drained,
    its second when not; with `drained` None it stays as it is.
    """
    weights: dict[str, float] = {}
    for acres, component in _soils(shares, tables):
        value = component.text(column)
        if not value:
            continue
        if column == "hydgrp" and "/" in value and drained is not None:
            value = value.split("/")[0 if drained else 1]
        part = acres * (component.percent or 0.0) / 100
        weights[value] = weights.get(value, 0.0) + part
    if not weights:
        return Condition("", 0.0)
    best = min(weights, key=lambda value: (-weights[value], value))
    return Condition(best, weights[best] / shares.field_ac)


def available_water_in(component: Component, depth_cm: float) -> Weighted:
    """Inches of water the soil can hold to a depth: Σ awc_r × thickness within it.

    `share` is the part of the depth whose horizons have a value.
    """
    water_cm = known_cm = 0.0
    for horizon in component.horizons:
        top, bottom = horizon.top_cm, horizon.bottom_cm
        awc = plain_float(horizon.values.get("awc_r", "").strip())
        if top is None or bottom is None or awc is None:
            continue
        thick = min(bottom, depth_cm) - top
        if thick > 0:
            water_cm += awc * thick
            known_cm += thick
    if not known_cm or depth_cm <= 0:
        return Weighted(None, 0.0)
    return Weighted(water_cm / 2.54, known_cm / depth_cm)


def _soils(shares: SoilShares, tables: SoilTables) -> list[tuple[float, Component]]:
    return [
        (acres, component)
        for key, acres in shares.acres_by_unit.items()
        if key in tables.units
        for component in tables.units[key].components
    ]
