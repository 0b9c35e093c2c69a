"""What earlier loads on the same ground add up to: days since the last, gallons of week and year.

Only ground that is known tells: two tracks that overlap by more than normal passes are the same
ground, tracks apart are not, and without a track it cannot be told.
"""

from __future__ import annotations

import datetime as dt
import functools
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import area_ac
from farmrecords.calculations.ground_cover import shares_within
from farmrecords.calculations.nutrients import Applied, OnGround, heaviest_per_ac, least_heavy_ac
from farmrecords.calculations.units import whole
from farmrecords.findings.assumptions import span
from farmrecords.findings.load_facts import COVERED
from farmrecords.findings.surroundings import Surroundings
from farmrecords.loads.facts import facts_for
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.year_figures import LEAST_AC, LEAST_SHARE

WEEK, YEAR = span("rolling_week_days"), span("rolling_year_days")
SINCE, OF_WEEK, OF_YEAR = "load.days_since_last", "load.week_gal_per_ac", "load.year_gal_per_ac"
ROLLING = (SINCE, OF_WEEK, OF_YEAR)


@dataclass(frozen=True)
class Earlier:
    """One share of a load on a field, with its kept facts."""

    load: Load
    part: LoadPart
    told: dict[str, Any]

    @functools.cached_property
    def ground(self) -> BaseGeometry | None:
        """The ground of its track, if there is one."""
        footprint = self.told.get("footprint")
        return shape(footprint) if footprint else None

    @property
    def order(self) -> tuple[Any, ...]:
        """Its place in time."""
        return self.load.local_day, self.load.started_at, str(self.load.pk)


def rolling_facts(
    around: Surroundings,
    load: Load,
    part: LoadPart,
    told: dict[str, Any] | None,
    wanted: Collection[str],
) -> dict[str, Any]:
    """Those of the rolling facts that are wanted; what cannot be told is left out."""
    if told is None or not wanted:
        return {}
    here = Earlier(load, part, told)
    shares = around.once(("shares by field",), lambda: _shares(around))
    before = [
        one
        for one in shares.get(part.field_id, ())
        if one.order < here.order and load.local_day - one.load.local_day < YEAR
    ]
    week = [one for one in before if load.local_day - one.load.local_day < WEEK]
    found: dict[str, Any] = {}
    if SINCE in wanted:
        found[SINCE] = _days_since(here, before)
    if OF_WEEK in wanted:
        found[OF_WEEK] = _gal_per_ac([here, *week])
    if OF_YEAR in wanted:
        found[OF_YEAR] = _gal_per_ac([here, *before])
    return {name: value for name, value in found.items() if value is not None}


def _shares(around: Surroundings) -> dict[Any, list[Earlier]]:
    loads = list(
        Load.objects.filter(operation=around.operation)
        .counted()
        .select_related("operation", "spreader", "rate_test", "content_test")
        .prefetch_related("parts__field", "draws__storage")
    )
    kept = facts_for(loads)
    found: dict[Any, list[Earlier]] = defaultdict(list)
    for load in loads:
        told = {row["part"]: row for row in kept[load.pk].parts}
        for part in load.parts.all():
            found[part.field_id].append(Earlier(load, part, told.get(part.number, {})))
    return found


def _days_since(here: Earlier, before: Iterable[Earlier]) -> int | None:
    """Days since the last load of an earlier day on this ground; None: none, or not known."""
    ground = here.ground
    for one in sorted(before, key=lambda row: row.order, reverse=True):
        if one.load.local_day == here.load.local_day:
            continue
        if ground is None or one.ground is None:
            return None
        shared_ac, _amount = shares_within([(one.ground, 0.0)], ground)
        if shared_ac > least_heavy_ac(area_ac(ground), 0.0, LEAST_SHARE):
            days: dt.timedelta = here.load.local_day - one.load.local_day
            return days.days
    return None


def _gal_per_ac(shares: Sequence[Earlier]) -> float | None:
    """Gallons per acre on the ground that got most; None where some ground is not known."""
    if any(one.load.amount_kind != "gal" for one in shares):
        return None
    if len(shares) == 1:
        told = shares[0].told
        return told["rate_per_ac"] if told.get("covered_from") in COVERED else None
    grounds = []
    for one in shares:
        ground = one.ground
        if ground is None:
            return None
        gallons = float(whole(one.part.amount_milli))
        grounds.append(OnGround(Applied(gallons, None, None), ground))
    covered = sum(area_ac(one.geometry) for one in grounds if one.geometry is not None)
    most, _how = heaviest_per_ac(grounds, least_heavy_ac(covered, LEAST_AC, LEAST_SHARE))
    return most.n_lb
