"""Two plain tables: the original phosphorus matrix of 1993 and Minnesota's rate-basis table."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import resources
from typing import Any, Literal

from .p_index_vt_inputs import PIndexError

_FILE = resources.files("farmrecords.calculations") / "data" / "p_matrix.toml"
_TABLES: dict[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))
_LG, _MN = _TABLES["matrix_1993"], _TABLES["minnesota"]
LG_SOURCE: str = _LG["source"]
LG_WEIGHTS: dict[str, float] = _LG["weights"]
MN_SOURCE: str = _MN["source"]
Basis = Literal["N", "R", "none", "planner"]


def erosion_rating(erosion_ton_per_ac: float) -> int:
    """Return the 1993 rating of soil erosion; exactly 5, 10 or 15 t/ac takes the higher class.

    >>> [erosion_rating(tons) for tons in (4.9, 5, 10, 15)]
    [1, 2, 4, 8]
    """
    return _by_edges(erosion_ton_per_ac, _LG["erosion_from"])


def fertilizer_rate_rating(lb_p2o5_per_ac: float) -> int:
    """Return the 1993 rating of fertilizer P (whole pounds: 1-30, 31-90, 91-150, above).

    >>> [fertilizer_rate_rating(lb) for lb in (0, 30, 31, 150, 151)]
    [0, 1, 2, 4, 8]
    """
    return _by_pounds(lb_p2o5_per_ac, _LG["fertilizer_to"])


def organic_rate_rating(lb_p2o5_per_ac: float) -> int:
    """Return the 1993 rating of organic P (whole pounds: 1-30, 31-60, 61-90, above).

    >>> [organic_rate_rating(lb) for lb in (0, 30, 61, 90, 91)]
    [0, 1, 4, 4, 8]
    """
    return _by_pounds(lb_p2o5_per_ac, _LG["organic_to"])


def _by_edges(value: float, edges: Sequence[int]) -> int:
    if not (math.isfinite(value) and value >= 0):
        raise PIndexError(f"{value} cannot be rated; give a number of 0 or more.")
    return int(_LG["ratings"][1 + sum(value >= edge for edge in edges)])


def _by_pounds(value: float, tops: Sequence[int]) -> int:
    if not (math.isfinite(value) and value >= 0):
        raise PIndexError(f"{value} lb P2O5/ac cannot be rated; give 0 or more.")
    return 0 if value == 0 else int(_LG["ratings"][1 + sum(value > top for top in tops)])


@dataclass(frozen=True)
class LgResult:
    """The weighted sum of 1993 and its class; a teaching index, binding nowhere."""

    index: float
    risk_class: str
    parts: Mapping[str, float]


def p_index_lg(ratings: Mapping[str, int]) -> LgResult:
    """Return the 1993 index from a rating (0, 1, 2, 4 or 8) per factor.

    Classes: below 8 Low, below 15 Medium, up to 32 High, above Very High (the table leaves 14 to 15
    and 32 to 33 open). Raises PIndexError for a missing factor or another rating.

    >>> values = dict(zip(LG_WEIGHTS, (2, 0, 2, 4, 1, 1, 4, 2), strict=True))
    >>> p_index_lg(values).index, p_index_lg(values).risk_class  # case LG-1
    (15.25, 'High')
    """
    if set(ratings) != set(LG_WEIGHTS):
        raise PIndexError(f"Give one rating for each of: {'; '.join(LG_WEIGHTS)}.")
    for factor, rating in ratings.items():
        if rating not in _LG["ratings"]:
            raise PIndexError(f"{factor} is rated {rating}; ratings are 0, 1, 2, 4 and 8.")
    parts = {factor: LG_WEIGHTS[factor] * rating for factor, rating in ratings.items()}
    index = sum(parts.values())
    name = "Very High" if index > _LG["high_to"] else "High"
    if index < _LG["medium_below"]:
        name = "Low" if index < _LG["low_below"] else "Medium"
    return LgResult(index, name, parts)


@dataclass(frozen=True)
class MnResult:
    """N: nitrogen-need rate; R: P2O5-removal rate; none: no manure; planner: not settled."""

    basis: Basis
    words: str


def _mn_band(stp_ppm: float, extractant: str) -> int:
    tops: dict[str, list[int]] = _MN["bands"]
    if extractant not in tops or not (math.isfinite(stp_ppm) and stp_ppm >= 0):
        raise PIndexError(
            f"Soil-test P {stp_ppm} by {extractant!r}: give 0 or more ppm by Bray P1 or Olsen."
        )
    return sum(math.floor(stp_ppm + 0.5) > top for top in tops[extractant])


def mn_rate_basis(
    distance_ft: float,
    stp_ppm: float,
    extractant: str,
    erosion_ton_per_ac: float,
    filter_strip: bool,
    site_index: float | None = None,
) -> MnResult:
    """Return the rate basis of Minnesota's table; "planner" where the text does not settle it.

    Exactly 300 ft counts as near. ``site_index`` is the Minnesota P Site Risk Index, entered from
    its own procedure; up to 1.5 it opens the milder choice where the table offers one.

    >>> mn_rate_basis(250, 40, "Bray P1", 3, False).basis
    'R'
    >>> mn_rate_basis(250, 40, "Bray P1", 3, True).basis
    'N'
    """
    for value, what in ((distance_ft, "distance"), (erosion_ton_per_ac, "erosion")):
        if not (math.isfinite(value) and value >= 0):
            raise PIndexError(f"The {what} is {value}; it must be 0 or more.")
    band = _mn_band(stp_ppm, extractant)
    if erosion_ton_per_ac > _MN["most_erosion"]:
        return MnResult("none", f"Erosion above {_MN['most_erosion']} t/ac: no application.")
    low_index = site_index is not None and site_index <= _MN["index_to"]
    if distance_ft <= _MN["near_to_ft"]:
        return _mn_near(band, erosion_ton_per_ac, filter_strip, low_index)
    return _mn_far(band, erosion_ton_per_ac, filter_strip, low_index)


_REVIEW = (
    "Nitrogen rate; run the index if the site suggests that is too high "
    f"(above {_MN['index_to']}: removal)."
)


def _mn_choice(low_index: bool, mild: Basis, strict: Basis) -> MnResult:
    words = f"{strict}, or {mild} with a Minnesota P Site Risk Index up to {_MN['index_to']}."
    return MnResult(mild if low_index else strict, words)


def _mn_near(band: int, erosion: float, strip: bool, low_index: bool) -> MnResult:
    if band == 0:
        return MnResult("N", "Nitrogen rate.")
    if band == 1:
        return MnResult("N", _REVIEW) if strip else MnResult("R", "Removal rate.")
    if band == 2:
        return _mn_choice(low_index, "N", "R")
    if erosion < _MN["low_erosion_near"]:
        return MnResult("R", "Removal rate.") if strip else MnResult("none", "No application.")
    return _mn_choice(low_index, "R", "none")


def _mn_far(band: int, erosion: float, strip: bool, low_index: bool) -> MnResult:
    if band <= 1:
        return MnResult("N", _REVIEW)
    if band == 2:
        return MnResult("N", _REVIEW) if strip else _mn_choice(low_index, "N", "R")
    if erosion < _MN["low_erosion_far"]:
        if strip:
            return MnResult("N", _REVIEW)
        return MnResult("planner", "The table does not settle this cell: a planner decides.")
    return _mn_choice(low_index, "N", "R")
