"""Acres of a field's version: measured from its boundary, else as stated in the plan."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import shapely
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import GeometryError, area_ac
from farmrecords.farm.models import Feature, FieldVersion


def boundary_of(version: FieldVersion | None) -> BaseGeometry | None:
    """The boundary of a version in longitude and latitude, None when it has none."""
    if version is None or not version.boundary:
        return None
    return _kept(version.pk, version.rev, _Held(version.boundary))


def place_of(feature: Feature) -> BaseGeometry:
    """The place of a feature in longitude and latitude."""
    return _kept(feature.pk, feature.rev, _Held(feature.geometry))


def acres_of(version: FieldVersion | None) -> tuple[float | None, str]:
    """The acres of a version and where they come from: boundary, stated, or "" when unknown."""
    boundary = boundary_of(version)
    if boundary is not None and version is not None:
        return _area(version.pk, version.rev, _Held(version.boundary)), "boundary"
    if version is not None and version.stated_ac is not None:
        return float(version.stated_ac), "stated"
    return None, ""


class _Held:
    """A geometry handed to a cache that goes by record and revision, not by the geometry."""

    def __init__(self, geojson: Any) -> None:
        self.geojson = geojson

    def __hash__(self) -> int:
        return 0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and (
            other.geojson is self.geojson or other.geojson == self.geojson
        )


@lru_cache(maxsize=4096)
def _kept(_pk: Any, _rev: int, held: _Held) -> BaseGeometry:
    geometry = shapely.force_2d(shape(held.geojson))
    shapely.prepare(geometry)
    return geometry


@lru_cache(maxsize=4096)
def _area(_pk: Any, _rev: int, held: _Held) -> float | None:
    try:
        return area_ac(shape(held.geojson))
    except GeometryError:
        return None
