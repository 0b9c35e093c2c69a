"""Two plain tables: the original phosphorus matrix of 1993 and Minnesota's rate-basis table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from .p_index_vt_inputs import PIndexError

LG_SOURCE = "Lemunyon and Gilbert 1993, J. Prod. Agric. 6:483-486 (from memory)"
LG_WEIGHTS = {
    "soil erosion": 1.5,
    "irrigation erosion": 1.5,
    "runoff class": 0.5,
    "soil P test": 1.0,
    "P fertilizer rate": 0.75,
    "P fertilizer method": 0.5,
    "organic P rate": 1.0,
    "organic P method": 1.0,
}
LG_RATINGS = (0, 1, 2, 4, 8)

MN_SOURCE = "Minnesota NRCS 590 plan template, P loss potential table (undated copy, read)"
Basis = Literal["N", "R", "none", "planner"]


def erosion_rating(erosion_ton_per_ac: float) -> int:
    """Return the 1993 rating of soil erosion; exactly 5, 10 or 15 t/ac takes the higher class.

    >>> [erosion_rating(tons) for tons in (4.9, 5, 10, 15)]
    [1, 2, 4, 8]
    """
    return _by_edges(erosion_ton_per_ac, (5, 10, 15), (1, 2, 4, 8))


def fertilizer_rate_rating(lb_p2o5_per_ac: float) -> int:
    """Return the 1993 rating of fertilizer P (whole pounds: 1-30, 31-90, 91-150, above).

    >>> [fertilizer_rate_rating(lb) for lb in (0, 30, 31, 150, 151)]
    [0, 1, 2, 4, 8]
    """
    return _by_pounds(lb_p2o5_per_ac, (30, 90, 150))


def organic_rate_rating(lb_p2o5_per_ac: float) -> int:
    """Return the 1993 rating of organic P (whole pounds: 1-30, 31-60, 61-90, above).

    >>> [organic_rate_rating(lb) for lb in (0, 30, 61, 90, 91)]
    [0, 1, 4, 4, 8]
    """
    return _by_pounds(lb_p2o5_per_ac, (30, 60, 90))


def _by_edges(value: float, edges: tuple[int, ...], ratings: tuple[int, ...]) -> int:
    if not (math.isfinite(value) and value >= 0):
        raise PIndexError(f"{value} cannot be rated; give a number of 0 or more.")
    return ratings[sum(value >= edge for edge in edges)]


def _by_pounds(value: float, tops: tuple[int, ...]) -> int:
    if not (math.isfinite(value) and value >= 0):
        raise PIndexError(f"{value} lb P2O5/ac cannot be rated; give 0 or more.")
    return 0 if value == 0 else (1, 2, 4, 8)[sum(value > top for top in tops)]


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
        if rating not in LG_RATINGS:
            raise PIndexError(f"{factor} is rated {rating}; ratings are 0, 1, 2, 4 and 8.")
    parts = {factor: LG_WEIGHTS[factor] * rating for factor, rating in ratings.items()}
    index = sum(parts.values())
    name = (
        "Low" if index < 8 else "Medium" if index < 15 else "High" if index <= 32 else "Very High"
    )
    return LgResult(index, name, parts)


@dataclass(frozen=True)
class MnResult:
    """N: nitrogen-need rate; R: P2O5-removal rate; none: no manure; planner: not settled."""

    basis: Basis
    words: str


def _mn_band(stp_ppm: float, extractant: str) -> int:
    tops = {"Bray P1": (21, 75, 150), "Olsen": (16, 60, 120)}
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
    if erosion_ton_per_ac > 6:
        return MnResult("none", "Erosion above 6 t/ac: no application.")
    low_index = site_index is not None and site_index <= 1.5
    if distance_ft <= 300:
        return _mn_near(band, erosion_ton_per_ac, filter_strip, low_index)
    return _mn_far(band, erosion_ton_per_ac, filter_strip, low_index)


_REVIEW = "Nitrogen rate; run the index if the site suggests that is too high (above 1.5: removal)."


def _mn_choice(low_index: bool, mild: Basis, strict: Basis) -> MnResult:
    words = f"{strict}, or {mild} with a Minnesota P Site Risk Index of 1.5 or less."
    return MnResult(mild if low_index else strict, words)


def _mn_near(band: int, erosion: float, strip: bool, low_index: bool) -> MnResult:
    if band == 0:
        return MnResult("N", "Nitrogen rate.")
    if band == 1:
        return MnResult("N", _REVIEW) if strip else MnResult("R", "Removal rate.")
    if band == 2:
        return _mn_choice(low_index, "N", "R")
    if erosion < 2:
        return MnResult("R", "Removal rate.") if strip else MnResult("none", "No application.")
    return _mn_choice(low_index, "R", "none")


def _mn_far(band: int, erosion: float, strip: bool, low_index: bool) -> MnResult:
    if band <= 1:
        return MnResult("N", _REVIEW)
    if band == 2:
        return MnResult("N", _REVIEW) if strip else _mn_choice(low_index, "N", "R")
    if erosion < 4:
        if strip:
            return MnResult("N", _REVIEW)
        return MnResult("planner", "The table does not settle this cell: a planner decides.")
    return _mn_choice(low_index, "N", "R")
