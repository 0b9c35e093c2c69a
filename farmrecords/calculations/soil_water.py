"""Water the soil holds for plants, from texture or soil survey, less salt and rock fragments."""

from __future__ import annotations

import math
import tomllib
from importlib import resources
from typing import Any

_FILE = resources.files("farmrecords.calculations") / "data" / "soil_water.toml"
TABLES: dict[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))
SOURCE: str = TABLES["source"]
TEXTURES: tuple[str, ...] = tuple(TABLES["inches_per_inch"])
MOST_IN_PER_IN = 0.35


class SoilWaterError(ValueError):
    """A soil whose water cannot be told; the message names value and range."""


def capacity_range(texture: str) -> tuple[float, float]:
    """Return both ends of the available water capacity of a texture, inches per inch of soil.

    Raises SoilWaterError for a texture the table lacks. Source: Missouri (read).

    >>> capacity_range("sandy loam")
    (0.09, 0.11)
    """
    rows = TABLES["inches_per_inch"]
    if texture not in rows:
        raise SoilWaterError(
            f"No figure for {texture!r}. Held: {', '.join(rows)}. Take others from the soil survey."
        )
    low, high = rows[texture]
    return float(low), float(high)


def share_lost_to_salt(mmhos: float) -> float:
    """Return the share of the water that salt takes away, straight between the table's rows.

    0 to 20 mmhos/cm; above it the table ends. Raises SoilWaterError. Source: Missouri (read).

    >>> [round(share_lost_to_salt(value), 2) for value in (4, 6, 20)]
    [0.1, 0.15, 0.6]
    """
    steps, shares = TABLES["salt"]["mmhos"], TABLES["salt"]["share_lost"]
    if not steps[0] <= mmhos <= steps[-1]:
        raise SoilWaterError(f"A salt of {mmhos} mmhos/cm is outside the table, 0 to 20.")
    at = max(i for i, step in enumerate(steps) if step <= mmhos)
    if at == len(steps) - 1:
        return float(shares[-1])
    part = (mmhos - steps[at]) / (steps[at + 1] - steps[at])
    return float(shares[at] + part * (shares[at + 1] - shares[at]))


def held_in(
    capacity_in_per_in: float, depth_in: float, rock_pct: float = 0.0, mmhos: float = 0.0
) -> float:
    """Return inches of water the top of a soil holds for plants when full.

    Capacity x depth, less rock fragments (in proportion to their volume) and salt. Capacity above 0
    to 0.35, depth above 0 in, rock 0 to 100 %. Raises SoilWaterError. Source: Missouri (read).

    >>> round(held_in(0.10, 24, rock_pct=25, mmhos=4), 3)  # 2.4 x 0.75 x 0.9
    1.62
    """
    if not 0 < capacity_in_per_in <= MOST_IN_PER_IN:
        raise SoilWaterError(
            f"A capacity of {capacity_in_per_in} in/in is not above 0 and up to {MOST_IN_PER_IN}."
        )
    if not (math.isfinite(depth_in) and depth_in > 0):
        raise SoilWaterError(f"A soil depth of {depth_in} in cannot be; give more than 0.")
    if not 0 <= rock_pct <= 100:
        raise SoilWaterError(f"Rock fragments of {rock_pct} % are not 0 to 100 %.")
    stones = 1 - rock_pct / 100
    return capacity_in_per_in * depth_in * stones * (1 - share_lost_to_salt(mmhos))


def lacking_in(held_in: float, available_pct: float) -> float:
    """Return inches the soil lacks to being full at so many per cent of its available water.

    Raises SoilWaterError below 0 inches and outside 0 to 100 %. Source: AWC deficit, definition.

    >>> lacking_in(2.4, 75)
    0.6
    """
    if not 0 <= available_pct <= 100:
        raise SoilWaterError(f"Available water of {available_pct} % is not 0 to 100 %.")
    if not (math.isfinite(held_in) and held_in >= 0):
        raise SoilWaterError(f"A soil that holds {held_in} in cannot be; give 0 or more.")
    return held_in * (100 - available_pct) / 100
