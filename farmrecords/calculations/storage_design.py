"""Whether a storage holds what it must, and whether a year's phosphorus is accounted for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from .storage_budget import BudgetError, pump_out_mark
from .storage_volume import Shape, StorageShapeError, depth_ft, surface_sqft, volume_gal

DOUBTFUL_P_PCT = 25.0
SOURCE = "AWMFH ch. 10 worksheets 10-A; North Carolina record 55-0007"


@dataclass(frozen=True)
class Design:
    """What a storage must hold, in gallons and in feet of its own depth.

    ``level_ft`` is the depth at the end of the period, ``mark_depth_ft`` the pump-out mark from the
    bottom; ``spare_ft`` is what lies between them, below 0 where the storage is too small.
    """

    held_gal: float
    held_depth_ft: float
    level_ft: float
    mark_depth_ft: float
    spare_ft: float
    spare_gal: float

    @property
    def is_enough(self) -> bool:
        """Whether the period's volume stays below the pump-out mark."""
        return self.spare_ft >= 0


def mark_of_ft(
    shape: Shape, storm_depth_ft: float, freeboard_ft: float, storm_runoff_cuft: float = 0.0
) -> float:
    """Return the pump-out mark of a storage in feet from its bottom, the surface taken at the mark.

    Raises BudgetError where storm and freeboard leave no depth. Source: North Carolina record
    55-0007 (read); the surface is found by repeated trial.

    >>> from farmrecords.calculations.storage_volume import Rectangular
    >>> mark_of_ft(Rectangular(100, 50, 8), 0.5, 1.0, 1250)
    6.25
    """
    mark = pump_out_mark(shape.depth_ft, storm_depth_ft, freeboard_ft).depth_ft
    for _ in range(50):
        surface = surface_sqft(shape, mark)
        mark = pump_out_mark(
            shape.depth_ft, storm_depth_ft, freeboard_ft, storm_runoff_cuft, surface
        ).depth_ft
    return mark


def design(
    shape: Shape,
    held_gal: Mapping[str, float],
    net_rain_ft: float,
    storm_depth_ft: float,
    freeboard_ft: float,
    storm_runoff_cuft: float = 0.0,
) -> Design:
    """Return the budget of a storage: what it holds at the period's end against its pump-out mark.

    ``held_gal`` names each volume of the period (sludge, treatment, manure, bedding, wash water,
    lot runoff); ``net_rain_ft`` is rain less evaporation on the surface (may be below 0); the
    storm and the freeboard stay free above the mark. Raises BudgetError for a volume below 0 or
    more than the storage holds when full. Source: SOURCE (read).

    >>> from farmrecords.calculations.storage_volume import Rectangular
    >>> found = design(Rectangular(192, 50, 8), {"manure": 404_352}, 0, 0.5, 1.0)  # CV-6.4
    >>> round(found.held_depth_ft, 2), found.mark_depth_ft, round(found.spare_ft, 2)
    (5.63, 6.5, 0.87)
    """
    for name, value in held_gal.items():
        if not (math.isfinite(value) and value >= 0):
            raise BudgetError(f"{name} is {value} gal; it must be 0 or more.")
    if not math.isfinite(net_rain_ft):
        raise BudgetError(f"Rain less evaporation is {net_rain_ft} ft; give a number of feet.")
    total = sum(held_gal.values())
    mark = mark_of_ft(shape, storm_depth_ft, freeboard_ft, storm_runoff_cuft)
    try:
        held = depth_ft(shape, total)
    except StorageShapeError as refused:
        raise BudgetError(f"The storage does not hold the period's volume: {refused}") from refused
    level = max(0.0, held + net_rain_ft)
    room = volume_gal(shape, mark) - volume_gal(shape, min(level, shape.depth_ft))
    return Design(total, held, level, mark, mark - level, room)


@dataclass(frozen=True)
class PBalance:
    """A year's phosphorus in pounds of P: what came, what is accounted for, the difference."""

    came_lb: float
    accounted_lb: float
    difference_lb: float
    difference_pct: float

    @property
    def is_doubtful(self) -> bool:
        """Whether more than a quarter is not accounted for (derived rule, 20 to 25 %)."""
        return abs(self.difference_pct) > DOUBTFUL_P_PCT


def p_balance(
    came_lb: Mapping[str, float], went_lb: Mapping[str, float], gain_lb: float
) -> PBalance:
    """Return whether spread, exported and stored P make up the P excreted and bedded.

    ``gain_lb`` is the change of the P in store (below 0 when emptied). Phosphorus has no loss to
    the air, so the difference tells of records that lack something. All in pounds of P, not P2O5.
    Raises BudgetError for a figure below 0 or nothing that came. Source: derived rule, no published
    limit.

    >>> found = p_balance({"excreted": 900, "bedding": 100}, {"spread": 700, "sold": 50}, 50)
    >>> found.difference_lb, found.difference_pct, found.is_doubtful
    (-200, -20.0, False)
    """
    for name, value in {**came_lb, **{f"{key} (out)": v for key, v in went_lb.items()}}.items():
        if not (math.isfinite(value) and value >= 0):
            raise BudgetError(f"P of {name} is {value} lb; it must be 0 or more.")
    if not math.isfinite(gain_lb):
        raise BudgetError(f"The change of P in store is {gain_lb} lb; give a number of pounds.")
    came, accounted = sum(came_lb.values()), sum(went_lb.values()) + gain_lb
    if not came > 0:
        raise BudgetError("No phosphorus came in: give the P excreted or brought in.")
    return PBalance(came, accounted, accounted - came, 100 * (accounted - came) / came)
