"""Where manure went: ground covered, covered twice, missed between passes; throws and the wind.

Grounds are in longitude and latitude; they are laid in one plane on the field. Overlap within 10 to
20 % of the width is normal practice for even spreading (Utah State University Extension), so
ground covered twice is a fact here and no fault.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from .geodesy import FT_M, SQM_PER_AC, LocalPlane
from .swath import TrackPoint, track_pieces

LEAST_STRIP_AC = 0.005
COMPASS_DEG = 360.0
WITH_WIND_DEG = 60.0  # a throw within this angle of the wind's way is thrown with it


@dataclass(frozen=True)
class Cover:
    """Acres of a field by how they were covered, with the ground itself.

    ``swept_ac`` is length times width over all loads. ``twice`` was covered by more than one pass
    of different loads; what one load swept twice itself shows in ``swept_ac`` less ``covered_ac``.
    ``missed`` are strips up to one width wide between covered ground.
    """

    field_ac: float
    covered_ac: float
    outside_ac: float
    swept_ac: float
    twice_ac: float
    missed_ac: float
    covered: BaseGeometry
    twice: BaseGeometry
    missed: BaseGeometry


def cover_of(
    field: BaseGeometry, grounds: Sequence[BaseGeometry], width_ft: float, swept_ac: float
) -> Cover:
    """Return how a field was covered by the grounds of its loads.

    ``width_ft`` is the width of a pass, above 0; ``swept_ac`` the swept acres of the loads. Empty
    grounds are passed over. Source: project definition, derived.

    >>> from shapely import box
    >>> field = box(-89.5, 43.0, -89.495, 43.0036)
    >>> west, east = box(-89.5, 43.0, -89.4985, 43.0036), box(-89.499, 43.0, -89.497, 43.0036)
    >>> found = cover_of(field, [west, east], 30, 24.2)
    >>> round(found.covered_ac, 2), round(found.twice_ac, 2), round(found.missed_ac, 2)
    (24.17, 4.03, 0.0)
    """
    plane = LocalPlane.centred_on(field)
    here = plane.project(field)
    shapes = np.array([plane.project(ground) for ground in grounds if not ground.is_empty])
    covered = shapely.union_all(shapes) if len(shapes) else shapely.Polygon()
    inside = covered.intersection(here)
    twice = _twice(shapes).intersection(here)
    missed = _missed(covered, here, width_ft * FT_M)
    return Cover(
        field_ac=here.area / SQM_PER_AC,
        covered_ac=inside.area / SQM_PER_AC,
        outside_ac=(covered.area - inside.area) / SQM_PER_AC,
        swept_ac=swept_ac,
        twice_ac=twice.area / SQM_PER_AC,
        missed_ac=missed.area / SQM_PER_AC,
        covered=plane.unproject(inside),
        twice=plane.unproject(twice),
        missed=plane.unproject(missed),
    )


def _twice(shapes: np.ndarray) -> BaseGeometry:
    """The ground under two of the shapes or more."""
    if len(shapes) < 2:
        return shapely.Polygon()
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    pairs = one < other
    common = shapely.intersection(shapes[one[pairs]], shapes[other[pairs]])
    return _areas(shapely.union_all(common))


def _missed(covered: BaseGeometry, here: BaseGeometry, width_m: float) -> BaseGeometry:
    """Strips between covered ground that are no wider than a pass."""
    if covered.is_empty:
        return shapely.Polygon()
    half = width_m / 2
    closed = covered.buffer(half, quad_segs=4).buffer(-half, quad_segs=4)
    strips = shapely.get_parts(closed.intersection(here).difference(covered))
    kept = [one for one in strips if one.area / SQM_PER_AC >= LEAST_STRIP_AC]
    return shapely.union_all(kept) if kept else shapely.Polygon()


def _areas(geometry: BaseGeometry) -> BaseGeometry:
    parts = [p for p in shapely.get_parts(geometry) if p.geom_type in ("Polygon", "MultiPolygon")]
    return shapely.union_all(parts) if parts else shapely.Polygon()


def shares_within(
    grounds: Sequence[tuple[BaseGeometry, float]], zone: BaseGeometry
) -> tuple[float, float]:
    """Return the acres of a zone that were covered, and the amount that lies on them.

    ``grounds`` holds each load's ground and its amount, which lies evenly on it.

    >>> from shapely import box
    >>> ground, zone = box(-89.5, 43.0, -89.49, 43.001), box(-89.5, 43.0, -89.4975, 43.001)
    >>> acres, amount = shares_within([(ground, 8000.0)], zone)
    >>> round(acres, 2), round(amount)
    (5.6, 2000)
    """
    plane = LocalPlane.centred_on(zone)
    there = plane.project(zone)
    pieces, amount = [], 0.0
    for ground, total in grounds:
        flat = plane.project(ground)
        common = flat.intersection(there)
        if common.area > 0:
            pieces.append(common)
            amount += total * common.area / flat.area
    acres = shapely.union_all(pieces).area / SQM_PER_AC if pieces else 0.0
    return acres, amount


def cell_for(field: BaseGeometry, most: int = 400, least_ft: float = 50.0) -> float:
    """Return the side in feet of grid cells of which at most so many lie on a field's extent.

    Doubles from ``least_ft`` on.

    >>> from shapely import box
    >>> cell_for(box(-89.5, 43.0, -89.495, 43.0036))  # 1,338 by 1,312 ft
    100.0
    """
    west, south, east, north = LocalPlane.centred_on(field).project(field).bounds
    side = least_ft
    while math.ceil((east - west) / FT_M / side) * math.ceil((north - south) / FT_M / side) > most:
        side *= 2
    return side


@dataclass(frozen=True)
class ThrowShares:
    """How a one-sided throw lay to the wind, as shares of the way driven; they add up to 1."""

    with_wind: float
    across: float
    against: float

    @property
    def with_wind_pct(self) -> float:
        """The share thrown with the wind, in percent."""
        return 100.0 * self.with_wind

    @property
    def against_pct(self) -> float:
        """The share thrown against the wind, in percent."""
        return 100.0 * self.against


def throw_shares(
    points: Sequence[TrackPoint], side: Literal["left", "right"], wind_from_deg: float
) -> ThrowShares | None:
    """Return how much of a track threw with, across and against the wind.

    ``wind_from_deg`` is where the wind comes from, 0 to 360 (north, clockwise). A throw within 60
    degrees of the wind's way is with it, within 60 degrees of the opposite is against it. None when
    no stretch with the discharge on is left. Source: project definition, derived.

    >>> north = [TrackPoint(i * 5.0, -89.5, 43.0 + i * 0.0002) for i in range(10)]
    >>> throw_shares(north, "left", 90)  # thrown west, wind from the east
    ThrowShares(with_wind=1.0, across=0.0, against=0.0)
    >>> throw_shares(north, "right", 90).against
    1.0
    """
    if len(points) < 2:
        return None
    plane = LocalPlane.centred_on(shapely.multipoints([(p.lon, p.lat) for p in points]))
    pieces = track_pieces(points, plane)
    if not pieces:
        return None
    steps = np.concatenate([np.diff(piece, axis=0) for piece in pieces])
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    heading = np.degrees(np.arctan2(steps[:, 0], steps[:, 1]))
    throw = heading + (-90.0 if side == "left" else 90.0)
    half = COMPASS_DEG / 2
    off = np.abs((throw - (wind_from_deg + half) + half) % COMPASS_DEG - half)
    total = float(lengths.sum())
    with_wind = float(lengths[off <= WITH_WIND_DEG].sum()) / total
    against = float(lengths[off >= half - WITH_WIND_DEG].sum()) / total
    return ThrowShares(with_wind, max(0.0, 1.0 - with_wind - against), against)
