"""Snow as water, and the storm water a lot sends into a storage, in gallons."""

from __future__ import annotations

import math

from .storage_budget import BudgetError, curve_number_runoff_in, lot_runoff_ac_ft, rain_gal
from .units import GAL_PER_AC_IN

SNOW_PER_WATER = 10.0
SNOW_SOURCE = "Vermont Agency of Agriculture, snow about 10 to 1"


def snow_gal(snow_in: float, catchment_ac: float, snow_per_water: float = SNOW_PER_WATER) -> float:
    """Return gallons of water in fallen snow, about one inch of water in ten of snow.

    Inches and acres 0 or more; inches of snow that melt to one of water 1 to 50. Raises
    BudgetError. Source: Vermont Agency of Agriculture (read).

    >>> round(snow_gal(1, 1))  # printed 2,715
    2715
    """
    if not (math.isfinite(snow_per_water) and 1 <= snow_per_water <= 50):
        raise BudgetError(
            f"{snow_per_water} in of snow for one of water is outside 1 to 50; 10 is usual."
        )
    return rain_gal(snow_in, catchment_ac) / snow_per_water


def tight_lot_gal(storm_in: float, lot_ac: float) -> float:
    """Return gallons a storm sends off a fairly tight lot: (P - 0.5) x acres x 27,154.29.

    Source: Montana State (read); raises BudgetError.

    >>> round(tight_lot_gal(2.2, 4.36))  # 0.6177 ac-ft; the printed 217,527 is an error
    201268
    """
    return lot_runoff_ac_ft(storm_in, lot_ac) * 12 * GAL_PER_AC_IN


def curve_number_gal(storm_in: float, curve_number: float, drained_ac: float) -> float:
    """Return gallons a storm sends off drained ground by curve number (NEH-4, memory).

    >>> round(curve_number_gal(3, 100, 1)) == round(3 * 27154.285714)  # all of it runs
    True
    """
    return rain_gal(curve_number_runoff_in(storm_in, curve_number), drained_ac)
