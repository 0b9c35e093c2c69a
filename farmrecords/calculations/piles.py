"""Solid manure in piles, windrows and open-sided stacks: sizes, volume, weight."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .rate import LB_PER_TON

STACK_SLOPE = 1.5  # feet out per foot up, the free sides of a stack
STACK_MOST_HIGH_FT = 7.0
STACK_SIDE_FREEBOARD_FT = 6.0
STACK_END_FREEBOARD_FT = 12.0
STACK_SOURCE = "NRCS Alabama AL-ENG-25G, July 2001"
PILE_SOURCE = "Alberta Nutrient Management Planning Guide, Agdex 400/28-3 pp. 129-130"


class PileError(ValueError):
    """A pile that cannot be; the message names size and remedy."""


def _above_zero(**sizes: float) -> None:
    for name, size in sizes.items():
        if not (math.isfinite(size) and size > 0):
            raise PileError(f"The {name} is {size}; it must be above 0.")


def diameter_of_round(circumference_ft: float) -> float:
    """Return the diameter of a round pile from the tape around its foot: circumference / pi.

    Feet, above 0. Raises PileError. Source: Agdex 400/28-3 p. 129 (read).

    >>> round(diameter_of_round(62.83), 2)
    20.0
    """
    _above_zero(circumference=circumference_ft)
    return circumference_ft / math.pi


def diameter_of_windrow(bottom_length_ft: float, top_length_ft: float, width_ft: float) -> float:
    """Return the working diameter of a windrow: (bottom length - top length + width) / 2.

    Feet; the top is not longer than the bottom. Raises PileError. Source: Agdex 400/28-3 p. 130
    (read).

    >>> diameter_of_windrow(110, 90, 20)
    20.0
    """
    _above_zero(**{"bottom length": bottom_length_ft, "width": width_ft})
    if not 0 <= top_length_ft <= bottom_length_ft:
        raise PileError(
            f"A top of {top_length_ft} ft does not fit a bottom of {bottom_length_ft} ft: give 0 "
            "up to the length of the bottom."
        )
    return (bottom_length_ft - top_length_ft + width_ft) / 2


def mean_length_ft(bottom_length_ft: float, top_length_ft: float) -> float:
    """Return the length of a windrow with sloping ends: the mean of bottom and top.

    Raises PileError as :func:`diameter_of_windrow`. Source: common practice.

    >>> mean_length_ft(110, 90)
    100.0
    """
    diameter_of_windrow(bottom_length_ft, top_length_ft, 1)  # refuses what cannot be
    return (bottom_length_ft + top_length_ft) / 2


def windrow_cuft(width_ft: float, height_ft: float, length_ft: float) -> float:
    """Return the volume of a windrow with half an ellipse as its section, pi W h L / 4.

    Feet, above 0. Raises PileError. Source: standard geometry (memory).

    >>> round(windrow_cuft(14, 7, 100))  # half of a circle of 14 ft, 100 ft long
    7697
    """
    _above_zero(width=width_ft, height=height_ft, length=length_ft)
    return math.pi * width_ft * height_ft * length_ft / 4


def pile_ton(volume_cuft: float, lb_per_cuft: float) -> float:
    """Return tons from volume and bulk density (pounds per cubic foot). Source: Agdex (read).

    >>> pile_ton(1000, 55)
    27.5
    """
    _above_zero(volume=volume_cuft, **{"bulk density": lb_per_cuft})
    return volume_cuft * lb_per_cuft / LB_PER_TON


@dataclass(frozen=True)
class OpenStack:
    """A stack with three open sides: area of its section, its length, length of the building."""

    section_sqft: float
    stack_length_ft: float
    building_length_ft: float


def open_sided_stack(
    volume_cuft: float,
    building_width_ft: float,
    height_ft: float,
    side_freeboard_ft: float = STACK_SIDE_FREEBOARD_FT,
    end_freeboard_ft: float = STACK_END_FREEBOARD_FT,
) -> OpenStack:
    """Return how long a roofed stack with three open sides must be for a volume.

    Section = height x (width - 2 side freeboards) - 1.5 height^2; stack length = volume / section
    + 0.75 height; building = stack + end freeboard. Height at most 7 ft; side freeboard 6 ft
    without siding, end freeboard 12 ft. Raises PileError where the free slopes leave no section.
    Source: AL-ENG-25G (read).

    >>> found = open_sided_stack(8400, 40, 5)  # 5 x (40 - 12) - 1.5 x 25 = 102.5
    >>> found.section_sqft, round(found.stack_length_ft, 2), round(found.building_length_ft, 2)
    (102.5, 85.7, 97.7)
    """
    _above_zero(volume=volume_cuft, width=building_width_ft, height=height_ft)
    if height_ft > STACK_MOST_HIGH_FT:
        raise PileError(f"A stack of {height_ft} ft is above {STACK_MOST_HIGH_FT:g} ft.")
    if not (side_freeboard_ft >= 0 and end_freeboard_ft >= 0):
        raise PileError("The freeboards at sides and end are 0 or more.")
    section = height_ft * (building_width_ft - 2 * side_freeboard_ft) - STACK_SLOPE * height_ft**2
    if section <= 0:
        raise PileError(
            f"{building_width_ft:g} ft of width leave no section at {height_ft:g} ft of height: "
            "take a wider building or a lower stack."
        )
    length = volume_cuft / section + STACK_SLOPE / 2 * height_ft
    return OpenStack(section, length, length + end_freeboard_ft)
