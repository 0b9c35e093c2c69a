"""Soil loss by USLE (AH-537, 1978) and RUSLE (AH-703, 1997): slope factors and the product."""

from __future__ import annotations

import math
from typing import Literal

SOURCE = "AH-537 and AH-703 through secondary sources (equations read; tables of P from memory)"
USLE_M_SOURCE = "AH-537; the classes of the exponent from memory"
RATIO_SOURCE = "AH-703; half and twice beta for a low and a high ratio from memory"
THAWING_SOURCE = "AH-703; the form for thawing soil from memory"
Ratio = Literal["low", "moderate", "high"]
METRIC = {"r": 17.02, "k": 0.1317, "a": 2.242}
RATIO_FACTOR = {"low": 0.5, "moderate": 1.0, "high": 2.0}


class SoilLossError(ValueError):
    """A slope or factor that cannot be; the message names value and range."""


def _angle(slope_pct: float, length_ft: float) -> float:
    if not 0 <= slope_pct <= 100 or not (math.isfinite(length_ft) and length_ft > 0):
        raise SoilLossError(
            f"A slope of {slope_pct} % over {length_ft} ft cannot be: slope 0 to 100 %, length "
            "above 0 ft."
        )
    return math.atan(slope_pct / 100)


def usle_m(slope_pct: float) -> float:
    """Return the slope-length exponent of AH-537; an exact 1, 3 or 5 % takes the steeper class.

    The handbook (memory) leaves 3-3.5 and 4.5-5 % open: 3 to below 5 % takes 0.4 here. Raises
    SoilLossError for a slope outside 0 to 100 %.

    >>> [usle_m(pct) for pct in (0.9, 1, 3, 5)]
    [0.2, 0.3, 0.4, 0.5]
    """
    _angle(slope_pct, 1)
    return 0.5 if slope_pct >= 5 else 0.4 if slope_pct >= 3 else 0.3 if slope_pct >= 1 else 0.2


def usle_ls(slope_pct: float, length_ft: float) -> float:
    """Return LS of AH-537 for a slope in per cent (0-100) and a length in feet.

    >>> round(usle_ls(8, 200), 4)  # case USLE-2; the handbook's table prints 1.41
    1.4018
    """
    s = math.sin(_angle(slope_pct, length_ft))
    return float((length_ft / 72.6) ** usle_m(slope_pct) * (65.41 * s * s + 4.56 * s + 0.065))


def rusle_m(slope_pct: float, ratio: Ratio = "moderate") -> float:
    """Return the slope-length exponent of AH-703 by rill to interrill ratio.

    >>> round(rusle_m(12), 4)  # case RUSLE-2
    0.5457
    """
    s = math.sin(_angle(slope_pct, 1))
    beta = RATIO_FACTOR[ratio] * (s / 0.0896) / (3.0 * s**0.8 + 0.56)
    return float(beta / (1 + beta))


def rusle_s(slope_pct: float, length_ft: float, thawing: bool = False) -> float:
    """Return S of AH-703: steep from 9 per cent; slopes shorter than 15 ft have their own form.

    ``thawing`` takes the form for thawing, weakened soil, (sin / 0.0896)^0.6 from 9 per cent on;
    that variant is from memory.

    >>> round(rusle_s(9, 100), 4)  # case USLE-3
    1.0059
    """
    s = math.sin(_angle(slope_pct, length_ft))
    if length_ft < 15:
        return float(3.0 * s**0.8 + 0.56)
    if thawing and slope_pct >= 9:
        return float((s / 0.0896) ** 0.6)
    return 16.8 * s - 0.50 if slope_pct >= 9 else 10.8 * s + 0.03


def rusle_ls(
    slope_pct: float, length_ft: float, ratio: Ratio = "moderate", thawing: bool = False
) -> float:
    """Return LS of AH-703 for a horizontal slope length in feet.

    >>> round(rusle_ls(12, 150), 4)  # case RUSLE-2
    2.2312
    """
    steepness = rusle_s(slope_pct, length_ft, thawing)
    return float((length_ft / 72.6) ** rusle_m(slope_pct, ratio) * steepness)


def soil_loss_ton_per_ac(r: float, k: float, ls: float, c: float, p: float) -> float:
    """Return A = R K LS C P, tons per acre and year, US customary factors, each 0 or more.

    >>> round(soil_loss_ton_per_ac(185, 0.37, 1.41, 0.119, 1), 4)  # case USLE-1: 11.5
    11.4852
    """
    for name, value in (("R", r), ("K", k), ("LS", ls), ("C", c), ("P", p)):
        if not (math.isfinite(value) and value >= 0):
            raise SoilLossError(f"Factor {name} is {value}; it must be 0 or more.")
    return r * k * ls * c * p


def erosivity_from_rain(precipitation_mm: float) -> float:
    """Return R (US customary) from annual precipitation in mm (Renard and Freimund).

    >>> round(erosivity_from_rain(1000), 1)
    204.1
    """
    if not (math.isfinite(precipitation_mm) and precipitation_mm >= 0):
        raise SoilLossError(f"Precipitation of {precipitation_mm} mm cannot be.")
    mm = precipitation_mm
    metric = 0.04830 * mm**1.610 if mm < 850 else 587.8 - 1.219 * mm + 0.004105 * mm**2
    return metric * 0.05876


def to_metric(factor: Literal["r", "k", "a"], value: float) -> float:
    """Return R in MJ mm/(ha h yr), K in t ha h/(ha MJ mm) or A in t/ha from US customary.

    >>> to_metric("a", 1.0)
    2.242
    """
    return METRIC[factor] * value


def to_us(factor: Literal["r", "k", "a"], value: float) -> float:
    """Return R, K or A in US customary units from the metric ones of :func:`to_metric`.

    >>> round(to_us("r", 17.02 * 185), 6)
    185.0
    """
    return value / METRIC[factor]


def delivered_ton_per_ac(soil_loss_ton_per_ac: float, delivery_share: float) -> float:
    """Return what leaves the field of a gross soil loss, by a delivery share from 0 to 1.

    >>> round(delivered_ton_per_ac(9.7902, 0.60), 4)  # case USLE-4
    5.8741
    """
    if not (math.isfinite(soil_loss_ton_per_ac) and soil_loss_ton_per_ac >= 0):
        raise SoilLossError(f"A soil loss of {soil_loss_ton_per_ac} ton/ac is not 0 or more.")
    if not 0 <= delivery_share <= 1:
        raise SoilLossError(f"A delivery share of {delivery_share} is not between 0 and 1.")
    return soil_loss_ton_per_ac * delivery_share
