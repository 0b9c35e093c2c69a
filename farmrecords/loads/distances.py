"""Distances from the ground of many parts to the features in force, array-wise per field."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.setback_geometry import (
    combined_uncertainty_ft,
    nearness,
    places_about,
)
from farmrecords.farm.acres import boundary_of, place_of
from farmrecords.farm.models import Feature
from farmrecords.loads.ground import Ground
from farmrecords.plan.models import PermitCondition
from farmrecords.rules.asks import largest_ft
from farmrecords.rules.rulebook import packaged_rulebook

LEAST_FT = 1500.0  # looked so far in any case, so that pages can tell of features near by

AUTHORITY_FT = "wellhead_distance_ft"  # a further fact of a feature

Rows = list[dict[str, Any]]


def search_ft(conditions: Iterable[PermitCondition], features: Iterable[Feature]) -> float:
    """How far features are looked for: as far as any rule, condition or authority may ask.

    The largest distance of the rulebook, of the operation's own conditions and of a feature's
    wellhead authority, whatever the day, and LEAST_FT at the least.
    """
    asked = [largest_ft(packaged_rulebook().rules)]
    asked += [row.value for row in conditions if row.kind == "distance" and row.value]
    asked += [Decimal(row.further.get(AUTHORITY_FT) or 0) for row in features]
    return max(LEAST_FT, float(max(asked)))


def distances(
    grounds: Sequence[tuple[Ground, dt.date]],
    features: Sequence[Feature],
    within_ft: float = LEAST_FT,
) -> list[Rows]:
    """For each ground the features in force on its day within a bound, nearest first.

    The doubt of ground and feature is added to the bound, so that what is left out is surely
    farther than `within_ft`.
    """
    found: list[Rows] = [[] for _ground in grounds]
    groups: dict[Any, list[int]] = defaultdict(list)
    for i, (ground, _day) in enumerate(grounds):
        if ground.reach is not None and features:
            groups[ground.version.pk if ground.version else i].append(i)
    for members in groups.values():
        centre = boundary_of(grounds[members[0]][0].version) or grounds[members[0]][0].reach
        doubt = max(grounds[i][0].uncertainty_ft for i in members)
        doubt += max(float(feature.uncertainty_ft) for feature in features)
        _measure(members, grounds, features, centre, within_ft + doubt, found)
    return found


def _measure(
    members: list[int],
    grounds: Sequence[tuple[Ground, dt.date]],
    features: Sequence[Feature],
    centre: BaseGeometry,
    within_ft: float,
    found: list[Rows],
) -> None:
    reaches = [grounds[i][0].reach for i in members]
    bounds = tuple(shapely.total_bounds(np.array(reaches)).tolist())
    places = [place_of(feature) for feature in features]
    near = [features[at] for at in places_about(bounds, places, within_ft)]  # type: ignore[arg-type]
    whole = [at for at, i in enumerate(members) if grounds[i][0].reach_from == "boundary"]
    measured = nearness(
        reaches,  # type: ignore[arg-type]  # only grounds with a reach are members
        [place_of(feature) for feature in near],
        within_ft,
        centre,
        farthest_of=whole,
    )
    named = [_named(feature) for feature in near]
    for number, place, distance_ft, farthest_ft in measured:
        ground, day = grounds[members[number]]
        if near[place].holds_on(day):
            row = named[place] | {"distance_ft": distance_ft}
            row["uncertainty_ft"] = combined_uncertainty_ft(
                ground.uncertainty_ft, row["uncertainty_ft"]
            )
            if farthest_ft is not None:
                row["farthest_ft"] = farthest_ft
            found[members[number]].append(row)
    for i in members:
        found[i].sort(key=lambda row: (row["distance_ft"], row["feature"]))


def _named(feature: Feature) -> dict[str, Any]:
    """What the rows of a feature share; its uncertainty is put together with each ground's."""
    return {
        "feature": str(feature.pk),
        "feature_rev": feature.rev,
        "kind": feature.kind,
        "name": feature.name,
        "distance_ft": 0.0,
        "uncertainty_ft": float(feature.uncertainty_ft),
        "down_gradient": feature.down_gradient,
    }
