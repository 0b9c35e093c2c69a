"""Depth that irrigation with effluent or a hose puts on the ground."""

from __future__ import annotations

import math

from .hydraulic import HydraulicError, gal_per_ac_to_depth_in


def amount_gal(flow_gal_per_min: float, hours: float) -> float:
    """Return the gallons of a flow over some hours, both 0 or more. Raises HydraulicError.

    >>> amount_gal(450, 2)
    54000
    """
    for value, what in ((flow_gal_per_min, "flow"), (hours, "time")):
        if not (math.isfinite(value) and value >= 0):
            raise HydraulicError(f"The {what} is {value}; it must be 0 or more.")
    return flow_gal_per_min * hours * 60


def depth_in(gallons: float, acres: float) -> float:
    """Return the depth of gallons over acres in inches: gallons / acres / 27,154.29.

    Gallons 0 or more, acres above 0. Raises HydraulicError. Source: acre-inch (read).

    >>> depth_in(27154.285714285714 * 2, 4)
    0.5
    """
    if not (math.isfinite(gallons) and gallons >= 0):
        raise HydraulicError(f"{gallons} gal cannot be; give 0 or more.")
    if not (math.isfinite(acres) and acres > 0):
        raise HydraulicError(f"The ground is {acres} ac; it must be above 0.")
    return gal_per_ac_to_depth_in(gallons / acres)
