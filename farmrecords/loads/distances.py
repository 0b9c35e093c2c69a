"""Distances from the ground of many parts to the features in force, array-wise per field."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import LocalPlane, feet, metres
from farmrecords.calculations.setback_geometry import combined_uncertainty_ft
from farmrecords.farm.acres import boundary_of, place_of
from farmrecords.farm.models import Feature
from farmrecords.loads.ground import Ground

WITHIN_FT = 1500.0  # beyond the largest distance any encoded rule asks for
NEAR_DEG = 0.02  # generous for 1,500 ft at any latitude farmed

Rows = list[dict[str, Any]]


def distances(grounds: Sequence[tuple[Ground, dt.date]], features: Sequence[Feature]) -> list[Rows]:
    """For each ground the features in force on its day within 1,500 ft, nearest first."""
    found: list[Rows] = [[] for _ground in grounds]
    groups: dict[Any, list[int]] = defaultdict(list)
    for i, (ground, _day) in enumerate(grounds):
        if ground.reach is not None and features:
            groups[ground.version.pk if ground.version else i].append(i)
    for members in groups.values():
        centre = boundary_of(grounds[members[0]][0].version) or grounds[members[0]][0].reach
        _measure(members, grounds, features, centre, found)
    return found


def _measure(
    members: list[int],
    grounds: Sequence[tuple[Ground, dt.date]],
    features: Sequence[Feature],
    centre: BaseGeometry,
    found: list[Rows],
) -> None:
    plane = LocalPlane.centred_on(centre)
    reaches = [grounds[i][0].reach for i in members]
    near = _nearby(features, shapely.total_bounds(np.array(reaches)))
    if not near:
        return
    places = np.array([plane.project(place_of(feature)) for feature in near])
    laid: dict[int, BaseGeometry] = {}
    for reach in reaches:
        if id(reach) not in laid:
            laid[id(reach)] = plane.project(reach)
    flat = np.array([laid[id(reach)] for reach in reaches])
    tree = shapely.STRtree(places)
    at, to = tree.query(flat, predicate="dwithin", distance=metres(WITHIN_FT))
    distances_ft = feet(shapely.distance(flat[at], places[to]))
    farthest: dict[tuple[int, int], float] = {}
    for i, j, distance in zip(at, to, distances_ft, strict=True):
        ground, day = grounds[members[int(i)]]
        feature = near[int(j)]
        if not in_force(feature, day):
            continue
        row = _row(feature, float(distance), ground)
        if ground.reach_from == "boundary":
            pair = (id(ground.reach), int(j))
            if pair not in farthest:
                farthest[pair] = _farthest_ft(flat[i], places[j])
            row["farthest_ft"] = farthest[pair]
        found[members[int(i)]].append(row)
    for i in members:
        found[i].sort(key=lambda row: (row["distance_ft"], row["feature"]))


def _farthest_ft(ground: BaseGeometry, place: BaseGeometry) -> float:
    """The distance from a feature to the farthest corner of the ground."""
    corners = shapely.points(shapely.get_coordinates(ground))
    return float(feet(shapely.distance(corners, place).max()))


def _nearby(features: Iterable[Feature], bounds: Any) -> list[Feature]:
    west, south, east, north = bounds
    kept = []
    for feature in features:
        w, s, e, n = place_of(feature).bounds
        apart = (
            w > east + NEAR_DEG
            or e < west - NEAR_DEG
            or s > north + NEAR_DEG
            or n < south - NEAR_DEG
        )
        if not apart:
            kept.append(feature)
    return kept


def in_force(row: Any, on: dt.date) -> bool:
    """Whether a dated row is in force on the day."""
    return bool(row.from_on <= on and (row.to_on is None or row.to_on >= on))


def _row(feature: Feature, distance_ft: float, ground: Ground) -> dict[str, Any]:
    return {
        "feature": str(feature.pk),
        "feature_rev": feature.rev,
        "kind": feature.kind,
        "name": feature.name,
        "distance_ft": distance_ft,
        "uncertainty_ft": combined_uncertainty_ft(
            ground.uncertainty_ft, float(feature.uncertainty_ft)
        ),
        "down_gradient": feature.down_gradient,
    }
