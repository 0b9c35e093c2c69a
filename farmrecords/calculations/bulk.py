"""Nutrients and rates of many loads at once, by the factors that the single formulas give.

The pounds in one unit and the rate on one acre come from :func:`nutrients.applied` and
:func:`rate.rate_per_ac`, so there is no second formula; only the multiplication runs over arrays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from .manure_test import ManureContent
from .nutrients import applied
from .rate import RateError, rate_per_ac
from .units import Kind

Numbers = npt.NDArray[np.float64]
MILLI = 1_000_000


@dataclass(frozen=True)
class ManyLoads:
    """Loads as columns: thousandths, which manure (place in ``manures``), covered acres."""

    amount_milli: npt.NDArray[np.int64]
    manure: npt.NDArray[np.int64]
    covered_ac: Numbers


@dataclass(frozen=True)
class ManyResults:
    """Pounds of N, P2O5 and K2O (three columns; not tested is NaN), and the rate of each load.

    The rate is in gallons or tons per acre by the kind of the load's manure.
    """

    pounds: Numbers
    rate_per_ac: Numbers
    lb_per_ac: Numbers


def results_of(loads: ManyLoads, manures: Sequence[tuple[ManureContent, Kind]]) -> ManyResults:
    """Return pounds, rate and pounds per covered acre of every load.

    ``manures`` holds each manure test with the kind of amount its loads are counted in. Raises
    RateError for an amount below 0 or acres not above 0 (it names the row), NutrientError as
    ``applied`` does. Equal to the single formulas within 1e-12 (relative).

    >>> litter = ManureContent("solid", 13.0, None, None, 6.0, None)
    >>> two = ManyLoads(np.array([35_600_000, 0]), np.array([0, 0]), np.array([1.0, 2.0]))
    >>> found = results_of(two, [(litter, "lb")])  # CV-2.3: 17.8 tons on one acre
    >>> found.pounds[0].round(1).tolist(), found.rate_per_ac.round(1).tolist()
    ([231.4, 106.8, nan], [17.8, 0.0])
    """
    wrong = (loads.amount_milli < 0) | ~(loads.covered_ac > 0) | ~np.isfinite(loads.covered_ac)
    if wrong.any():
        row = int(np.flatnonzero(wrong)[0])
        raise RateError(
            f"Load {row + 1} has {loads.amount_milli[row] / 1000:g} on {loads.covered_ac[row]} ac: "
            "the amount must be 0 or more, the acres above 0."
        )
    per_milli = np.array([_pounds_per_milli(content, kind) for content, kind in manures])
    rates = np.array([rate_per_ac(MILLI, kind, 1.0) / MILLI for _, kind in manures])
    pounds = loads.amount_milli[:, None] * per_milli[loads.manure]
    per_ac = loads.amount_milli * rates[loads.manure] / loads.covered_ac
    return ManyResults(pounds, per_ac, pounds / loads.covered_ac[:, None])


def _pounds_per_milli(content: ManureContent, kind: Kind) -> list[float]:
    of_many = applied(MILLI, kind, content).values
    return [float("nan") if value is None else value / MILLI for value in of_many]
