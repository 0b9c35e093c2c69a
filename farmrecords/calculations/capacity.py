"""What a spreader or tank holds, what its axles carry, and what a field may still receive."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .rate import LB_PER_TON
from .units import Kind

USUAL_FILL = 0.90  # share of rated capacity of a liquid tank (Iowa State EPC 1999, read)
# tons per load of end-gate spreaders by bushel rating; means of weighed loads (Iowa State, read)
BUSHEL_LOADS_TON = {
    90: 1.45, 110: 1.75, 150: 2.15, 180: 2.50, 220: 3.0, 260: 3.50, 290: 4.0, 320: 4.30, 390: 5.40,
}  # fmt: skip


class CapacityError(ValueError):
    """A size that cannot be; the message names value and remedy."""


def _zero_or_more(**sizes: float) -> None:
    for name, size in sizes.items():
        if not (math.isfinite(size) and size >= 0):
            raise CapacityError(f"{name} is {size}; it must be 0 or more.")


def tank_load_gal(rated_gal: float, fill_share: float = USUAL_FILL) -> float:
    """Return gallons a liquid tank usually carries: 90 per cent of its rating, for foam.

    >>> tank_load_gal(6000)
    5400.0
    """
    _zero_or_more(rated_gal=rated_gal)
    if not 0 < fill_share <= 1:
        raise CapacityError(f"A fill of {fill_share} is not above 0 and up to 1.")
    return rated_gal * fill_share


def box_load_cuft(
    length_ft: float, width_ft: float, depth_ft: float, heap_ft: float = 0.0
) -> float:
    """Return cubic feet in a box, a heap counting 0.8 of its height.

    Source: Penn State spreader calibration (form read, placing of the 0.8 from memory).

    >>> box_load_cuft(14, 6, 2.5, 1.0)
    277.2
    """
    _zero_or_more(length_ft=length_ft, width_ft=width_ft, depth_ft=depth_ft, heap_ft=heap_ft)
    return length_ft * width_ft * (depth_ft + 0.8 * heap_ft)


def box_load_ton(lb_per_five_gal: float, volume_cuft: float) -> float:
    """Return tons in a box from the net weight of a five-gallon bucket (x 1.5 = lb per cu ft).

    Source: Utah State and NC State calibration sheets (read).

    >>> box_load_ton(35, 277.2)
    7.2765
    """
    _zero_or_more(lb_per_five_gal=lb_per_five_gal, volume_cuft=volume_cuft)
    return lb_per_five_gal * 1.5 * volume_cuft / LB_PER_TON


def elliptical_tank_cuft(width_ft: float, height_ft: float, length_ft: float) -> float:
    """Return cubic feet of a tank with an elliptical section (standard geometry).

    >>> round(elliptical_tank_cuft(8, 6, 20), 1)
    754.0
    """
    _zero_or_more(width_ft=width_ft, height_ft=height_ft, length_ft=length_ft)
    return math.pi / 4 * width_ft * height_ft * length_ft


@dataclass(frozen=True)
class Axle:
    """What one axle (or the hitch) carries, its limit and whether it is kept."""

    carried_lb: float
    limit_lb: float | None
    within: bool | None


def axle_loads(
    tare_lb: Sequence[float],
    load_lb: float,
    split: Sequence[float],
    limit_lb: Sequence[float | None] | None = None,
) -> list[Axle]:
    """Return what each axle carries: its tare and its share of the load.

    ``split`` has one share for each axle and adds up to 1. Limits are handed in (they are law);
    without one the answer stays open. Raises CapacityError.

    >>> [axle.carried_lb for axle in axle_loads([2000, 10_000], 50_000, [0.1, 0.9])]
    [7000.0, 55000.0]
    """
    limits = [None] * len(tare_lb) if limit_lb is None else list(limit_lb)
    if not len(tare_lb) == len(split) == len(limits) or not tare_lb:
        raise CapacityError("Give tare, share and limit for each axle.")
    _zero_or_more(load_lb=load_lb, **{f"tare of axle {i + 1}": t for i, t in enumerate(tare_lb)})
    if abs(sum(split) - 1) > 1e-9 or min(split) < 0:
        raise CapacityError(f"The shares {list(split)} must be 0 or more and add up to 1.")
    carried = [tare + load_lb * share for tare, share in zip(tare_lb, split, strict=True)]
    return [
        Axle(lb, limit, None if limit is None else lb <= limit)
        for lb, limit in zip(carried, limits, strict=True)
    ]


@dataclass(frozen=True)
class Remaining:
    """What a field may still receive: thousandths of a gallon or pound, and whole loads."""

    amount_milli: int
    whole_loads: int | None


def remaining(
    most_per_ac: float,
    field_ac: float,
    applied_milli: int,
    kind: Kind,
    load_milli: int | None = None,
) -> Remaining:
    """Return what is left of a field's largest amount, never below 0; loads are rounded down.

    ``most_per_ac`` in gallons (kind ``gal``) or tons (kind ``lb``) per acre.

    >>> remaining(8000, 20, 100_000_000, "gal", 6_000_000)
    Remaining(amount_milli=60000000, whole_loads=10)
    """
    _zero_or_more(most_per_ac=most_per_ac, field_ac=field_ac, applied=applied_milli)
    most = most_per_ac * field_ac * 1000 * (1 if kind == "gal" else LB_PER_TON)
    left = max(0, math.floor(most) - applied_milli)
    if load_milli is not None and load_milli <= 0:
        raise CapacityError(f"A load of {load_milli / 1000:g} {kind} cannot be; give more than 0.")
    return Remaining(left, None if load_milli is None else left // load_milli)
