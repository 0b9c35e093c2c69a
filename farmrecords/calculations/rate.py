"""Rate of a load: its amount on the acres it covered, and how a load is shared over fields."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from .units import SQFT_PER_AC, Kind

LB_PER_TON = 2000


class RateError(ValueError):
    """A rate or a share that cannot be computed; the message names value and remedy."""


def rate_unit(kind: Kind) -> str:
    """Return the unit of a rate: gallons or tons per acre.

    >>> rate_unit("lb")
    'ton_per_ac'
    """
    return "gal_per_ac" if kind == "gal" else "ton_per_ac"


def _positive(value: float, what: str, unit: str) -> float:
    if not math.isfinite(value) or value <= 0:
        raise RateError(f"{what} is {value} {unit}; it must be above 0. Check the entry.")
    return value


def rate_per_ac(amount_milli: int, kind: Kind, area_ac: float) -> float:
    """Return gallons per acre (kind ``gal``) or tons per acre (kind ``lb``).

    ``amount_milli`` in thousandths of a gallon or pound (>= 0), ``area_ac`` above 0. Raises
    RateError otherwise. Source: rate = amount / covered area; example CV-4.3 (derived).

    >>> round(rate_per_ac(16_260_000, "lb", 22 * 1450 / 43560), 2)
    11.1
    >>> rate_per_ac(6_000_000, "gal", 1.5)
    4000.0
    """
    if amount_milli < 0:
        raise RateError(f"The amount is {amount_milli / 1000} {kind}; it cannot be below 0.")
    if not 0 < area_ac < math.inf:
        _positive(area_ac, "The covered area", "ac")
    base = amount_milli / 1000
    return base / area_ac if kind == "gal" else base / LB_PER_TON / area_ac


def net_weight_milli(gross_milli: int, tare_milli: int) -> int:
    """Return the net weight in thousandths of a pound from gross and tare.

    Raises RateError when the tare is above the gross weight. Example CV-4.3.

    >>> net_weight_milli(28_640_000, 12_380_000)
    16260000
    """
    if tare_milli < 0 or gross_milli < tare_milli:
        raise RateError(
            f"Gross {gross_milli / 1000:g} lb and tare {tare_milli / 1000:g} lb leave less than "
            "nothing. Check whether the two tickets are swapped."
        )
    return gross_milli - tare_milli


def counted_loads_milli(count: int, load_milli: int) -> int:
    """Return the amount of ``count`` equal loads in thousandths. Both must be 0 or more.

    >>> counted_loads_milli(10, 6_000_000)  # CV-4.5: ten loads of 3.0 tons
    60000000
    """
    if count < 0 or load_milli < 0:
        raise RateError(f"{count} loads of {load_milli / 1000:g} cannot be: use 0 or more.")
    return count * load_milli


def each_load_milli(total_milli: int, count: int | None) -> int:
    """Return the amount of one of several equal loads, in whole thousandths; no count is one load.

    >>> each_load_milli(60_000_000, 10), each_load_milli(6_000_000, None)
    (6000000, 6000000)
    """
    return total_milli // max(count or 1, 1)


def is_beyond_capacity(
    amount_milli: int, rated_milli: int, count: int | None, times: float
) -> bool:
    """Return whether an amount is more than ``times`` what its loads could hold at their rating.

    >>> is_beyond_capacity(60_000_001, 6_000_000, 1, 10)
    True
    >>> is_beyond_capacity(60_000_000, 6_000_000, 1, 10)
    False
    """
    return amount_milli > times * rated_milli * max(count or 1, 1)


def share_of_highest(rates_per_ac: Sequence[float]) -> list[float]:
    """Return each rate as a share (0 to 1) of the highest, for shading; nothing spread gives 0.

    >>> share_of_highest([4000, 8000])
    [0.5, 1.0]
    """
    most = max(rates_per_ac, default=0)
    return [rate / most if most else 0.0 for rate in rates_per_ac]


def meter_milli(start_milli: int, stop_milli: int) -> int:
    """Return what passed a meter between two readings, in thousandths of its unit.

    Raises RateError when the meter ran backwards.

    >>> meter_milli(120_000_000, 126_500_000)
    6500000
    """
    if stop_milli < start_milli:
        raise RateError(
            f"The meter reads {stop_milli / 1000:g} at the end and {start_milli / 1000:g} at the "
            "start: it went backwards. Check for a reset or swapped readings."
        )
    return stop_milli - start_milli


def swath_ac(width_ft: float, length_ft: float) -> float:
    """Return the acres of a strip of the given width and length in feet (both above 0).

    >>> round(swath_ac(22, 1450), 4)  # CV-4.3
    0.7323
    """
    _positive(width_ft, "The width", "ft")
    _positive(length_ft, "The length", "ft")
    return width_ft * length_ft / SQFT_PER_AC


def drive_length_ft(amount_milli: int, kind: Kind, width_ft: float, rate: float) -> float:
    """Return the feet to drive so that a load comes out at the wanted rate.

    ``rate`` in gallons (kind ``gal``) or tons (kind ``lb``) per acre. Source: WAC 173-308-270
    form, amount / width x 43,560 / rate.

    >>> round(drive_length_ft(3_000_000, "gal", 30, 6000), 1)
    726.0
    """
    _positive(width_ft, "The width", "ft")
    _positive(rate, "The wanted rate", rate_unit(kind))
    if amount_milli < 0:
        raise RateError(f"The amount is {amount_milli / 1000} {kind}; it cannot be below 0.")
    base = amount_milli / 1000 if kind == "gal" else amount_milli / 1000 / LB_PER_TON
    return base / width_ft * SQFT_PER_AC / rate


def split_exactly(total_milli: int, shares: Sequence[float | int | Decimal]) -> list[int]:
    """Return whole thousandths per share that add up to ``total_milli`` exactly.

    The rest after rounding down goes to the largest remainders, the earlier share first on a tie.
    Raises RateError for no shares, a share below 0 or not a number, or shares that are all 0.

    >>> split_exactly(10, [1, 1, 1])
    [4, 3, 3]
    """
    exact = []
    for share in shares:
        if not math.isfinite(share) or share < 0:
            raise RateError(f"A share of {share} cannot be; give 0 or more for each field.")
        exact.append(Fraction(share))
    whole = sum(exact, Fraction(0))
    if whole == 0:
        raise RateError("No field has a share of this load. Give acres or a weight drop for one.")
    parts = [total_milli * share / whole for share in exact]
    floors = [math.floor(part) for part in parts]
    order = sorted(range(len(parts)), key=lambda i: (floors[i] - parts[i], i))
    for i in order[: total_milli - sum(floors)]:
        floors[i] += 1
    return floors


def split_by_weight_drop(
    total_milli: int, start_stop_milli: Sequence[tuple[int, int]]
) -> list[int]:
    """Return a load's thousandths per field by scale weight at start and stop on each field.

    Raises RateError when a field's stop weight is above its start weight.

    >>> split_by_weight_drop(16_000, [(16_000, 10_000), (10_000, 0)])
    [6000, 10000]
    """
    return split_exactly(total_milli, [meter_drop(start, stop) for start, stop in start_stop_milli])


def meter_drop(start_milli: int, stop_milli: int) -> int:
    """Return the fall of a scale reading; raises RateError when the scale rose.

    >>> meter_drop(16_000, 10_000)
    6000
    """
    if stop_milli > start_milli:
        raise RateError(
            f"The scale rose from {start_milli / 1000:g} to {stop_milli / 1000:g} lb while "
            "spreading. A refill is a new load: split the record there."
        )
    return start_milli - stop_milli
