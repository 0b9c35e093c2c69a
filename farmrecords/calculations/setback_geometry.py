"""How near ground came to the things rules keep a distance from, and the ground they close."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from .geodesy import LocalPlane, area_ac, feet, metres

# chords to the quarter of a circle
QUAD_SEGS = 64
# a chord lies within its circle by this factor; a billionth more for rounding
WIDER = (1 + 1e-9) / math.cos(math.pi / (4 * QUAD_SEGS))

Bounds = tuple[float, float, float, float]
LEAST_M_PER_DEG = 110_000.0  # a degree of latitude is never shorter (110,574 m at the equator)
Kept = Sequence[tuple[BaseGeometry, float]]


class Nearness(NamedTuple):
    """The distance from one ground to one place, in feet; both by their number in what was given.

    ``farthest_ft`` is the distance from the place to the farthest corner of the ground, where it
    was asked for.
    """

    ground: int
    place: int
    distance_ft: float
    farthest_ft: float | None = None


def combined_uncertainty_ft(*parts_ft: float) -> float:
    """Return independent uncertainties in feet put together (root of the sum of squares).

    Raises ValueError for a part below 0 or not a number.

    >>> combined_uncertainty_ft(3.0, 4.0)
    5.0
    """
    for part in parts_ft:
        if not math.isfinite(part) or part < 0:
            raise ValueError(f"An uncertainty of {part} ft cannot be; give 0 or more.")
    return math.hypot(*parts_ft)


def nearness(
    grounds: Sequence[BaseGeometry],
    places: Sequence[BaseGeometry],
    within_ft: float,
    centre: BaseGeometry | None = None,
    farthest_of: Collection[int] = (),
) -> list[Nearness]:
    """Return the places within a bound of each ground, ground by ground, nearest first.

    Everything in longitude and latitude, within one neighbourhood; the plane lies on ``centre``,
    or on all the grounds. A ground given twice (the same object) is laid in the plane once. Empty
    places are passed over. For the grounds named in ``farthest_of``, by number, the distance of
    their farthest corner is told too.

    >>> from shapely import Point, box
    >>> found = nearness([box(-89.5, 43.0, -89.499, 43.001)],
    ...                  [Point(-89.5005, 43.0005), Point(-89.6, 43.0)], 500, farthest_of=[0])
    >>> [(near.ground, near.place, round(near.distance_ft), round(near.farthest_ft))
    ...  for near in found]
    [(0, 0, 134, 441)]
    """
    kept = [i for i, place in enumerate(places) if not place.is_empty]
    if not kept or not grounds:
        return []
    plane = LocalPlane.centred_on(centre or shapely.box(*shapely.total_bounds(np.array(grounds))))
    laid = {id(ground): plane.project(ground) for ground in {id(g): g for g in grounds}.values()}
    flat = np.array([laid[id(ground)] for ground in grounds])
    shapes = np.array([plane.project(places[i]) for i in kept])
    at, to = shapely.STRtree(shapes).query(flat, predicate="dwithin", distance=metres(within_ft))
    distances_ft = feet(shapely.distance(flat[at], shapes[to]))
    whole = set(farthest_of)
    farthest: dict[tuple[int, int], float] = {}
    found = []
    for i, j, distance_ft in zip(at.tolist(), to.tolist(), distances_ft.tolist(), strict=True):
        pair = id(grounds[i]), j
        if i in whole and pair not in farthest:
            farthest[pair] = _farthest_ft(flat[i], shapes[j])
        told = farthest[pair] if i in whole else None
        found.append(Nearness(i, kept[j], distance_ft, told))
    return sorted(found, key=lambda near: (near.ground, near.distance_ft, near.place))


def places_about(bounds: Bounds, places: Sequence[BaseGeometry], within_ft: float) -> list[int]:
    """Return the places, by number, whose extent comes as near as a distance to a box.

    Everything in longitude and latitude. A quick look without a plane: a place within the distance
    is never left out, one a little farther may be kept. Not for boxes over a pole or the date line.

    >>> from shapely import Point
    >>> places_about((-89.5, 43.0, -89.49, 43.01), [Point(-89.5, 43.02), Point(-89.6, 43.0)], 4000)
    [0]
    """
    west, south, east, north = bounds
    up = metres(within_ft) / LEAST_M_PER_DEG
    widest = min(89.0, max(abs(south), abs(north)) + up)
    across = up / math.cos(math.radians(widest))
    box = shapely.box(west - across, south - up, east + across, north + up)
    return [number for number, place in enumerate(places) if _meet(place.bounds, box.bounds)]


def _meet(one: Bounds, other: Bounds) -> bool:
    return one[0] <= other[2] and one[2] >= other[0] and one[1] <= other[3] and one[3] >= other[1]


def _farthest_ft(ground: BaseGeometry, place: BaseGeometry) -> float:
    corners = shapely.points(shapely.get_coordinates(ground))
    return float(feet(shapely.distance(corners, place).max()))


def widened(flat: BaseGeometry, reach_ft: float) -> BaseGeometry:
    """Return a shape (in metres of a plane) widened by at least a distance in feet.

    A round corner is drawn with ``QUAD_SEGS`` chords to the quarter circle. A chord lies within
    the circle by the factor cos(pi / (4 x QUAD_SEGS)); the reach is divided by it, so that no
    point nearer than the reach is left out. It reaches too far by at most 0.0076 %. Raises
    ValueError for a distance below 0 or not a number.

    >>> from shapely import Point
    >>> outline = widened(Point(0, 0), 1000).exterior
    >>> 1000 <= feet(outline.distance(Point(0, 0))) < 1000.001
    True
    """
    if not math.isfinite(reach_ft) or reach_ft < 0:
        raise ValueError(f"A distance of {reach_ft} ft cannot be kept; give 0 or more.")
    reach_m = metres(reach_ft) * WIDER
    return shapely.buffer(flat, reach_m, quad_segs=QUAD_SEGS)


def is_within(one: BaseGeometry, other: BaseGeometry, reach_ft: float) -> bool:
    """Return whether two shapes (in metres of a plane) come as near as a distance in feet.

    An empty shape is near nothing.

    >>> from shapely import Point
    >>> is_within(Point(0, 0), Point(30.48, 0), 100), is_within(Point(0, 0), Point(31, 0), 100)
    (True, False)
    """
    return bool(shapely.dwithin(one, other, metres(reach_ft)))


def closed_ground(field: BaseGeometry, kept_clear: Kept) -> list[BaseGeometry | None]:
    """Return for each feature the ground of the field within its distance; None where there is
    none. Longitude and latitude, distances in feet.

    >>> from shapely import Point, box
    >>> closed_ground(box(-89.5, 43.0, -89.495, 43.0036), [(Point(-89.6, 43.0), 100)])
    [None]
    """
    plane = LocalPlane.centred_on(field)
    here = plane.project(field)
    found: list[BaseGeometry | None] = []
    for feature, distance_ft in kept_clear:
        closed = shapely.intersection(widened(plane.project(feature), distance_ft), here)
        found.append(None if closed.is_empty else plane.unproject(closed))
    return found


def acres_within(ground: BaseGeometry, feature: BaseGeometry, distance_ft: float) -> float:
    """Return the acres of the ground that lie within a distance of a feature.

    >>> from shapely import LineString, box
    >>> field = box(-89.5, 43.0, -89.495, 43.0036)
    >>> road = LineString([(-89.501, 43.0), (-89.494, 43.0)])
    >>> round(acres_within(field, road, 100), 2)  # a strip of 100 ft by about 1,338 ft
    3.07
    """
    (closed,) = closed_ground(ground, [(feature, distance_ft)])
    return 0.0 if closed is None else area_ac(closed)


def share_of_area(part_ac: float, whole_ac: float) -> float:
    """Return a part of some acres as a share of them (whole above 0).

    >>> share_of_area(10.0, 40.0)
    0.25
    """
    if not whole_ac > 0:
        raise ValueError(f"A share of {whole_ac} acres cannot be told; give acres above 0.")
    if not (math.isfinite(part_ac) and part_ac >= 0 and math.isfinite(whole_ac)):
        raise ValueError(f"{part_ac} of {whole_ac} acres cannot be; give 0 or more.")
    return part_ac / whole_ac


def cut_out(field: BaseGeometry, kept_clear: Kept) -> tuple[BaseGeometry, tuple[int, ...]]:
    """Return the ground of a field outside each feature's distance in feet, and the features, by
    number, that took something from it in their order.

    >>> from shapely import Point, box
    >>> field = box(-89.5, 43.0, -89.495, 43.0036)
    >>> cut_out(field, [(Point(-89.6, 43.0), 100), (Point(-89.4975, 43.0018), 5000)])
    (<POLYGON EMPTY>, (1,))
    """
    plane = LocalPlane.centred_on(field)
    left = plane.project(field)
    closing = []
    for number, (feature, distance_ft) in enumerate(kept_clear):
        zone = widened(plane.project(feature), distance_ft)
        if shapely.intersects(zone, left):
            left = shapely.difference(left, zone)
            closing.append(number)
    return plane.unproject(left), tuple(closing)


def spreadable(field: BaseGeometry, kept_clear: Kept) -> tuple[BaseGeometry, float]:
    """Return the ground and acres of a field left after each feature's distance in feet is cut out.

    >>> from shapely import LineString, box
    >>> field = box(-89.5, 43.0, -89.495, 43.0036)
    >>> road = LineString([(-89.501, 43.0), (-89.494, 43.0)])
    >>> round(spreadable(field, [(road, 100)])[1], 2)
    37.22
    """
    ground, _closing = cut_out(field, kept_clear)
    return ground, 0.0 if ground.is_empty else area_ac(ground)


def acres_outside(ground: BaseGeometry, boundary: BaseGeometry) -> float:
    """Return the acres of some ground that lie outside a boundary.

    >>> from shapely import box
    >>> round(acres_outside(box(-89.501, 43.0, -89.495, 43.0036),
    ...                     box(-89.5, 43.0, -89.495, 43.0036)), 3)  # a fifth of 40.29 acres
    8.058
    """
    if shapely.covers(boundary, ground):
        return 0.0
    beyond = shapely.difference(ground, boundary)
    return 0.0 if beyond.is_empty else area_ac(beyond)
