"""What a loaded spreader weighs, on the road and on the hitch."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .capacity import Axle, CapacityError
from .units import Kind


def load_weight_lb(amount_milli: int, kind: Kind, density_lb_per_gal: float | None = None) -> float:
    """Return the pounds of a load: as weighed, or gallons x density.

    ``amount_milli`` in thousandths of a gallon or pound, 0 or more. Raises CapacityError for
    gallons without a density, which must be above 0. Source: definition.

    >>> load_weight_lb(6_000_000, "gal", 8.4), load_weight_lb(16_000_000, "lb")
    (50400.0, 16000.0)
    """
    if amount_milli < 0:
        raise CapacityError(f"The load is {amount_milli / 1000:g}; it must be 0 or more.")
    if kind == "lb":
        return amount_milli / 1000
    if density_lb_per_gal is None or not density_lb_per_gal > 0:
        raise CapacityError(
            f"{amount_milli / 1000:g} gal have a weight only with a density above 0 lb/gal: weigh "
            "a five-gallon bucket (net pounds / 5)."
        )
    return amount_milli / 1000 * density_lb_per_gal


def road_load_lb(axles: Sequence[Axle], on_hitch: Sequence[bool]) -> tuple[float, float]:
    """Return the weight on the spreader's own wheels and the weight on the hitch, pounds.

    ``on_hitch`` says for each axle of :func:`capacity.axle_loads` whether it is the hitch. Raises
    CapacityError when the two do not fit. Source: definition.

    >>> from farmrecords.calculations.capacity import axle_loads
    >>> road_load_lb(axle_loads([2000, 10_000], 50_000, [0.1, 0.9]), [True, False])
    (55000.0, 7000.0)
    """
    if len(axles) != len(on_hitch) or not axles:
        raise CapacityError("Say for each axle whether it is the hitch.")
    if not all(math.isfinite(one.carried_lb) for one in axles):
        raise CapacityError("An axle's weight is not a number.")
    hitch = sum(one.carried_lb for one, held in zip(axles, on_hitch, strict=True) if held)
    return sum(one.carried_lb for one in axles) - hitch, hitch
