"""Nutrients and rates of many loads against the same arithmetic in numpy and in plain loops.

What is measured is what a field's year calls: the pounds of all loads of one test together, and
the rate of each load.
"""

from __future__ import annotations

import gc
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from farmrecords.calculations.manure_test import ManureContent
from farmrecords.calculations.nutrients import applied, applied_to_many
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


@dataclass(frozen=True)
class ManyLoads:
    """Loads as columns: thousandths, which manure, acres covered; and the same as rows."""

    amount_milli: npt.NDArray[np.int64]
    manure: npt.NDArray[np.int64]
    covered_ac: npt.NDArray[np.float64]

    @property
    def rows(self) -> list[tuple[int, int, float]]:
        """The loads one by one, as plain numbers."""
        columns = (self.amount_milli.tolist(), self.manure.tolist(), self.covered_ac.tolist())
        return list(zip(*columns, strict=True))


def loads(count: int) -> ManyLoads:
    """Invented loads: liquid and solid, the same at each run."""
    draw = np.random.default_rng(11)
    return ManyLoads(
        draw.integers(1_000_000, 9_000_000, count),
        draw.integers(0, 2, count),
        draw.uniform(0.2, 4.0, count),
    )


def bare_numpy(many: ManyLoads) -> float:
    """The pounds alone, without checks or words."""
    contents = np.array([[25.0, 10.0, 20.0], [60.0, 50.0, 40.0]])
    units = many.amount_milli / np.array(MILLI_PER_UNIT)[many.manure]
    return float((units[:, None] * contents[many.manure]).sum())


def pounds(many: ManyLoads) -> float:
    """The project's pounds of all loads, those of each test together."""
    total = 0.0
    for at, (content, kind) in enumerate(MANURES):
        every = applied_to_many(many.amount_milli[many.manure == at], kind, content)
        total += float(every.sum())
    return total


def pounds_and_rates(many: ManyLoads, rows: list[tuple[int, int, float]]) -> float:
    """The project's pounds of all loads and the rate of each."""
    rates = [rate_per_ac(milli, MANURES[at][1], acres) for milli, at, acres in rows]
    return pounds(many) + sum(rates)


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
    rows, more_rows = many.rows, double.rows
    loop = fastest(lambda: plain_loop(rows))
    both = fastest(lambda: pounds_and_rates(many, rows)) / loop
    in_numpy = fastest(lambda: pounds(many)) / fastest(lambda: bare_numpy(many))
    held = most_bytes(lambda: pounds_and_rates(many, rows))
    grown = most_bytes(lambda: pounds_and_rates(double, more_rows)) / held
    single = fastest(lambda: one_by_one(rows), 3) / loop
    return [
        Measured("pounds and rates, times plain loop", both, MOST_TIMES),
        Measured("pounds, times bare numpy", in_numpy, MOST_TIMES),
        Measured("memory of twice as many loads, times", grown, 2.2),
        Measured("one by one, times plain loop (told only)", single, MOST_TIMES, counts=False),
    ]
