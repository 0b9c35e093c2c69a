"""What a storage must hold, its marks, how long it lasts, and whether the year's volumes add up."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from .storage_volume import Shape, depth_ft, surface_sqft, volume_gal
from .units import GAL_PER_AC_IN, SQFT_PER_AC

DOUBTFUL_RESIDUAL_PCT = 15.0


class BudgetError(ValueError):
    """A budget that cannot be made; the message names value and remedy."""


def _zero_or_more(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value >= 0):
            raise BudgetError(f"{name} is {value}; it must be 0 or more.")


def rain_gal(rain_in: float, catchment_ac: float) -> float:
    """Return gallons of rain on a catchment (inches x acres x 27,154.29).

    For a pond take the ground within the top of the bank: rain on the inner slopes runs in.

    >>> round(rain_gal(37, 1))  # CV-6.5: about a million
    1004709
    """
    _zero_or_more(rain_in=rain_in, catchment_ac=catchment_ac)
    return rain_in * catchment_ac * GAL_PER_AC_IN


def evaporation_gal(evaporation_in: float, surface_area_sqft: float) -> float:
    """Return gallons lost from the liquid surface; a crusted or covered storage loses about none.

    >>> round(evaporation_gal(1, 43560))
    27154
    """
    _zero_or_more(evaporation_in=evaporation_in, surface_sqft=surface_area_sqft)
    return rain_gal(evaporation_in, surface_area_sqft / SQFT_PER_AC)


def lot_runoff_ac_ft(storm_in: float, lot_ac: float) -> float:
    """Return runoff of a storm from a fairly tight lot: (P - 0.5) / 12 x acres, at least 0.

    Source: Montana State liquid manure step (read); its other figures are misprints.

    >>> round(lot_runoff_ac_ft(2.2, 4.36), 4)
    0.6177
    """
    _zero_or_more(storm_in=storm_in, lot_ac=lot_ac)
    return max(0.0, storm_in - 0.5) / 12 * lot_ac


def curve_number_runoff_in(storm_in: float, curve_number: float) -> float:
    """Return runoff depth in inches by curve number (0 below the initial loss).

    Source: NEH-4 (memory): Q = (P - 0.2 S)^2 / (P + 0.8 S), S = 1000 / CN - 10.

    >>> round(curve_number_runoff_in(4, 90), 2)
    2.92
    """
    _zero_or_more(storm_in=storm_in)
    if not 0 < curve_number <= 100:
        raise BudgetError(f"A curve number of {curve_number} is not above 0 and up to 100.")
    s = 1000 / curve_number - 10
    return (storm_in - 0.2 * s) ** 2 / (storm_in + 0.8 * s) if storm_in > 0.2 * s else 0.0


@dataclass(frozen=True)
class Marks:
    """The pump-out mark: feet below the top and depth from the bottom."""

    below_top_ft: float
    depth_ft: float


def pump_out_mark(
    full_depth_ft: float,
    storm_depth_ft: float,
    freeboard_ft: float,
    storm_runoff_cuft: float = 0.0,
    surface_area_sqft: float = 0.0,
) -> Marks:
    """Return the level above which a storage must be emptied.

    Below the top of the bank: storm rain on the surface + freeboard + storm runoff / surface at
    that level. Source: North Carolina practice, record 55-0007 (read).

    >>> mark = pump_out_mark(9.8, 0.5, 1.0, 11_539, 175 * 260)  # CV-6.3
    >>> round(mark.below_top_ft, 2), round(mark.depth_ft, 2)
    (1.75, 8.05)
    """
    _zero_or_more(
        full_depth_ft=full_depth_ft,
        storm_depth_ft=storm_depth_ft,
        freeboard_ft=freeboard_ft,
        runoff=storm_runoff_cuft,
    )
    if storm_runoff_cuft and not surface_area_sqft > 0:
        raise BudgetError("Storm runoff needs the liquid surface in square feet, above 0.")
    below = storm_depth_ft + freeboard_ft
    below += storm_runoff_cuft / surface_area_sqft if storm_runoff_cuft else 0.0
    if below > full_depth_ft:
        raise BudgetError(
            f"Storm and freeboard take {below:.2f} ft; the storage is {full_depth_ft:g} ft deep."
        )
    return Marks(below, full_depth_ft - below)


def depth_from_wall_ft(wall_length_ft: float, slope_angle_deg: float) -> float:
    """Return vertical depth from a length measured along a sloped wall (Agdex p. 140, read).

    >>> round(depth_from_wall_ft(10, 30), 6)
    5.0
    """
    _zero_or_more(wall_length_ft=wall_length_ft)
    if not 0 < slope_angle_deg <= 90:
        raise BudgetError(f"A wall angle of {slope_angle_deg} degrees is not above 0 and up to 90.")
    return wall_length_ft * math.cos(math.radians(90 - slope_angle_deg))


def room_gal(shape: Shape, level_ft: float, mark_depth_ft: float) -> float:
    """Return the gallons between a level and the pump-out mark; 0 when the mark is passed.

    Raises StorageShapeError for a level or a mark outside the storage.

    >>> from farmrecords.calculations.storage_volume import Rectangular
    >>> round(room_gal(Rectangular(192, 50, 8), 2, 7))
    359065
    """
    return max(0.0, volume_gal(shape, mark_depth_ft) - volume_gal(shape, level_ft))


def days_left(
    shape: Shape, level_ft: float, mark_depth_ft: float, inflow_gal_per_day: float
) -> float:
    """Return days until the pump-out mark at a daily inflow; 0 when the mark is passed.

    Raises BudgetError without inflow, StorageShapeError for a level outside the storage.

    >>> from farmrecords.calculations.storage_volume import Rectangular
    >>> round(days_left(Rectangular(192, 50, 8), 2, 7, 1108), 1)
    324.1
    """
    if not (math.isfinite(inflow_gal_per_day) and inflow_gal_per_day > 0):
        raise BudgetError(f"An inflow of {inflow_gal_per_day} gal/day does not fill a storage.")
    return room_gal(shape, level_ft, mark_depth_ft) / inflow_gal_per_day


def level_after_ft(shape: Shape, level_ft: float, inflow_gal: float) -> float:
    """Return the level after an inflow (below 0: a withdrawal).

    Raises StorageShapeError when it does not fit.

    >>> from farmrecords.calculations.storage_volume import Rectangular
    >>> round(level_after_ft(Rectangular(192, 50, 8), 2, 71813), 2)
    3.0
    """
    return depth_ft(shape, volume_gal(shape, level_ft) + inflow_gal)


def drawdown_gal(
    shape: Shape,
    level_before_ft: float,
    level_after_ft: float,
    rain_in: float = 0.0,
    inflow_gal: float = 0.0,
    catchment_sqft: float | None = None,
) -> float:
    """Return gallons taken out between two readings, with rain and inflow in between.

    Rain falls on ``catchment_sqft`` (default: the full surface). Raises BudgetError when more came
    in than the fall and the inflow explain.

    >>> from farmrecords.calculations.storage_volume import Rectangular
    >>> round(drawdown_gal(Rectangular(192, 50, 8), 7, 2, inflow_gal=1000))
    360065
    """
    _zero_or_more(rain_in=rain_in, inflow_gal=inflow_gal)
    catchment = surface_sqft(shape, shape.depth_ft) if catchment_sqft is None else catchment_sqft
    fallen = volume_gal(shape, level_before_ft) - volume_gal(shape, level_after_ft)
    out = fallen + inflow_gal + rain_gal(rain_in, catchment / SQFT_PER_AC)
    if out < 0:
        raise BudgetError("The storage gained more than rain and inflow explain: check readings.")
    return out


@dataclass(frozen=True)
class Balance:
    """A year's volumes: measured and computed change, what is left unexplained.

    ``residual_pct`` is None where nothing passed through: there is nothing to be a share of.
    """

    measured_change: float
    computed_change: float
    residual: float
    residual_pct: float | None
    doubtful: bool


def mass_balance(
    start: float, end: float, inflows: Mapping[str, float], outflows: Mapping[str, float]
) -> Balance:
    """Return whether inflows less outflows explain the change of a storage (one unit throughout).

    The residual is measured less computed change, in per cent of what passed through; above 15 %
    it is doubtful (derived rule, no published limit), and so is a change where nothing passed
    through. Works for gallons, tons or pounds of P.

    >>> balance = mass_balance(100, 150, {"manure": 300, "rain": 60}, {"spread": 320})
    >>> balance.residual, balance.doubtful
    (10, False)
    """
    _zero_or_more(start=start, end=end)
    _zero_or_more(**inflows)
    _zero_or_more(**outflows)
    computed = sum(inflows.values()) - sum(outflows.values())
    residual = (end - start) - computed
    through = max(sum(inflows.values()), sum(outflows.values()))
    if not through:
        return Balance(end - start, computed, residual, None, residual != 0)
    percent = 100 * abs(residual) / through
    return Balance(end - start, computed, residual, percent, percent > DOUBTFUL_RESIDUAL_PCT)


def cone_pile_cuft(diameter_ft: float, height_ft: float) -> float:
    """Return the volume of a cone-shaped pile, pi D2 h / 12 (standard geometry).

    >>> round(cone_pile_cuft(12, 6), 1)
    226.2
    """
    _zero_or_more(diameter_ft=diameter_ft, height_ft=height_ft)
    return math.pi * diameter_ft**2 * height_ft / 12


def leaning_board_height(board_length: float, rise_at_mark: float, slope_to_mark: float) -> float:
    """Return a pile's height from a board leaned on it: length x rise / slope distance.

    Any unit of length, the same for all three. Source: Agdex p. 130 (read).

    >>> round(leaning_board_height(4.9, 0.9, 2.0), 1)  # CV-6.6
    2.2
    """
    _zero_or_more(board=board_length, rise=rise_at_mark, slope_to_mark=slope_to_mark)
    if not slope_to_mark > 0 or rise_at_mark > slope_to_mark:
        raise BudgetError("The mark must lie along the board, above its foot.")
    return board_length * rise_at_mark / slope_to_mark
