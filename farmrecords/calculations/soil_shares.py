"""From soil polygons and tables to values of a field, each by a stated rule.

Rules: reference on data formats, section 4.1. Areas are taken in an equal-area projection centred
on the field. Null is never zero: a value is weighted over the soils that have it, and the share of
the field it rests on is handed back beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import shapely
from pyproj import Transformer
from shapely.geometry.base import BaseGeometry

from .geodesy import SQM_PER_AC

# More of the field than this without a map unit is said (section 4.1: 0.5 %).
MOST_GAP = 0.005
CM_PER_IN = 2.54


class SoilError(ValueError):
    """A field or a depth that gives no soil figure; the message says why."""


class Layer(Protocol):
    """One layer of a soil, as a reader of soil tables gives it."""

    @property
    def top_cm(self) -> float | None: ...

    @property
    def bottom_cm(self) -> float | None: ...

    def number(self, column: str) -> float | None: ...


class Soil(Protocol):
    """One soil within a map unit; ``percent`` of the unit, None when not stated."""

    @property
    def cokey(self) -> str: ...

    @property
    def percent(self) -> float | None: ...

    @property
    def horizons(self) -> Sequence[Layer]: ...

    def number(self, column: str) -> float | None: ...

    def text(self, column: str) -> str: ...


class MapUnit(Protocol):
    """One map unit with its soils."""

    @property
    def components(self) -> Sequence[Soil]: ...


Units = Mapping[str, MapUnit]


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


def soil_shares(field: BaseGeometry, polygons: Iterable[tuple[str, BaseGeometry]]) -> SoilShares:
    """Return how many acres of a field lie on each map unit (its key and ground, WGS84 degrees).

    Raises SoilError when the field's outline is not valid.

    >>> from shapely import box
    >>> field = box(-89.5, 43.0, -89.495, 43.0036)
    >>> found = soil_shares(field, [("100", box(-89.5, 43.0, -89.4975, 43.0036))])
    >>> round(found.acres_by_unit["100"], 3), round(found.gap_ac, 3), found.is_whole
    (20.145, 20.145, False)
    """
    centre = field.centroid
    flat = Transformer.from_crs(
        4326, f"+proj=laea +lat_0={centre.y} +lon_0={centre.x} +datum=WGS84", always_xy=True
    )

    def flattened(geometry: BaseGeometry) -> BaseGeometry:
        return shapely.transform(geometry, flat.transform, interleaved=False)

    whole = flattened(field)
    if not whole.is_valid or whole.area == 0:
        raise SoilError("The field's outline is not valid. Mend the outline first.")
    found: dict[str, float] = {}
    for key, ground in polygons:
        if not ground.intersects(field):
            continue
        area_m2 = whole.intersection(flattened(ground)).area
        if area_m2 > 0:
            found[key] = found.get(key, 0.0) + area_m2 / SQM_PER_AC
    ordered = dict(sorted(found.items(), key=lambda pair: (-pair[1], pair[0])))
    return SoilShares(ordered, whole.area / SQM_PER_AC - sum(found.values()))


def predominant_unit(shares: SoilShares, units: Units) -> MapUnit | None:
    """Return the map unit with the most acres; None when the tables do not hold it.

    >>> predominant_unit(SoilShares({"100": 30.0}, 0.0), {}) is None
    True
    """
    key = next(iter(shares.acres_by_unit), "")
    return units.get(key)


def dominant_component(unit: MapUnit) -> Soil | None:
    """Return the soil with the largest percentage; of equal ones the steeper, then by key."""

    def order(one: Soil) -> tuple[float, float, str]:
        slope = one.number("slope_r")
        return (-(one.percent or 0.0), -(slope if slope is not None else -1.0), one.cokey)

    return min((c for c in unit.components if c.percent), key=order, default=None)


def weighted_number(shares: SoilShares, units: Units, column: str) -> Weighted:
    """Return sum of acres x percent x value over sum of acres x percent, where a value is known.

    >>> weighted_number(SoilShares({"100": 30.0}, 0.0), {}, "slope_r")
    Weighted(value=None, share=0.0)
    """
    total = weight = everything = 0.0
    for acres, component in _soils(shares, units):
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
    shares: SoilShares, units: Units, column: str, drained: bool | None = None
) -> Condition:
    """Return the class of a column with the most acres x percent; classes are never averaged.

    A dual hydrologic group such as B/D becomes its first letter when the field is tile-drained,
    its second when not; with `drained` None it stays as it is.
    """
    weights: dict[str, float] = {}
    for acres, component in _soils(shares, units):
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


def available_water_in(horizons: Sequence[Layer], depth_cm: float) -> Weighted:
    """Return inches of water a soil can hold to a depth: sum of awc_r x thickness within it.

    ``share`` is the part of the depth whose horizons have a value.
    """
    water_cm = known_cm = 0.0
    for horizon in horizons:
        top, bottom = horizon.top_cm, horizon.bottom_cm
        awc = horizon.number("awc_r")
        if top is None or bottom is None or awc is None:
            continue
        thick = min(bottom, depth_cm) - top
        if thick > 0:
            water_cm += awc * thick
            known_cm += thick
    if not known_cm or depth_cm <= 0:
        return Weighted(None, 0.0)
    return Weighted(water_cm / CM_PER_IN, known_cm / depth_cm)


def _soils(shares: SoilShares, units: Units) -> list[tuple[float, Soil]]:
    return [
        (acres, component)
        for key, acres in shares.acres_by_unit.items()
        if key in units
        for component in units[key].components
    ]
