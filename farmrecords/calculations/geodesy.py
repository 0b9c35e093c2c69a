"""Acres on the ellipsoid, and distances in a plane laid on the field.

Positions are longitude and latitude on WGS84, in that order. Areas are geodesic; distances are
measured in a transverse Mercator plane centred on the geometry in question.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from pyproj import Geod, Transformer
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

FT_M = 0.3048
FT_PER_MI = 5280
SQM_PER_AC = 4046.8564224
GEOD = Geod(ellps="WGS84")


def metres(feet: float) -> float:
    """Return feet in metres (0.3048 exactly).

    >>> metres(100.0)
    30.48
    """
    return feet * FT_M


def feet(metres_long: Any) -> Any:
    """Return metres in feet, one number or an array of them.

    >>> feet(30.48)
    100.0
    """
    return metres_long / FT_M


class GeometryError(ValueError):
    """A geometry that cannot be measured; the message says why."""


def _checked(geometry: BaseGeometry) -> BaseGeometry:
    """The geometry itself, when it lies on the earth in longitude and latitude."""
    if geometry.is_empty:
        raise GeometryError("The geometry is empty: there is nothing to measure.")
    west, south, east, north = geometry.bounds
    if not all(map(math.isfinite, (west, south, east, north))):
        raise GeometryError("A coordinate is missing or not a number. Check the corners.")
    if south < -90 or north > 90 or west < -180 or east > 180:
        raise GeometryError(
            f"A corner lies outside the earth (longitude {west:.5f} to {east:.5f}, latitude "
            f"{south:.5f} to {north:.5f}). Give longitude first, then latitude, in degrees."
        )
    return geometry


def area_ac(geometry: BaseGeometry) -> float:
    """Return the geodesic area of a polygon or multipolygon in acres; holes are taken out.

    ``geometry`` has longitude and latitude on WGS84. Lines and points have 0 acres. Raises
    GeometryError for empty, non-finite or swapped coordinates. Source: geodesic polygon area
    (Karney) as computed by PROJ; an acre is 4,046.8564224 square metres.

    >>> from shapely import Polygon
    >>> quad = Polygon([(-89.5, 43), (-89.495, 43), (-89.495, 43.0036), (-89.5, 43.0036)])
    >>> round(area_ac(quad), 6)
    40.290596
    """
    total = 0.0
    for part in shapely.get_parts(_checked(geometry)):
        if part.geom_type == "GeometryCollection":
            total += 0.0 if part.is_empty else area_ac(part)
        elif part.geom_type == "Polygon":
            rings = [part.exterior, *part.interiors]
            areas = [_ring_sqm(ring) for ring in rings]
            total += areas[0] - sum(areas[1:])
    return total / SQM_PER_AC


SNAP_DEG = 1e-9  # about 0.1 mm: joining on a grid never fails on nearly touching edges


def united(geometries: Iterable[BaseGeometry]) -> BaseGeometry:
    """Return the ground that any of the geometries (longitude, latitude) covers.

    Outlines that cross themselves after rounding are repaired first; doubly covered ground counts
    once. Nothing given is empty ground.

    >>> from shapely import box
    >>> round(united([box(0, 0, 2, 1), box(1, 0, 3, 1)]).area, 6)
    3.0
    """
    given = np.array([one for one in geometries if not one.is_empty], dtype=object)
    sound = shapely.make_valid(given, method="structure", keep_collapsed=False)
    return shapely.union_all(sound, grid_size=SNAP_DEG)


def _ring_sqm(ring: BaseGeometry) -> float:
    """Square metres inside a ring, whichever way it winds."""
    lonlat = shapely.get_coordinates(ring)
    area, _perimeter = GEOD.polygon_area_perimeter(lonlat[:, 0], lonlat[:, 1])
    return abs(float(area))


def length_ft(geometry: BaseGeometry) -> float:
    """Return the geodesic length of a line, or the outline of an area, in feet.

    Raises GeometryError as :func:`area_ac` does.

    >>> from shapely import Polygon
    >>> quad = Polygon([(-89.5, 43), (-89.495, 43), (-89.495, 43.0036), (-89.5, 43.0036)])
    >>> round(length_ft(quad), 3)
    5299.389
    """
    parts = shapely.get_parts(_checked(geometry))
    return float(sum(GEOD.geometry_length(part) for part in parts)) / FT_M


def miles_between(here: Point, there: Point) -> float:
    """Return the geodesic distance between two places in longitude and latitude, in miles.

    A mile is 5,280 ft.

    >>> from shapely import Point
    >>> round(miles_between(Point(-89.5, 43.0), Point(-89.5, 44.0)), 1)
    69.0
    """
    return length_ft(LineString([here, there])) / FT_PER_MI


@lru_cache(maxsize=256)
def _plane(lon: float, lat: float) -> Transformer:
    return Transformer.from_pipeline(
        "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad "
        f"+step +proj=tmerc +lon_0={lon!r} +lat_0={lat!r} +k=1 +ellps=WGS84"
    )


@dataclass(frozen=True)
class LocalPlane:
    """A transverse Mercator plane in metres, true to scale along its centre meridian.

    Within 10 km of its centre an area errs by at most 2.5 parts in a million.
    """

    lon: float
    lat: float

    @classmethod
    def centred_on(cls, geometry: BaseGeometry) -> LocalPlane:
        """Return the plane whose centre is the middle of the geometry's extent.

        >>> from shapely import Point
        >>> LocalPlane.centred_on(Point(-89.5, 43)).lat
        43.0
        """
        west, south, east, north = _checked(geometry).bounds
        return cls(round((west + east) / 2, 4), round((south + north) / 2, 4))

    def to_metres(self, lonlat: np.ndarray) -> np.ndarray:
        """Return an (n, 2) array of metres east and north for longitudes and latitudes."""
        x, y = _plane(self.lon, self.lat).transform(lonlat[:, 0], lonlat[:, 1])
        return np.column_stack([x, y])

    def to_lonlat(self, metres: np.ndarray) -> np.ndarray:
        """Return an (n, 2) array of longitudes and latitudes for metres east and north."""
        lon, lat = _plane(self.lon, self.lat).transform(
            metres[:, 0], metres[:, 1], direction="INVERSE"
        )
        return np.column_stack([lon, lat])

    def project(self, geometry: BaseGeometry) -> BaseGeometry:
        """Return the geometry in metres of this plane.

        >>> from shapely import Point
        >>> moved = LocalPlane(-89.5, 43.0).project(Point(-89.5, 43.001))
        >>> round(moved.x, 6), round(moved.y, 2)
        (0.0, 111.09)
        """
        return shapely.transform(shapely.force_2d(geometry), self.to_metres)

    def unproject(self, geometry: BaseGeometry) -> BaseGeometry:
        """Return a geometry of this plane in longitude and latitude.

        >>> from shapely import Point
        >>> LocalPlane(-89.5, 43.0).unproject(Point(0, 0))
        <POINT (-89.5 43)>
        """
        return shapely.transform(geometry, self.to_lonlat)


def distance_ft(geom_a: BaseGeometry, geom_b: BaseGeometry) -> float:
    """Return the shortest distance between two geometries in feet; 0 where they touch.

    Longitude and latitude on WGS84. Meant for distances within one neighbourhood (10 km).
    Raises GeometryError for empty, non-finite or swapped coordinates.

    >>> from shapely import Point
    >>> round(distance_ft(Point(-89.5, 43.0), Point(-89.5, 43.001)), 2)
    364.48
    """
    _checked(geom_b)
    plane = LocalPlane.centred_on(geom_a)
    return float(plane.project(geom_a).distance(plane.project(geom_b))) / FT_M
