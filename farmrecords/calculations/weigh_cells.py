"""Several weigh cells (axles, tongue) summed, with a cell noticed that sticks or drops out.

A cell that drops out says nothing, zero or less while the others carry weight: the sum is not known
then. A cell that sticks keeps saying one number while the others change: the sum is wrong by what
it would have said, so those stretches are doubtful.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .weight_events import runs_of
from .weight_log import Floats, Truths, WeightLogError

STUCK_S = 60.0
STUCK_SHARE = 0.10  # the others change by this share of their span while one says the same
LOADED_SHARE = 0.25  # of a cell's own span: less is no proof of a drop-out
MOST_CELLS = 12


@dataclass(frozen=True)
class CellTrouble:
    """One cell that stuck or dropped out: its number from 0, and the seconds."""

    cell: int
    kind: str  # "stuck" or "out"
    start_s: float
    end_s: float


@dataclass(frozen=True)
class CellSum:
    """The summed weight (NaN while a cell is out), and what was noticed."""

    weight: Floats
    troubles: tuple[CellTrouble, ...]

    @property
    def doubtful(self) -> list[tuple[float, float]]:
        """The stretches in which the sum is not to be trusted."""
        return [(trouble.start_s, trouble.end_s) for trouble in self.troubles]


def summed(at_s: Floats, cells: Sequence[Floats]) -> CellSum:
    """Return the sum of cells read at the same moments, with stuck and dropped-out cells noticed.

    ``cells`` in one unit of mass, one to twelve of them, each as long as ``at_s``. Raises
    WeightLogError otherwise. Source: project method, derived.

    >>> import numpy as np
    >>> at = np.arange(200.0)
    >>> front, rear = np.linspace(5000, 1000, 200), np.full(200, 4000.0)
    >>> [(t.cell, t.kind) for t in summed(at, [front, rear]).troubles]
    [(1, 'stuck')]
    """
    if not 1 <= len(cells) <= MOST_CELLS:
        raise WeightLogError(f"{len(cells)} weigh cells were given; one to {MOST_CELLS} are read.")
    table = np.stack([np.asarray(cell, dtype=np.float64) for cell in cells])
    if table.shape[1] != len(at_s):
        raise WeightLogError("A weigh cell has more or fewer readings than there are moments.")
    troubles: list[CellTrouble] = []
    weight = table.sum(axis=0)
    for number in range(len(cells)):
        out = _out(table, number)
        weight[out] = np.nan
        troubles += [_trouble(at_s, number, "out", a, b) for a, b in runs_of(out)]
        troubles += [_trouble(at_s, number, "stuck", a, b) for a, b in _stuck(at_s, table, number)]
    return CellSum(weight, tuple(sorted(troubles, key=lambda trouble: trouble.start_s)))


def _trouble(at_s: Floats, cell: int, kind: str, a: int, b: int) -> CellTrouble:
    return CellTrouble(cell, kind, float(at_s[a]), float(at_s[b - 1]))


def _out(table: Floats, number: int) -> Truths:
    """Readings at which one cell says nothing or nought while the others stay as they were."""
    own = table[number]
    out = ~np.isfinite(own)
    known = own[~out]
    if len(table) < 2 or not len(known):
        return out
    others = np.nansum(np.delete(table, number, axis=0), axis=0)
    usual = float(np.nanpercentile(others, 99) - np.nanpercentile(others, 1))
    low = float(np.percentile(known, 1))
    nought = (own <= 0) & (low >= 0 or own < low)
    loaded = others > np.nanpercentile(others, 1) + LOADED_SHARE * usual
    return np.asarray(out | (nought & loaded & (usual > 0)))


def _stuck(at_s: Floats, table: Floats, number: int) -> list[tuple[int, int]]:
    """Stretches of a minute or more in which one cell says one number and the others change."""
    if len(table) < 2:
        return []
    own = table[number]
    others = np.delete(table, number, axis=0).sum(axis=0)
    known = others[np.isfinite(others)]
    if not len(known):
        return []
    span = float(np.percentile(known, 99) - np.percentile(known, 1))
    same = np.concatenate([[False], np.diff(own) == 0])
    found = []
    for a, b in runs_of(same):
        start = a - 1
        moved = others[start:b][np.isfinite(others[start:b])]
        long = at_s[b - 1] - at_s[start] >= STUCK_S
        if long and len(moved) and span > 0 and np.ptp(moved) >= STUCK_SHARE * span:
            found.append((start, b))
    return found
