"""Figures that ask: a value that differs from an earlier one by a telltale factor.

2.29 is the factor between P and P2O5, 8.34 the weight of a gallon of water, 1,000 the step between
gallons and thousands of gallons or between mg and g. A doubt is a question to a person.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

TELLTALE = {
    2.29: "P and P2O5 mistaken for each other",
    8.34: "per gallon and per pound mistaken for each other (density)",
    1000.0: "thousands mistaken for ones (units)",
}
NEAR = 0.05  # share of the factor (working assumption)


def telltale_factor(now: float, before: float) -> float | None:
    """Return the telltale factor two values differ by, within 5 per cent and both ways, or None.

    >>> telltale_factor(4.37, 10.0), telltale_factor(25_000, 25), telltale_factor(12, 10)
    (2.29, 1000.0, None)
    """
    if not (math.isfinite(now) and math.isfinite(before) and now > 0 and before > 0):
        return None
    ratio = max(now / before, before / now)
    return next((f for f in TELLTALE if abs(ratio / f - 1) <= NEAR), None)


def doubts_between(now: Mapping[str, Any], earlier: Mapping[str, Any]) -> tuple[str, ...]:
    """Return a question for each figure that differs from its earlier one by a telltale factor.

    Figures without an earlier value, and values that are no numbers, ask nothing.

    >>> doubts_between({"p2o5": 4.37, "k2o": 20}, {"p2o5": 10.0, "k2o": 21})[0][:45]
    'p2o5 is 4.37 and was 10: a factor near 2.29, '
    """
    questions = []
    for name, before in earlier.items():
        value = now.get(name)
        if isinstance(value, (int, float)) and isinstance(before, (int, float)):
            factor = telltale_factor(value, before)
            if factor is not None:
                questions.append(
                    f"{name} is {value:g} and was {before:g}: a factor near {factor:g}, "
                    f"{TELLTALE[factor]}? Check the unit."
                )
    return tuple(questions)
