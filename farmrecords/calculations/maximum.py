"""The largest amount of manure that a plan's limits allow, from the limits and one manure test."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from .manure_test import Form, ManureContent
from .nutrients import MILLI_PER_UNIT, NutrientError

PER_UNIT = {"liquid": 1000.0, "solid": 1.0}  # gallons per 1,000 gal; tons per ton


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
    by_n = units_under_limit("N", n_limit_lb_per_ac, n_from_elsewhere_lb_per_ac, content.total_n)
    if not is_p_limited:
        return Maximum(by_n, "N", by_n, None)
    by_p = units_under_limit(
        "P2O5", p2o5_limit_lb_per_ac, p2o5_from_elsewhere_lb_per_ac, content.p2o5
    )
    return Maximum(min(by_n, by_p), "P2O5" if by_p < by_n else "N", by_n, by_p)


def units_under_limit(
    name: str, limit: float | None, elsewhere: float, held: float | None
) -> float:
    """Return the units of manure a limit leaves: what is left of it, at least 0, by the content.

    ``name`` is the nutrient, for the message. Limit and what comes from elsewhere in pounds per
    acre, 0 or more; the content in pounds per unit (1,000 gal or ton), above 0. Raises
    NutrientError. Source: 40 CFR 122.42(e)(5), derived.

    >>> round(units_under_limit("N", 160.0, 80.0, 8.53), 4)
    9.3787
    """
    if limit is None:
        raise NutrientError(f"The plan states no {name} limit for the field and crop year.")
    if not (math.isfinite(limit) and limit >= 0):
        raise NutrientError(f"A {name} limit of {limit} lb/ac cannot be; give 0 or more.")
    if held is None:
        raise NutrientError(f"The manure test does not state {name}.")
    if not (math.isfinite(held) and held > 0):
        raise NutrientError(f"The manure test states {held} for {name}: no amount follows from it.")
    if not (math.isfinite(elsewhere) and elsewhere >= 0):
        raise NutrientError(f"{name} from elsewhere is {elsewhere} lb/ac; it must be 0 or more.")
    return max(0.0, limit - elsewhere) / held


def amount_per_ac(units_per_ac: float, form: Form) -> float:
    """Return gallons or tons per acre for units (1,000 gal or ton) per acre.

    >>> amount_per_ac(6.5, "liquid"), amount_per_ac(2.8, "solid")
    (6500.0, 2.8)
    """
    return units_per_ac * PER_UNIT[form]


def on_acres(amount_per_ac: float, acres: float) -> float:
    """Return an amount per acre laid on all the acres.

    Both 0 or more. Raises NutrientError.

    >>> round(on_acres(160 / 8.53, 40.0), 2)  # federal reference 8.2: 750.29 tons
    750.29
    """
    for value, what in ((amount_per_ac, "An amount per acre"), (acres, "An area")):
        if not (math.isfinite(value) and value >= 0):
            raise NutrientError(f"{what} of {value} cannot be; give 0 or more.")
    return amount_per_ac * acres


@dataclass(frozen=True)
class NutrientLimit:
    """One limit in force: its nutrient, pounds per acre, pounds put on, pounds in a unit.

    ``held_lb_per_unit`` is what 1,000 gal or a ton holds; None when the test does not state it.
    """

    nutrient: str
    limit_lb_per_ac: float
    applied_lb: float
    held_lb_per_unit: float | None


@dataclass(frozen=True)
class LeftUnderLimits:
    """What may still be hauled: thousandths of a gallon or pound, usual loads, and what sets it.

    ``loads`` is None when no usual load is known.
    """

    amount_milli: int
    loads: float | None
    limited_by: str


def left_under_limits(
    limits: Sequence[NutrientLimit],
    field_ac: float,
    form: Form,
    usual_loads_milli: Sequence[int] = (),
) -> LeftUnderLimits | None:
    """Return what the limits still allow over a whole field, at least 0; None when none bears.

    A limit bears when the manure holds its nutrient. A usual load is the median of those given.
    ``field_ac`` 0 or more. Raises NutrientError when the test does not state a limited nutrient.
    Source: limit x acres less what was put on, divided by the content (derived).

    >>> limits = [NutrientLimit("N", 160.0, 3200.0, 25.0)]
    >>> left_under_limits(limits, 40.0, "liquid", [6_400_000])
    LeftUnderLimits(amount_milli=128000000, loads=20.0, limited_by='N')
    """
    if not (math.isfinite(field_ac) and field_ac >= 0):
        raise NutrientError(f"A field of {field_ac} acres cannot be; give 0 or more.")
    allowed = []
    for one in limits:
        if one.held_lb_per_unit is None:
            raise NutrientError(f"The manure test does not state {one.nutrient}.")
        if one.held_lb_per_unit > 0:
            left_lb = max(one.limit_lb_per_ac * field_ac - one.applied_lb, 0.0)
            allowed.append((left_lb / one.held_lb_per_unit, one.nutrient))
    if not allowed:
        return None
    units, nutrient = min(allowed)
    milli = int(units * MILLI_PER_UNIT[form])
    usual = statistics.median(usual_loads_milli) if usual_loads_milli else None
    return LeftUnderLimits(milli, milli / usual if usual else None, nutrient)
