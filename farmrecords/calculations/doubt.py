"""Figures that ask: a value that differs from an earlier one by a telltale factor.

2.29 is the factor between P and P2O5, 8.34 the weight of a gallon of water, 1,000 the step between
gallons and thousands of gallons or between mg and g. A doubt is a question to a person.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

OXIDE = 2.29
TELLTALE = {
    OXIDE: "P and P2O5 mistaken for each other",
    8.34: "per gallon and per pound mistaken for each other (density)",
    1000.0: "per gallon and per 1,000 gallons, or ones and thousands, mistaken for each other",
}
# figures of nitrogen and potash have no such factor: a name with one of these words
NO_PHOSPHORUS = {"n", "k", "k2o"}
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


@dataclass(frozen=True)
class Doubt:
    """A figure that differs from an earlier one by a telltale factor."""

    name: str
    now: float
    before: float
    factor: float

    @property
    def words(self) -> str:
        """The question it asks."""
        return (
            f"{self.name} is {self.now:g} and was {self.before:g}: a factor near {self.factor:g}, "
            f"{TELLTALE[self.factor]}? Check the unit."
        )


def doubts_between(now: Mapping[str, Any], earlier: Iterable[tuple[str, Any]]) -> tuple[Doubt, ...]:
    """Return a doubt for each figure that differs from an earlier one by a telltale factor.

    ``earlier`` are names and values; a name may come twice. Figures without an earlier value, and
    values that are no numbers, ask nothing; 2.29 asks nothing of nitrogen and potash.

    >>> doubts_between({"p2o5": 4.37, "k2o": 20}, [("p2o5", 10.0), ("k2o", 21)])[0].words[:45]
    'p2o5 is 4.37 and was 10: a factor near 2.29, '
    >>> doubts_between({"total_n": 4.37}, [("total_n", 10.0)])
    ()
    """
    found = []
    for name, before in earlier:
        value = now.get(name)
        if isinstance(value, (int, float)) and isinstance(before, (int, float)):
            factor = telltale_factor(value, before)
            is_other = factor == OXIDE and not NO_PHOSPHORUS.isdisjoint(name.split("_"))
            if factor is not None and not is_other:
                found.append(Doubt(name, value, before, factor))
    return tuple(found)
