"""From the track of a load to the ground it covered.

A position's work state holds until the next position. The track is cut where the discharge is off,
where more than 10 s pass, or where the jump is faster than 15 m/s; without times, where the jump is
longer than those two allow together. The cut pieces are thinned (receiver noise lengthens a dense
track), laid in a plane on the field, and widened to the swath.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from .geodesy import FT_M, LocalPlane, area_ac
from .units import SQFT_PER_AC

Side = Literal["both", "left", "right", "rear", "unknown"]
Metres = npt.NDArray[np.float64]

LONGEST_GAP_S = 10.0
FASTEST_M_PER_S = 15.0
THIN_M = 2.5
SIMPLIFY_M = 0.25
WIDEST_FT = 200.0
SHARPEST_WEDGE_DEG = 135.0  # a sharper turn is driving back, not a bend


class SwathError(ValueError):
    """A track that gives no ground; the message says why."""


@dataclass(frozen=True)
class TrackPoint:
    """One position of a load: seconds (or None when the file gave none), place, discharge on."""

    at_s: float | None
    lon: float
    lat: float
    on: bool = True


@dataclass(frozen=True)
class Footprint:
    """Ground covered by one load. ``geometry`` in longitude and latitude (polygons).

    ``swept_ac`` is length times width; ``overlap_ac`` is what was swept more than once. On
    back-and-forth driving a one-sided machine may sweep one strip twice: the covered acres alone
    would hide the doubled rate.
    """

    geometry: BaseGeometry
    covered_ac: float
    swept_ac: float
    overlap_ac: float
    length_ft: float


def _breaks(points: Sequence[TrackPoint], steps: npt.NDArray[np.float64]) -> npt.NDArray[np.bool_]:
    """Whether the swath stops between each position and the next; ``steps`` in metres."""
    at_s = np.array([p.at_s for p in points], dtype=float)  # None becomes not-a-number
    on = np.array([p.on for p in points], dtype=bool)
    seconds = np.diff(at_s)
    with np.errstate(invalid="ignore"):
        timed = (seconds < 0) | (seconds > LONGEST_GAP_S)
        timed |= steps > FASTEST_M_PER_S * np.maximum(seconds, 0.1)
    untimed = steps > LONGEST_GAP_S * FASTEST_M_PER_S
    stops: npt.NDArray[np.bool_] = ~on[:-1] | np.where(np.isnan(seconds), untimed, timed)
    return stops


def _thinned(piece: Metres) -> Metres:
    """Positions at least 2.5 m apart, the last one kept; stationary positions fall away."""
    if (np.hypot(*np.diff(piece, axis=0).T) >= THIN_M).all():
        return piece
    places = piece.tolist()
    kept, last = [places[0]], places[-1]
    x, y = places[0]
    for place in places[1:-1]:
        if (place[0] - x) ** 2 + (place[1] - y) ** 2 >= THIN_M**2:
            kept.append(place)
            x, y = place
    if len(kept) > 1 and math.dist(last, kept[-1]) < THIN_M / 2:
        kept.pop()
    if math.dist(last, kept[-1]) > 0.01:
        kept.append(last)
    return np.array(kept)


def track_pieces(points: Sequence[TrackPoint], plane: LocalPlane) -> list[Metres]:
    """Return the stretches with discharge on, in metres of the plane, thinned.

    Raises SwathError when a coordinate is not a number or off the earth.

    >>> track = [TrackPoint(0, -89.5, 43.0), TrackPoint(5, -89.5, 43.0002),
    ...          TrackPoint(60, -89.5, 43.0004), TrackPoint(65, -89.5, 43.0006)]
    >>> len(track_pieces(track, LocalPlane(-89.5, 43.0)))
    2
    """
    return _pieces(points, _places(points), plane)


def _places(points: Sequence[TrackPoint]) -> Metres:
    """Longitude and latitude of the positions."""
    return np.array([(p.lon, p.lat) for p in points], dtype=float).reshape(-1, 2)


def _pieces(points: Sequence[TrackPoint], lonlat: Metres, plane: LocalPlane) -> list[Metres]:
    wrong = ~np.isfinite(lonlat).all(axis=1) | (np.abs(lonlat) > [180.0, 90.0]).any(axis=1)
    if wrong.any():
        i = int(np.flatnonzero(wrong)[0])
        raise SwathError(
            f"Position {i + 1} of the track ({points[i].lon}, {points[i].lat}) is not a place. "
            "Longitude comes first, then latitude, in degrees."
        )
    if len(points) < 2:
        return []
    metres = plane.to_metres(lonlat)
    steps = np.hypot(*np.diff(metres, axis=0).T)
    cuts = np.flatnonzero(_breaks(points, steps)) + 1
    pieces: list[Metres] = []
    for piece in np.split(metres, cuts):
        if len(piece) >= 2:
            thin = _thinned(piece)
            if len(thin) >= 2:
                pieces.append(thin)
    return pieces


def _simplified(piece: Metres) -> Metres:
    line = shapely.simplify(shapely.linestrings(piece), SIMPLIFY_M)
    return np.asarray(shapely.get_coordinates(line), dtype=np.float64)


def _length_ft(pieces: Sequence[Metres]) -> float:
    return sum(float(np.hypot(*np.diff(piece, axis=0).T).sum()) for piece in pieces) / FT_M


def _both_sides(piece: Metres, width_m: float) -> BaseGeometry:
    line = shapely.linestrings(piece)
    return shapely.buffer(line, width_m / 2, quad_segs=8, cap_style="flat", join_style="round")


def _one_side(piece: Metres, width_m: float, left: bool) -> BaseGeometry:
    """One rectangle per stretch on the discharge side, with a wedge outside each gentle bend.

    Widening a whole serpentine line to one side loses passes; rectangles never do.
    """
    a, b = piece[:-1], piece[1:]
    along = b - a
    heading = along / np.hypot(along[:, 0], along[:, 1])[:, None]
    outward = np.column_stack([-heading[:, 1], heading[:, 0]]) * (width_m if left else -width_m)
    shapes = [shapely.polygons(np.stack([a, b, b + outward, a + outward, a], axis=1))]
    cos = (heading[:-1] * heading[1:]).sum(axis=1)
    gentle = (cos > np.cos(np.radians(SHARPEST_WEDGE_DEG))) & (cos < 1 - 1e-12)
    if gentle.any():
        corner, first, second = b[:-1][gentle], outward[:-1][gentle], outward[1:][gentle]
        wedge = np.stack([corner, corner + first, corner + second, corner], axis=1)
        shapes.append(shapely.polygons(wedge))
    return shapely.union_all(np.concatenate(shapes))


def _widened(pieces: Sequence[Metres], width_m: float, side: Side) -> BaseGeometry:
    if side in ("left", "right"):
        shapes = [_one_side(_simplified(piece), width_m, side == "left") for piece in pieces]
    else:
        shapes = [_both_sides(_simplified(piece), width_m) for piece in pieces]
    return shapely.union_all(shapes)


def _laid(points: Sequence[TrackPoint]) -> tuple[LocalPlane, list[Metres]]:
    """A plane for a track, and its stretches with the discharge on."""
    if len(points) < 2:
        raise SwathError(f"The track has {len(points)} position(s); a swath needs at least two.")
    places = _places(points)
    if not np.isfinite(places).all() or (np.abs(places) > [180.0, 90.0]).any():
        _pieces(points, places, LocalPlane(0.0, 0.0))  # names the position
    lon, lat = ((places.min(axis=0) + places.max(axis=0)) / 2).tolist()
    # Shared by the tracks of one neighbourhood: within a kilometre an area errs by 0.03 ppm.
    plane = LocalPlane(round(lon, 2), round(lat, 2))
    pieces = _pieces(points, places, plane)
    if not pieces:
        raise SwathError(
            "The track has no stretch with the discharge on. Check the work state and the times."
        )
    return plane, pieces


def length_on_ft(points: Sequence[TrackPoint]) -> float:
    """Return the feet driven with the discharge on. Raises SwathError as :func:`footprint` does.

    >>> track = [TrackPoint(i * 5.0, -89.5, 43.0 + i * 0.0002, on=i < 5) for i in range(10)]
    >>> round(length_on_ft(track))  # five of nine steps of 72.9 ft
    364
    """
    return _length_ft(_laid(points)[1])


def _width_m(width_ft: float, what: str = "swath width") -> float:
    if not np.isfinite(width_ft) or not 0 < width_ft <= WIDEST_FT:
        raise SwathError(
            f"A {what} of {width_ft} ft is outside 0 to {WIDEST_FT:g} ft. Enter the spacing "
            "between passes, in feet."
        )
    return width_ft * FT_M


def footprint(
    points: Sequence[TrackPoint],
    width_ft: float,
    side: Side = "both",
    throw_ft: float | None = None,
) -> Footprint:
    """Return the ground a load covered, with covered, swept and overlapping acres.

    ``width_ft`` is the effective width (spacing between passes), above 0 to 200 ft. ``side`` is
    the discharge side seen in the direction of travel; ``rear``, ``both`` and ``unknown`` lie half
    on each side. ``throw_ft`` does not change the acres; it widens :func:`possible_footprint`.
    Raises SwathError when no stretch with discharge on is left. Source: project measurements
    (swath of a track), derived; rate is computed on the covered acres.

    >>> track = [TrackPoint(i * 5.0, -89.5, 43.0 + i * 0.0002) for i in range(10)]
    >>> ground = footprint(track, 30)
    >>> round(ground.length_ft), round(ground.covered_ac, 3), round(ground.overlap_ac, 3)
    (656, 0.452, 0.0)
    """
    width = _width_m(width_ft)
    plane, pieces = _laid(points)
    length = _length_ft(pieces)
    geometry = plane.unproject(_widened(pieces, width, side))
    covered = area_ac(geometry)
    swept = length * width_ft / SQFT_PER_AC
    return Footprint(geometry, covered, swept, max(0.0, swept - covered), length)


def possible_footprint(
    points: Sequence[TrackPoint], width_ft: float, side: Side, throw_ft: float | None = None
) -> BaseGeometry:
    """Return all ground manure may have reached, for setback tests, in longitude and latitude.

    The reach is ``throw_ft`` where given (never less than the width); when the side is unknown
    both sides are taken at full reach, so that a distance is never overstated. Raises as
    :func:`footprint` does.

    >>> from farmrecords.calculations.geodesy import area_ac
    >>> track = [TrackPoint(i * 5.0, -89.5, 43.0 + i * 0.0002) for i in range(10)]
    >>> round(area_ac(possible_footprint(track, 30, "unknown")), 3)  # 60 ft wide
    0.904
    """
    width = _width_m(width_ft)
    reach = width if throw_ft is None else max(width, _width_m(throw_ft, "throw"))
    plane, pieces = _laid(points)
    if side == "unknown":
        return plane.unproject(_widened(pieces, 2 * reach, "both"))
    return plane.unproject(_widened(pieces, reach, side))
