"""Soil-test P from one extractant or unit to another, by one named, published equation.

Nothing is converted silently: the equations of one state disagree with each other, so the one that
was used stands with the result. A procedure that forbids a conversion (Vermont 6.1) gets none.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from statistics import fmean

_FILE = resources.files("farmrecords.calculations") / "data" / "soil_test.toml"


class SoilTestError(ValueError):
    """A soil-test value that cannot be converted; the message says why."""


@dataclass(frozen=True)
class Equation:
    """One published equation, result = intercept + slope x value, with its source and day."""

    id: str
    title: str
    of: str
    to: str
    intercept: float
    slope: float
    source: str
    evidence: str
    dated: str


@lru_cache(maxsize=1)
def equations() -> Mapping[str, Equation]:
    """Return the published equations by name.

    >>> sorted(equations())
    ['delaware-fiv-ppm', 'ohio-older', 'ppm-lb-per-ac', 'tri-state-2019']
    """
    rows = tomllib.loads(_FILE.read_text(encoding="utf-8"))["equation"]
    return {row["id"]: Equation(of=row.pop("from"), **row) for row in rows}


def converted(value: float, equation_id: str, backwards: bool = False) -> float:
    """Return a soil-test value by one equation; ``backwards`` solves it for what it starts from.

    Value 0 or more. Raises SoilTestError for an unknown equation, a value that cannot be, or a
    result below 0 (outside what the equation covers). Source: the equation's own.

    >>> round(converted(22, "ohio-older"), 3)  # case CONV-1, printed 10
    10.224
    """
    if equation_id not in equations():
        raise SoilTestError(f"No equation {equation_id!r}. Known: {', '.join(equations())}.")
    if not (math.isfinite(value) and value >= 0):
        raise SoilTestError(f"A soil test of {value} cannot be; give 0 or more.")
    one = equations()[equation_id]
    result = (value - one.intercept) / one.slope if backwards else one.intercept + one.slope * value
    if result < 0:
        raise SoilTestError(
            f"{one.title} makes {result:.2f} of {value:g}: it does not cover so low a value. Test "
            "the soil by the method that is wanted."
        )
    return result


def mean_above(values: Sequence[float], limit: float) -> float | None:
    """Return the mean of the values above a limit; None when none is above it.

    Values 0 or more. Raises SoilTestError. Source: COMAR 15.20.08, mean of the fields above 150.

    >>> mean_above([120, 200, 500], 150), mean_above([150], 150)
    (350.0, None)
    """
    for value in values:
        if not (math.isfinite(value) and value >= 0):
            raise SoilTestError(f"A soil test of {value} cannot be; give 0 or more.")
    above = [value for value in values if value > limit]
    return fmean(above) if above else None
