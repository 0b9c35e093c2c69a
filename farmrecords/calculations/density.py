"""Weight of manure for its volume: measured with a bucket or pail, and the planning figures."""

from __future__ import annotations

import math
import statistics
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from .units import GAL_PER_CUFT

_FILE = resources.files("farmrecords.calculations") / "data" / "density.toml"
BUCKET_GAL = 5.0
LB_PER_CUFT_OF_BUCKET = 1.5  # a cubic foot holds 7.48 gal, nearly one and a half buckets
FEWEST_BUCKETS = 5
SOURCE = "LPELC, estimating manure density"


class DensityError(ValueError):
    """A density that cannot be told; the message names what was given and the remedy."""


@dataclass(frozen=True)
class Density:
    """Weight for volume from buckets: pounds per gallon and per cubic foot."""

    mean_net_lb: float
    lb_per_gal: float
    lb_per_cuft: float


def from_buckets(net_lb: Sequence[float]) -> Density:
    """Return the density from net weights of a full five-gallon bucket, at least five of them.

    Mean / 5 is pounds per gallon, mean x 1.5 pounds per cubic foot (the printed short cut; exactly
    1.496). Raises DensityError for fewer buckets or a weight of 0 or less. Source: LPELC (read).

    >>> found = from_buckets([41.0, 42.0, 42.0, 42.5, 42.5])
    >>> found.lb_per_gal, found.lb_per_cuft
    (8.4, 63.0)
    """
    if len(net_lb) < FEWEST_BUCKETS:
        raise DensityError(f"{len(net_lb)} bucket(s) are too few: weigh at least {FEWEST_BUCKETS}.")
    for lb in net_lb:
        if not (math.isfinite(lb) and lb > 0):
            raise DensityError(f"A net weight of {lb} lb cannot be: weigh the bucket empty too.")
    mean = statistics.fmean(net_lb)
    return Density(mean, mean / BUCKET_GAL, mean * LB_PER_CUFT_OF_BUCKET)


def pail_kg_per_m3(net_kg: float, pail_litres: float) -> float:
    """Return the bulk density from one pail: net kilograms / litres x 1000.

    Both above 0. Raises DensityError. Source: Agdex 400/28-3 p. 133 (read).

    >>> round(pail_kg_per_m3(19.48, 20), 6)  # CV-1.4
    974.0
    """
    for value, what in ((net_kg, "The net weight"), (pail_litres, "The pail")):
        if not (math.isfinite(value) and value > 0):
            raise DensityError(f"{what} is {value}; it must be above 0.")
    return net_kg / pail_litres * 1000


@lru_cache(maxsize=1)
def planning_figures() -> Mapping[str, Mapping[str, Any]]:
    """Return the planning figures by material: low and high end by unit, source, evidence.

    >>> planning_figures()["solid, planning"]["lb_per_cuft"]
    [55.0, 55.0]
    """
    rows = tomllib.loads(_FILE.read_text(encoding="utf-8"))["figure"]
    return {row["material"]: row for row in rows}


def planned_by_volume() -> tuple[str, ...]:
    """Return the materials with one planning figure for a gallon or a cubic foot.

    >>> planned_by_volume()
    ('liquid, gallons to tons', 'liquid, planning', 'solid, planning')
    """
    return tuple(
        name
        for name, row in planning_figures().items()
        for low, high in [row.get("lb_per_cuft") or row.get("lb_per_gal") or (0, 1)]
        if low == high
    )


def planning_lb_per_cuft(material: str) -> float:
    """Return the planning figure of a material in pounds per cubic foot.

    Raises DensityError for a material without one figure for a gallon or a cubic foot. Source: the
    figure's own (read).

    >>> round(planning_lb_per_cuft("liquid, gallons to tons"), 2)  # 8.4 lb/gal
    62.84
    """
    if material not in planned_by_volume():
        raise DensityError(
            f"{material!r} has no one planning figure. Held: {'; '.join(planned_by_volume())}."
        )
    row = planning_figures()[material]
    if "lb_per_cuft" in row:
        return float(row["lb_per_cuft"][0])
    return float(row["lb_per_gal"][0] * GAL_PER_CUFT)
