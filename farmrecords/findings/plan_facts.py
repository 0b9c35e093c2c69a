"""What the plan in force says of a field's crop year, as the rules read it.

Limits and removals stand in columns of the planned crops and are added up over them; seldom needed
figures are kept with a crop under the names the rules use, and count where the crops agree.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from farmrecords.farm.further import further_facts
from farmrecords.findings.surroundings import Surroundings
from farmrecords.plan.models import PlannedCrop

COLUMNS = (
    ("plan.n_limit_lb_per_ac", "n_limit_lb_per_ac"),
    ("plan.p2o5_limit_lb_per_ac", "p2o5_limit_lb_per_ac"),
    ("plan.p2o5_removal_lb_per_ac", "p2o5_removal_lb_per_ac"),
)
# Crop years that are added up, by the facts that tell their removal.
TOGETHER = {2: "plan.p2o5_removal_2yr_lb_per_ac", 3: "plan.p2o5_removal_3yr_lb_per_ac"}


def plan_facts(
    around: Surroundings, field_id: Any, crop_year: int, crops: Sequence[PlannedCrop]
) -> dict[str, Any]:
    """The figures of the plan for a field and crop year; what no crop states is left out."""
    values: dict[str, Any] = {}
    for fact, column in COLUMNS:
        found = _sum(crops, column)
        if found is not None:
            values[fact] = found
    for years, fact in TOGETHER.items():
        removed = [
            _sum(_of_year(around, field_id, year), "p2o5_removal_lb_per_ac")
            for year in range(crop_year - years + 1, crop_year)
        ]
        told = [one for one in (*removed, _sum(crops, "p2o5_removal_lb_per_ac")) if one is not None]
        if len(told) == years:
            values[fact] = sum(told, Decimal(0))
    return values | _further(crops)


def _of_year(around: Surroundings, field_id: Any, crop_year: int) -> list[PlannedCrop]:
    return around.planned(field_id, crop_year, dt.date(crop_year, 12, 31))


def _sum(crops: Sequence[PlannedCrop], column: str) -> Decimal | None:
    found = [getattr(crop, column) for crop in crops]
    return sum(found, Decimal(0)) if found and None not in found else None


def _further(crops: Sequence[PlannedCrop]) -> dict[str, Any]:
    """Further facts that a crop states and no other crop of the year contradicts."""
    told: dict[str, list[Any]] = {}
    for crop in crops:
        for name, value in further_facts("plan", crop.further).items():
            told.setdefault(name, []).append(value)
    return {
        name: values[0] for name, values in told.items() if all(one == values[0] for one in values)
    }
