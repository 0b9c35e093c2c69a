"""How near a load came to the things rules keep a distance from, with the doubt in the number."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from .geodesy import FT_M, SQM_PER_AC, LocalPlane, area_ac

# position uncertainty by the way a place was measured, metres (working assumptions, memory)
UNCERTAINTY_M = {"phone": 5.0, "corrected receiver": 1.0, "rtk": 0.1}

Answer = Literal["clear", "within uncertainty", "too near"]


@dataclass(frozen=True)
class Nearness:
    """The distance from covered ground to one feature, and the doubt in it, both in feet."""

    feature: int
    distance_ft: float
    uncertainty_ft: float


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


def compare(distance_ft: float, needed_ft: float, uncertainty_ft: float) -> Answer:
    """Return whether a distance is enough, too small, or too near the limit to tell.

    A distance that differs from the limit by less than the uncertainty cannot be told. Without
    uncertainty a distance equal to the limit is clear.

    >>> compare(104.0, 100.0, 5.0), compare(105.0, 100.0, 5.0), compare(90.0, 100.0, 5.0)
    ('within uncertainty', 'clear', 'too near')
    """
    if abs(distance_ft - needed_ft) < uncertainty_ft:
        return "within uncertainty"
    return "clear" if distance_ft >= needed_ft else "too near"


def nearest_features(
    ground: BaseGeometry,
    features: Sequence[BaseGeometry],
    within_ft: float,
    ground_uncertainty_ft: float = 0.0,
    feature_uncertainty_ft: Sequence[float] | float = 0.0,
) -> list[Nearness]:
    """Return the features within a bound of the ground, nearest first.

    ``ground`` and ``features`` in longitude and latitude; ``within_ft`` should be the largest
    setback in force plus the uncertainty. Empty features are passed over.

    >>> from shapely import Point, box
    >>> found = nearest_features(box(-89.5, 43.0, -89.499, 43.001),
    ...                          [Point(-89.5005, 43.0005), Point(-89.6, 43.0)], 500)
    >>> [(near.feature, round(near.distance_ft)) for near in found]
    [(0, 134)]
    """
    plane = LocalPlane.centred_on(ground)
    flat = plane.project(ground)
    kept = [i for i, feature in enumerate(features) if not feature.is_empty]
    if not kept:
        return []
    shapes = np.array([plane.project(features[i]) for i in kept])
    tree = shapely.STRtree(shapes)
    hits = tree.query(flat, predicate="dwithin", distance=within_ft * FT_M)
    distances = shapely.distance(flat, shapes[hits]) / FT_M
    found = []
    for hit, distance in zip(hits, distances, strict=True):
        i = kept[int(hit)]
        own = (
            feature_uncertainty_ft
            if isinstance(feature_uncertainty_ft, (int, float))
            else feature_uncertainty_ft[i]
        )
        found.append(
            Nearness(i, float(distance), combined_uncertainty_ft(ground_uncertainty_ft, own))
        )
    return sorted(found, key=lambda near: (near.distance_ft, near.feature))


def acres_within(ground: BaseGeometry, feature: BaseGeometry, distance_ft: float) -> float:
    """Return the acres of the ground that lie within a distance of a feature.

    >>> from shapely import LineString, box
    >>> field = box(-89.5, 43.0, -89.495, 43.0036)
    >>> road = LineString([(-89.501, 43.0), (-89.494, 43.0)])
    >>> round(acres_within(field, road, 100), 2)  # a strip of 100 ft by about 1,338 ft
    3.07
    """
    plane = LocalPlane.centred_on(ground)
    zone = plane.project(feature).buffer(distance_ft * FT_M, quad_segs=64)
    return float(plane.project(ground).intersection(zone).area) / SQM_PER_AC


def share_of_area(part_ac: float, whole_ac: float) -> float:
    """Return a part of some acres as a share of them (whole above 0).

    >>> share_of_area(10.0, 40.0)
    0.25
    """
    if not whole_ac > 0:
        raise ValueError(f"A share of {whole_ac} acres cannot be told; give acres above 0.")
    return part_ac / whole_ac


def spreadable(
    field: BaseGeometry, kept_clear: Sequence[tuple[BaseGeometry, float]]
) -> tuple[BaseGeometry, float]:
    """Return the ground and acres of a field left after each feature's distance in feet is cut out.

    >>> from shapely import LineString, box
    >>> field = box(-89.5, 43.0, -89.495, 43.0036)
    >>> road = LineString([(-89.501, 43.0), (-89.494, 43.0)])
    >>> round(spreadable(field, [(road, 100)])[1], 2)
    37.22
    """
    plane = LocalPlane.centred_on(field)
    zones = [
        plane.project(feature).buffer(distance_ft * FT_M, quad_segs=64)
        for feature, distance_ft in kept_clear
        if not feature.is_empty
    ]
    left = plane.project(field).difference(shapely.union_all(zones))
    ground = plane.unproject(left)
    return ground, 0.0 if ground.is_empty else area_ac(ground)
