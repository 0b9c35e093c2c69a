"""Effective width from throw and overlap, and the rate of solid manure by flow and speed."""

from __future__ import annotations

import math

from .calibration import CalibrationError, flow_rate_gal_per_ac
from .rate import LB_PER_TON


def width_from_throw_ft(throw_ft: float, overlap_share: float) -> float:
    """Return the spacing between passes from the throw: throw x (1 - overlap).

    Throw above 0 ft, overlap from 0 to below 1; 0.10 to 0.20 where the width is estimated. Raises
    CalibrationError. Source: Utah State calibration sheet (read).

    >>> round(width_from_throw_ft(45, 0.2), 6)
    36.0
    """
    if not (math.isfinite(throw_ft) and throw_ft > 0):
        raise CalibrationError(f"The throw (ft) is {throw_ft}; it must be above 0.")
    if not 0 <= overlap_share < 1:
        raise CalibrationError(f"An overlap of {overlap_share} is not 0 or more and below 1.")
    return throw_ft * (1 - overlap_share)


def flow_rate_ton_per_ac(flow_lb_per_min: float, width_ft: float, speed_mph: float) -> float:
    """Return tons per acre from pounds a minute, width and speed (x 0.2475 / (width x mph)).

    Source: standard field form, 0.2475 = 495 / 2000 (memory). Raises CalibrationError.

    >>> flow_rate_ton_per_ac(8000, 20, 4)
    24.75
    """
    if not (math.isfinite(flow_lb_per_min) and flow_lb_per_min > 0):
        raise CalibrationError(f"A flow of {flow_lb_per_min} lb/min cannot be; give more than 0.")
    return flow_rate_gal_per_ac(flow_lb_per_min, width_ft, speed_mph) / LB_PER_TON
