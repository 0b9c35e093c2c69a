"""What the nutrients of manure are worth as fertilizer replaced, in the user's own prices."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .nutrients import Applied


class ValueOfNutrientsError(ValueError):
    """A price or share that cannot be; the message names it."""


@dataclass(frozen=True)
class Prices:
    """Dollars per pound of N, P2O5 and K2O."""

    n: float
    p2o5: float
    k2o: float


@dataclass(frozen=True)
class Worth:
    """Dollars per nutrient, their sum, and the nutrients that were not tested."""

    n: float | None
    p2o5: float | None
    k2o: float | None
    total: float
    not_tested: tuple[str, ...]


def price_per_lb(price_per_ton: float, share_pct: float) -> float:
    """Return the price of a pound of nutrient from a fertilizer's price and analysis.

    >>> round(price_per_lb(920, 46), 4)
    1.0
    """
    if not (math.isfinite(price_per_ton) and price_per_ton >= 0 and 0 < share_pct <= 100):
        raise ValueOfNutrientsError(
            f"A price of {price_per_ton} per ton at {share_pct} % cannot be: price 0 or more, "
            "nutrient above 0 to 100 %."
        )
    return price_per_ton / 2000 / (share_pct / 100)


def product_lb(nutrient_lb: float, share_pct: float) -> float:
    """Return pounds of product that hold the wanted pounds of nutrient.

    >>> round(product_lb(124, 82))  # CV-3.5: anhydrous ammonia
    151
    """
    if not (math.isfinite(nutrient_lb) and nutrient_lb >= 0 and 0 < share_pct <= 100):
        raise ValueOfNutrientsError(f"{nutrient_lb} lb at {share_pct} % cannot be.")
    return nutrient_lb / (share_pct / 100)


def worth(usable: Applied, prices: Prices) -> Worth:
    """Return what usable pounds would cost as fertilizer.

    ``usable`` are the pounds that replace fertilizer (available, and needed). What was not tested
    is left out and named.

    >>> worth(Applied(100.0, 50.0, None), Prices(0.6, 0.7, 0.4))
    Worth(n=60.0, p2o5=35.0, k2o=None, total=95.0, not_tested=('k2o',))
    """
    names, values = ("n", "p2o5", "k2o"), []
    for name, pounds in zip(names, usable.values, strict=True):
        price = getattr(prices, name)
        for value, what in (
            (price, "The price"),
            (0.0 if pounds is None else pounds, "The amount"),
        ):
            if not (math.isfinite(value) and value >= 0):
                raise ValueOfNutrientsError(f"{what} of {name} is {value}; it must be 0 or more.")
        values.append(None if pounds is None else pounds * price)
    missing = tuple(n for n, v in zip(names, values, strict=True) if v is None)
    n, p2o5, k2o = values
    return Worth(n, p2o5, k2o, total=sum(v for v in values if v is not None), not_tested=missing)
