"""The largest amount of manure that a plan's limits allow, from the limits and one manure test."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .manure_test import ManureContent
from .nutrients import NutrientError


@dataclass(frozen=True)
class Maximum:
    """Units of manure per acre (1,000 gal of liquid, ton of solid) and which nutrient sets them."""

    units_per_ac: float
    set_by: str
    n_units_per_ac: float | None
    p2o5_units_per_ac: float | None


def maximum_per_ac(
    content: ManureContent,
    n_limit_lb_per_ac: float | None,
    p2o5_limit_lb_per_ac: float | None,
    is_p_limited: bool,
    n_from_elsewhere_lb_per_ac: float = 0.0,
    p2o5_from_elsewhere_lb_per_ac: float = 0.0,
) -> Maximum:
    """Return the most manure per acre, in 1,000 gal (liquid) or tons (solid).

    Each limit, less what comes from elsewhere (credits, fertilizer), is divided by what a unit of
    the manure holds. Nitrogen decides; on a field limited by phosphorus the lesser of the two. A
    limit already used up gives 0. Limits in lb/ac, 0 or more. Raises NutrientError when a limit
    that decides, or the nutrient in the test, is missing. Source: shape of 40 CFR 122.42(e)(5),
    derived; example 8.1 of Montana State's worksheet step 5 (read), by its N as available.

    >>> manure = ManureContent("solid", 8.53, None, None, 18.0, 26.0)
    >>> round(maximum_per_ac(manure, 160.0, 50.0, False).units_per_ac, 1)
    18.8
    >>> most = maximum_per_ac(manure, 160.0, 50.0, True)
    >>> round(most.units_per_ac, 1), most.set_by
    (2.8, 'P2O5')
    """
    by_n = _units("N", n_limit_lb_per_ac, n_from_elsewhere_lb_per_ac, content.total_n)
    if not is_p_limited:
        return Maximum(by_n, "N", by_n, None)
    by_p = _units("P2O5", p2o5_limit_lb_per_ac, p2o5_from_elsewhere_lb_per_ac, content.p2o5)
    return Maximum(min(by_n, by_p), "P2O5" if by_p < by_n else "N", by_n, by_p)


def _units(name: str, limit: float | None, elsewhere: float, held: float | None) -> float:
    if limit is None:
        raise NutrientError(f"The plan states no {name} limit for the field and crop year.")
    if not (math.isfinite(limit) and limit >= 0):
        raise NutrientError(f"A {name} limit of {limit} lb/ac cannot be; give 0 or more.")
    if held is None:
        raise NutrientError(f"The manure test does not state {name}.")
    if held <= 0:
        raise NutrientError(f"The manure test states {held} for {name}: no amount follows from it.")
    return max(0.0, limit - elsewhere) / held
