"""What a crop takes away, what yield is realistic, and how much nitrogen it still needs."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Literal

_FILE = resources.files("farmrecords.calculations") / "data" / "crop_removal.toml"
NUTRIENTS = ("n", "p2o5", "k2o")
LB_PER_AC_IN_PER_PPM = 0.2266
YieldRule = Literal["mean of best", "mean plus margin"]


class CropError(ValueError):
    """A crop figure that cannot be computed; the message names value and remedy."""


@dataclass(frozen=True)
class RemovalSet:
    """One set of removal figures with its source and how well it is known."""

    id: str
    title: str
    source: str
    evidence: str
    crops: Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True)
class Removal:
    """Pounds per acre taken away; None where the set states no figure."""

    n_lb_per_ac: float | None
    p2o5_lb_per_ac: float | None
    k2o_lb_per_ac: float | None


@lru_cache(maxsize=1)
def removal_sets() -> Mapping[str, RemovalSet]:
    """Return every set of removal figures by its name.

    >>> removal_sets()["montana"].evidence
    'read'
    """
    held = tomllib.loads(_FILE.read_text(encoding="utf-8"))
    return {one["id"]: RemovalSet(**one) for one in held["set"]}


def coefficient_range(set_id: str, crop: str, nutrient: str) -> tuple[float, float] | None:
    """Return both ends of pounds per unit of yield (equal where the set states one figure).

    None where the set states none. Raises CropError for an unknown set, crop or nutrient.

    >>> coefficient_range("ontario", "canola", "n"), coefficient_range("ontario", "dry bean", "n")
    ((2.0, 2.2), (2.5, 2.5))
    """
    if set_id not in removal_sets():
        raise CropError(f"No set {set_id!r}. Known: {', '.join(removal_sets())}.")
    crops = removal_sets()[set_id].crops
    if crop not in crops or nutrient not in NUTRIENTS:
        raise CropError(
            f"The set {set_id} has no {nutrient} for {crop!r}. Crops: {'; '.join(crops)}."
        )
    figure = crops[crop].get(nutrient)
    if figure is None:
        return None
    low, high = figure if isinstance(figure, list) else (figure, figure)
    return float(low), float(high)


def coefficient(set_id: str, crop: str, nutrient: str) -> float | None:
    """Return pounds per unit of yield; the middle of a range; None where the set states none.

    Raises CropError for an unknown set, crop or nutrient.

    >>> coefficient("midwest-older", "corn grain", "k2o"), coefficient("ontario", "canola", "n")
    (0.27, 2.1)
    """
    ends = coefficient_range(set_id, crop, nutrient)
    return None if ends is None else sum(ends) / 2


def removal(set_id: str, crop: str, yield_per_ac: float, share_taken: float = 1.0) -> Removal:
    """Return pounds per acre removed by a yield, times the share actually taken off the field.

    ``share_taken`` (0 to 1) is for straw and stover baled in part. Source: the set's own.

    >>> removal("midwest-older", "corn grain", 200).k2o_lb_per_ac  # CV-3.1
    54.0
    """
    if not (math.isfinite(yield_per_ac) and yield_per_ac >= 0 and 0 <= share_taken <= 1):
        raise CropError(
            f"A yield of {yield_per_ac} with a share of {share_taken} taken off cannot be: yield "
            "is 0 or more, the share lies between 0 and 1."
        )
    figures = (coefficient(set_id, crop, name) for name in NUTRIENTS)
    return Removal(*(None if f is None else f * yield_per_ac * share_taken for f in figures))


def removal_from_analysis_lb_per_ac(
    yield_ton_per_ac: float, dry_matter_pct: float, share_of_dry_matter_pct: float
) -> float:
    """Return pounds per acre removed, from the crop's own analysis.

    >>> round(removal_from_analysis_lb_per_ac(20, 35, 0.62), 1)  # CV-3.3
    86.8
    """
    if not (math.isfinite(yield_ton_per_ac) and yield_ton_per_ac >= 0):
        raise CropError(f"A yield of {yield_ton_per_ac} ton/ac cannot be; give 0 or more.")
    for value in (dry_matter_pct, share_of_dry_matter_pct):
        if not 0 <= value <= 100:
            raise CropError(f"{value} is no percentage between 0 and 100.")
    return yield_ton_per_ac * 2000 * dry_matter_pct / 100 * share_of_dry_matter_pct / 100


def realistic_yield(
    yields: Sequence[float], rule: YieldRule, best: int = 0, margin_pct: float = 0.0
) -> float:
    """Return the yield a plan may count on, from yields of earlier years.

    ``mean of best``: mean of the ``best`` highest (Iowa: best 4 of 5 county yields).
    ``mean plus margin``: mean of all plus a margin (Nebraska: 5 years + 5 %; Iowa: + 10 %). Years
    of unusual disaster are left out by the person, with the reason. Raises CropError without years.

    >>> realistic_yield([180, 200, 150, 190, 210], "mean of best", best=4)
    195.0
    >>> round(realistic_yield([180, 200, 150, 190, 210], "mean plus margin", margin_pct=5), 1)
    195.3
    """
    if not yields or not all(math.isfinite(y) and y >= 0 for y in yields):
        raise CropError("Give the yields of earlier years, each 0 or more.")
    if rule == "mean of best":
        if not 1 <= best <= len(yields):
            raise CropError(f"The best {best} of {len(yields)} yields cannot be taken.")
        chosen = sorted(yields, reverse=True)[:best]
        return sum(chosen) / best
    if not (math.isfinite(margin_pct) and margin_pct >= 0):
        raise CropError(f"A margin of {margin_pct} % cannot be; give 0 or more.")
    return sum(yields) / len(yields) * (1 + margin_pct / 100)


@dataclass(frozen=True)
class Need:
    """Nitrogen still needed, pounds per acre; the credits taken and those left out."""

    needed_lb_per_ac: float
    credits: Mapping[str, float]
    left_out: tuple[str, ...]


def nitrogen_need(
    recommended_lb_per_ac: float,
    credits_lb_per_ac: Mapping[str, float],
    already_in_recommendation: Sequence[str] = (),
) -> Need:
    """Return the nitrogen still needed after credits, never below 0.

    Credits named in ``already_in_recommendation`` (a rotation rate that already holds the legume
    effect) are not subtracted again. Source: ISU "don't double dip" (read), EQ392 (read).

    >>> nitrogen_need(195, {"soybean": 30}).needed_lb_per_ac  # CV-2.4
    165
    >>> nitrogen_need(124, {"soybean": 50}, ["soybean"]).needed_lb_per_ac
    124
    """
    if not (math.isfinite(recommended_lb_per_ac) and recommended_lb_per_ac >= 0):
        raise CropError(f"A recommendation of {recommended_lb_per_ac} lb/ac is not 0 or more.")
    for name, credit in credits_lb_per_ac.items():
        if not (math.isfinite(credit) and credit >= 0):
            raise CropError(f"The credit for {name} is {credit} lb/ac; it must be 0 or more.")
    taken = {k: v for k, v in credits_lb_per_ac.items() if k not in already_in_recommendation}
    left_out = tuple(k for k in credits_lb_per_ac if k in already_in_recommendation)
    return Need(max(0, recommended_lb_per_ac - sum(taken.values())), taken, left_out)


def irrigation_nitrogen_lb_per_ac(nitrate_n_ppm: float, inches: float) -> float:
    """Return nitrogen brought by irrigation water (0.2266 lb per acre-inch and ppm).

    Both 0 or more. Raises CropError.

    >>> round(irrigation_nitrogen_lb_per_ac(10, 12), 1)
    27.2
    """
    for value, what in ((nitrate_n_ppm, "nitrate N, ppm"), (inches, "inches of water")):
        if not (math.isfinite(value) and value >= 0):
            raise CropError(f"{what}: {value} cannot be; give 0 or more.")
    return nitrate_n_ppm * LB_PER_AC_IN_PER_PPM * inches
