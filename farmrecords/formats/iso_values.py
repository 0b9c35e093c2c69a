"""Data dictionary identifiers (DDI) of ISO 11783-11 that matter for manure, in US units.

Numbers, names and resolutions: reference on data formats, section 1.5. Mind the split there: bin
mass is in grams but the mass total in kilograms, the volume total in litres but the tank level in
millilitres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

L_PER_GAL = 3.785411784
KG_PER_LB = 0.45359237
M2_PER_AC = 4046.8564224
_GAL_PER_AC_PER_L_PER_M2 = M2_PER_AC / L_PER_GAL
_TON_PER_AC_PER_MG_PER_M2 = 1e-6 / KG_PER_LB / 2000 * M2_PER_AC
_FT_PER_MM = 1 / 304.8


@dataclass(frozen=True, slots=True)
class Quantity:
    """What an identifier stands for; a raw value times `factor` is in `unit`."""

    name: str
    unit: str
    factor: float


QUANTITIES: dict[int, Quantity] = {
    1: Quantity("rate asked for", "gal_per_ac", 0.01e-6 * _GAL_PER_AC_PER_L_PER_M2),
    2: Quantity("rate", "gal_per_ac", 0.01e-6 * _GAL_PER_AC_PER_L_PER_M2),
    588: Quantity("rate asked for", "gal_per_ac", 0.1e-3 * _GAL_PER_AC_PER_L_PER_M2),
    589: Quantity("rate", "gal_per_ac", 0.1e-3 * _GAL_PER_AC_PER_L_PER_M2),
    6: Quantity("rate asked for", "ton_per_ac", _TON_PER_AC_PER_MG_PER_M2),
    7: Quantity("rate", "ton_per_ac", _TON_PER_AC_PER_MG_PER_M2),
    36: Quantity("flow asked for", "gal_per_s", 1e-6 / L_PER_GAL),
    37: Quantity("flow", "gal_per_s", 1e-6 / L_PER_GAL),
    41: Quantity("mass flow asked for", "lb_per_s", 1e-6 / KG_PER_LB),
    42: Quantity("mass flow", "lb_per_s", 1e-6 / KG_PER_LB),
    66: Quantity("working width asked for", "ft", _FT_PER_MM),
    67: Quantity("working width", "ft", _FT_PER_MM),
    68: Quantity("usual working width", "ft", _FT_PER_MM),
    70: Quantity("greatest working width", "ft", _FT_PER_MM),
    72: Quantity("tank volume", "gal", 1e-3 / L_PER_GAL),
    73: Quantity("tank size", "gal", 1e-3 / L_PER_GAL),
    75: Quantity("bin mass", "lb", 1e-3 / KG_PER_LB),
    76: Quantity("bin size", "lb", 1e-3 / KG_PER_LB),
    80: Quantity("volume total", "gal", 1 / L_PER_GAL),
    81: Quantity("mass total", "lb", 1 / KG_PER_LB),
    351: Quantity("volume total", "gal", 1e-3 / L_PER_GAL),
    352: Quantity("mass total", "lb", 1e-3 / KG_PER_LB),
    116: Quantity("area total", "ac", 1 / M2_PER_AC),
    117: Quantity("distance working", "ft", _FT_PER_MM),
    118: Quantity("distance not working", "ft", _FT_PER_MM),
    119: Quantity("time working", "s", 1.0),
    120: Quantity("time not working", "s", 1.0),
    134: Quantity("offset forward", "ft", _FT_PER_MM),
    135: Quantity("offset right", "ft", _FT_PER_MM),
    136: Quantity("offset down", "ft", _FT_PER_MM),
    141: Quantity("work state", "state", 1.0),
    160: Quantity("section control", "state", 1.0),
    229: Quantity("net weight", "lb", 1e-3 / KG_PER_LB),
    232: Quantity("gross weight", "lb", 1e-3 / KG_PER_LB),
    320: Quantity("last weight loaded", "lb", 1e-3 / KG_PER_LB),
    321: Quantity("last weight unloaded", "lb", 1e-3 / KG_PER_LB),
    428: Quantity("mass loaded in all", "lb", 1 / KG_PER_LB),
    429: Quantity("mass unloaded in all", "lb", 1 / KG_PER_LB),
    452: Quantity("volume loaded in all", "gal", 1e-3 / L_PER_GAL),
    453: Quantity("volume unloaded in all", "gal", 1e-3 / L_PER_GAL),
    456: Quantity("last volume loaded", "gal", 1e-3 / L_PER_GAL),
    457: Quantity("last volume unloaded", "gal", 1e-3 / L_PER_GAL),
    339: Quantity("time loading", "s", 1.0),
    340: Quantity("time unloading", "s", 1.0),
    397: Quantity("speed", "ft_per_s", _FT_PER_MM),
}
# Totals that may start again from zero at each task or power-up.
TOTALS = (80, 81, 116, 117, 351, 352)


@dataclass(frozen=True)
class Channel:
    """One logged value: raw numbers at the records where it was written.

    `element` is the machine part (DET) it belongs to; `records` are positions in the log.
    """

    ddi: int
    element: str
    records: np.ndarray[Any, np.dtype[np.int64]]
    raw: np.ndarray[Any, np.dtype[np.int64]]

    @property
    def quantity(self) -> Quantity | None:
        """What the identifier stands for, None for one that is not needed here."""
        return QUANTITIES.get(self.ddi)

    def carried(self, count: int) -> np.ndarray[Any, np.dtype[np.float64]]:
        """The value at each of `count` records, carried forward; NaN before the first.

        In the unit of `quantity`, or raw when the identifier is not known here.
        """
        factor = self.quantity.factor if self.quantity else 1.0
        values = np.full(count, np.nan)
        if len(self.records):
            at = np.searchsorted(self.records, np.arange(count), side="right") - 1
            written = at >= 0
            values[written] = self.raw[at[written]] * factor
        return values

    def increase(self) -> tuple[float, int]:
        """The sum of all rises of a running total, and how often it fell back (restarts)."""
        factor = self.quantity.factor if self.quantity else 1.0
        steps = np.diff(self.raw)
        return float(steps[steps > 0].sum() * factor), int((steps < 0).sum())
