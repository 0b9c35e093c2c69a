"""How much liquid the soil takes before it runs: water the soil lacks, caps, and depths."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from .units import GAL_PER_AC_IN

# inches per foot to field capacity: low end by texture group and available water now (NRCS, read)
LACKING_IN_PER_FT: Mapping[str, Mapping[str, float]] = {
    "fine sand, loamy fine sand": {"0-25": 0.5, "25-50": 0.3, "50-75": 0.2, "100": 0.0},
    "sandy loam": {"0-25": 1.0, "25-50": 0.7, "100": 0.0},
    "loam, silt loam, sandy clay loam": {
        "0-25": 1.1, "25-50": 0.8, "50-75": 0.4, "75-100": 0.0, "100": 0.0,
    },
    "clay, clay loam, silty clay loam": {
        "0-25": 1.2, "25-50": 0.8, "50-75": 0.4, "75-100": 0.0, "100": 0.0,
    },
}  # fmt: skip
SOURCE = "NRCS feel and appearance guide, low end of each range (read)"


class HydraulicError(ValueError):
    """A depth that cannot be told; the message says why."""


def _zero_or_more(value: float, what: str) -> None:
    if not (math.isfinite(value) and value >= 0):
        raise HydraulicError(f"{what} of {value} cannot be; give 0 or more.")


@dataclass(frozen=True)
class Limit:
    """The largest single amount in gallons per acre, and what sets it."""

    gal_per_ac: float
    set_by: str


def lacking_in(texture: str, available_pct: str, depth_in: float = 8.0) -> float:
    """Return inches of water the soil lacks to field capacity in its top inches, low end.

    Raises HydraulicError where the guide holds no figure.

    >>> round(lacking_in("loam, silt loam, sandy clay loam", "50-75"), 3)  # CV-7.2
    0.267
    """
    row = LACKING_IN_PER_FT.get(texture, {})
    if available_pct not in row:
        raise HydraulicError(
            f"No figure for {texture!r} at {available_pct!r} per cent available water. Textures: "
            f"{'; '.join(LACKING_IN_PER_FT)}; here: {', '.join(row) or 'none'}."
        )
    if not (math.isfinite(depth_in) and depth_in > 0):
        raise HydraulicError(f"A soil depth of {depth_in} in cannot be.")
    return row[available_pct] * depth_in / 12


def depth_to_gal_per_ac(inches: float) -> float:
    """Return gallons per acre of a depth in inches (27,154.29 per inch).

    >>> round(depth_to_gal_per_ac(0.4 * 8 / 12))  # CV-7.2
    7241
    """
    _zero_or_more(inches, "A depth (in)")
    return inches * GAL_PER_AC_IN


def gal_per_ac_to_depth_in(gal_per_ac: float) -> float:
    """Return the depth in inches of gallons per acre.

    >>> round(gal_per_ac_to_depth_in(13_000), 3)  # CV-7.1
    0.479
    """
    _zero_or_more(gal_per_ac, "A rate (gal/ac)")
    return gal_per_ac / GAL_PER_AC_IN


def most_limiting(limits_gal_per_ac: Mapping[str, float]) -> Limit:
    """Return the least of the limits (nutrient rate, soil water, state cap) and its name.

    Caps of law are handed in by the caller. Raises HydraulicError without any limit.

    >>> most_limiting({"nitrogen": 9000, "soil water": 7241, "state cap": 13_000})
    Limit(gal_per_ac=7241, set_by='soil water')
    """
    if not limits_gal_per_ac:
        raise HydraulicError("No limit was given: the largest amount cannot be told.")
    for name, gal in limits_gal_per_ac.items():
        if not (math.isfinite(gal) and gal >= 0):
            raise HydraulicError(f"The limit by {name} is {gal} gal/ac; it must be 0 or more.")
    name = min(limits_gal_per_ac, key=lambda key: limits_gal_per_ac[key])
    return Limit(limits_gal_per_ac[name], name)


def trench_depth_in(gal_per_ac: float, spacing_in: float, trench_width_in: float) -> float:
    """Return the depth of liquid in an injection trench: average depth x spacing / width.

    >>> round(trench_depth_in(13_000, 30, 4), 2)
    3.59
    """
    if not (math.isfinite(spacing_in) and spacing_in >= trench_width_in > 0):
        raise HydraulicError("The trench must be wider than 0 and no wider than the spacing.")
    return gal_per_ac_to_depth_in(gal_per_ac) * spacing_in / trench_width_in


def inches_for_nitrogen(need_lb_per_ac: float, available_n_lb_per_kgal: float) -> float:
    """Return inches of effluent that bring the wanted available N.

    >>> round(inches_for_nitrogen(125, 0.5), 2)  # CV-2.6: printed 9.20
    9.21
    """
    _zero_or_more(need_lb_per_ac, "A nitrogen need (lb/ac)")
    if not (math.isfinite(available_n_lb_per_kgal) and available_n_lb_per_kgal > 0):
        raise HydraulicError(f"Available N of {available_n_lb_per_kgal} lb/1,000 gal brings none.")
    return need_lb_per_ac / available_n_lb_per_kgal * 1000 / GAL_PER_AC_IN
