"""Nutrients and rates of many loads against the same arithmetic in numpy and in plain loops."""

from __future__ import annotations

import gc
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from farmrecords.calculations.bulk import ManyLoads, results_of
from farmrecords.calculations.manure_test import ManureContent
from farmrecords.calculations.nutrients import applied
from farmrecords.calculations.rate import rate_per_ac

SLURRY = ManureContent("liquid", 25.0, 12.0, 13.0, 10.0, 20.0)
LITTER = ManureContent("solid", 60.0, None, None, 50.0, 40.0)
MANURES = [(SLURRY, "gal"), (LITTER, "lb")]
MILLI_PER_UNIT = (1_000_000, 2_000_000)
MOST_TIMES = 3.0


@dataclass(frozen=True)
class Measured:
    """One comparison: what was compared, the ratio, the most it may be, and whether it counts."""

    name: str
    ratio: float
    most: float
    counts: bool = True

    @property
    def is_kept(self) -> bool:
        """Whether the ratio stays within what it may be."""
        return self.ratio <= self.most or not self.counts


def loads(count: int) -> ManyLoads:
    """Invented loads: liquid and solid, the same at each run."""
    draw = np.random.default_rng(11)
    return ManyLoads(
        draw.integers(1_000_000, 9_000_000, count),
        draw.integers(0, 2, count),
        draw.uniform(0.2, 4.0, count),
    )


def bare_numpy(many: ManyLoads) -> float:
    """The same arithmetic without checks, dataclasses or words."""
    contents = np.array([[25.0, 10.0, 20.0], [60.0, 50.0, 40.0]])
    units = many.amount_milli / np.array(MILLI_PER_UNIT)[many.manure]
    pounds = units[:, None] * contents[many.manure]
    rate = many.amount_milli / np.array([1000.0, 2_000_000.0])[many.manure] / many.covered_ac
    return float(pounds.sum() + rate.sum() + (pounds / many.covered_ac[:, None]).sum())


def in_bulk(many: ManyLoads) -> float:
    """The project's function over arrays."""
    found = results_of(many, MANURES)
    return float(found.pounds.sum() + found.rate_per_ac.sum() + found.lb_per_ac.sum())


def plain_loop(rows: list[tuple[int, int, float]]) -> float:
    """The same arithmetic, load by load, with nothing around it."""
    total = 0.0
    contents = ((25.0, 10.0, 20.0), (60.0, 50.0, 40.0))
    for milli, at, acres in rows:
        units = milli / MILLI_PER_UNIT[at]
        n, p, k = contents[at]
        total += units * n + units * p + units * k
        total += milli / (1000 if at == 0 else 2_000_000) / acres
    return total


def one_by_one(rows: list[tuple[int, int, float]]) -> float:
    """The project's single formulas, load by load."""
    total = 0.0
    for milli, at, acres in rows:
        content, kind = MANURES[at]
        n, p, k = applied(milli, kind, content).values
        total += n + p + k + rate_per_ac(milli, kind, acres)
    return total


def fastest(run: Callable[[], float], times: int = 5) -> float:
    """Seconds of the quickest of several runs; the quickest is the least disturbed."""
    found = []
    for _ in range(times):
        gc.collect()
        began = time.perf_counter()
        run()
        found.append(time.perf_counter() - began)
    return min(found)


def most_bytes(run: Callable[[], float]) -> int:
    """The most memory a run holds at once."""
    tracemalloc.start()
    run()
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most


def measure(count: int) -> list[Measured]:
    """Every comparison for so many loads."""
    many, double = loads(count), loads(2 * count)
    rows = list(
        zip(many.amount_milli.tolist(), many.manure.tolist(), many.covered_ac.tolist(), strict=True)
    )
    bulk = fastest(lambda: in_bulk(many))
    loop = fastest(lambda: plain_loop(rows), 3)
    grown = most_bytes(lambda: in_bulk(double)) / most_bytes(lambda: in_bulk(many))
    single = fastest(lambda: one_by_one(rows), 3) / loop
    return [
        Measured("in bulk, times bare numpy", bulk / fastest(lambda: bare_numpy(many)), MOST_TIMES),
        Measured("in bulk, times plain loop", bulk / loop, MOST_TIMES),
        Measured("memory of twice as many loads, times", grown, 2.2),
        Measured("one by one, times plain loop (told only)", single, MOST_TIMES, counts=False),
    ]
