"""Nitrogen recommendations by yield goal or rotation, and a planned yield against its ceiling."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Literal

from .crop_need import CropError

_FILE = resources.files("farmrecords.calculations") / "data" / "recommendation.toml"
Kind = Literal["yield_goal", "rotation", "legume"]


@lru_cache(maxsize=1)
def _held() -> Mapping[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


def rules(kind: Kind) -> Mapping[str, Mapping[str, Any]]:
    """Return the rules of one kind by name, each with its figures, source and evidence.

    >>> rules("rotation")["iowa-corn-after-corn"]["n_lb_per_ac"]
    181.0
    """
    return {one["id"]: one for one in _held()[kind]}


def by_yield_goal_lb_per_ac(rule_id: str, yield_goal_bu_per_ac: float) -> float:
    """Return the nitrogen of a corn yield goal before credits: base + pounds per bushel x goal.

    Goal 0 or more. Raises CropError. Source: the rule's own (read).

    >>> by_yield_goal_lb_per_ac("nebraska-simple", 180), by_yield_goal_lb_per_ac("iowa-high", 180)
    (251.0, 216.0)
    """
    if rule_id not in rules("yield_goal"):
        raise CropError(f"No rule {rule_id!r}. Known: {', '.join(rules('yield_goal'))}.")
    if not (math.isfinite(yield_goal_bu_per_ac) and yield_goal_bu_per_ac >= 0):
        raise CropError(f"A yield goal of {yield_goal_bu_per_ac} cannot be; give 0 or more.")
    rule = rules("yield_goal")[rule_id]
    return float(rule["base_lb_per_ac"] + rule["lb_per_bu"] * yield_goal_bu_per_ac)


def by_rotation_lb_per_ac(rule_id: str) -> float:
    """Return the nitrogen of an economic rate by rotation; the legume is already in it.

    Raises CropError for an unknown rule. Source: the rule's own (read), at its own price ratio.

    >>> by_rotation_lb_per_ac("iowa-corn-after-soybean")
    124.0
    """
    if rule_id not in rules("rotation"):
        raise CropError(f"No rotation {rule_id!r}. Known: {', '.join(rules('rotation'))}.")
    return float(rules("rotation")[rule_id]["n_lb_per_ac"])


def legume_credit_lb_per_ac(rule_id: str) -> tuple[float, float]:
    """Return both ends of a legume's published nitrogen credit, pounds per acre.

    Raises CropError for an unknown rule. Source: the rule's own (read).

    >>> legume_credit_lb_per_ac("nebraska-alfalfa-good")
    (80.0, 120.0)
    """
    if rule_id not in rules("legume"):
        raise CropError(f"No legume {rule_id!r}. Known: {', '.join(rules('legume'))}.")
    low, high = rules("legume")[rule_id]["credit_lb_per_ac"]
    return float(low), float(high)


@dataclass(frozen=True)
class AgainstCeiling:
    """A planned yield beside the highest one the rule allows; ``above`` is 0 within it."""

    planned_per_ac: float
    ceiling_per_ac: float
    above_per_ac: float

    @property
    def is_within(self) -> bool:
        """Whether the planned yield is no higher than the ceiling."""
        return self.above_per_ac == 0


def against_ceiling(planned_per_ac: float, ceiling_per_ac: float) -> AgainstCeiling:
    """Return a planned yield against the computed ceiling (see crop_need.realistic_yield).

    One unit of the crop for both, 0 or more. Exactly the ceiling is within. Raises CropError.
    Source: realistic-yield rules of Iowa and Nebraska (read).

    >>> against_ceiling(200, 195).above_per_ac, against_ceiling(195, 195).is_within
    (5, True)
    """
    for value, what in ((planned_per_ac, "planned yield"), (ceiling_per_ac, "ceiling")):
        if not (math.isfinite(value) and value >= 0):
            raise CropError(f"The {what} is {value}; it must be 0 or more.")
    above = planned_per_ac - ceiling_per_ac
    # the last digits of a mean are no yield: one billionth is not above
    return AgainstCeiling(
        planned_per_ac, ceiling_per_ac, above if above > 1e-9 * ceiling_per_ac else 0.0
    )
