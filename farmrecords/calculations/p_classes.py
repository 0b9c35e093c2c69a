"""Class rules for index values that a planner enters: Iowa, Wisconsin, Maryland.

These procedures cannot be computed from what is published; the official value is entered with its
version, date and document, and classed by the procedure's own rule.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from statistics import fmean
from typing import Any

from .p_index_vt_inputs import PIndexError

_FILE = resources.files("farmrecords.calculations") / "data" / "p_classes.toml"


@dataclass(frozen=True)
class IndexClass:
    """The class of an entered value, what it permits, and how well the rule is known.

    ``name`` is "planner" where the rule does not settle the value; ``value`` is what was classed.
    """

    name: str
    meaning: str
    value: float
    evidence: str
    source: str


@lru_cache(maxsize=1)
def _held() -> Mapping[str, Any]:
    held: Mapping[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))
    return held


def class_rules() -> Mapping[str, Mapping[str, Any]]:
    """Return the class rule of each procedure by its short name.

    >>> sorted(class_rules())
    ['IA', 'MD', 'WI']
    """
    return {one["id"]: one for one in _held()["procedure"]}


def _number(value: float, what: str) -> float:
    if not (math.isfinite(value) and value >= 0):
        raise PIndexError(f"{what} is {value}; it must be 0 or more.")
    return value


def _placed(procedure: Mapping[str, Any], value: float) -> IndexClass:
    one = next(c for c in procedure["classes"] if "to" not in c or value <= c["to"])
    return IndexClass(one["name"], one["meaning"], value, one["evidence"], procedure["source"])


def iowa_class(index: float) -> IndexClass:
    """Return the class of an Iowa index (0 or more, as entered); each limit belongs to its class.

    >>> [iowa_class(value).name for value in (1, 2, 5, 15, 15.1)]
    ['Very low', 'Low', 'Medium', 'High', 'Very high']
    """
    return _placed(class_rules()["IA"], _number(index, "The index"))


def wisconsin_class(index_of_years: Sequence[float]) -> IndexClass:
    """Return the class of a rotation by the mean of its yearly index values (up to 8 years).

    The mean is compared unrounded with 6; from above 6.0 to below 6.5 the rounding of the mean is
    not known and a planner decides. Raises PIndexError without years or with more than the rule's.

    >>> [wisconsin_class(years).name for years in ([4, 8], [4, 8.2], [6, 7])]
    ['At or below 6', 'planner', 'Above 6']
    """
    rule = class_rules()["WI"]
    if not 1 <= len(index_of_years) <= rule["most_years"]:
        raise PIndexError(
            f"A rotation has 1 to {rule['most_years']} years; {len(index_of_years)} are given."
        )
    mean = fmean(_number(one, "A yearly index") for one in index_of_years)
    if rule["limit"] < mean < rule["unclear_below"]:
        meaning = f"A mean of {mean:.2f} may round to {rule['limit']:g}: a planner decides."
        return IndexClass("planner", meaning, mean, rule["evidence"], rule["source"])
    return _placed(rule, mean)


def maryland_class(score: float, fertility_index: float | None = None) -> IndexClass:
    """Return the class of a Maryland score, rounded to a whole number.

    With a P fertility index value below 150 the tool is not asked for. The numeric classes are from
    memory: confirm them before use.

    >>> [maryland_class(score).name for score in (50, 51, 100, 101)]
    ['Low', 'Medium', 'Medium', 'High']
    >>> maryland_class(80, fertility_index=149).name
    'Not asked for'
    """
    rule = class_rules()["MD"]
    _number(score, "The score")
    if fertility_index is not None and _number(fertility_index, "FIV") < rule["screening_fiv"]:
        return IndexClass(
            "Not asked for", "Below a P fertility index of 150 nitrogen decides.", score, "read",
            rule["source"],
        )  # fmt: skip
    return _placed(rule, float(math.floor(score + 0.5)))


def maryland_tiers() -> Mapping[str, float]:
    """Return the fertility index from which each tier begins; fields above the lowest count.

    >>> dict(maryland_tiers())
    {'A': 150.0, 'B': 300.0, 'C': 450.0}
    """
    return {tier["name"]: float(tier["from"]) for tier in _held()["maryland_tier"]}


def maryland_tier(fertility_index_of_fields: Sequence[float]) -> str:
    """Return the farm's tier (A, B, C) by the mean of its fields above 150; "" when none is.

    >>> maryland_tier([120, 200, 500]), maryland_tier([150])
    ('B', '')
    """
    tiers = _held()["maryland_tier"]
    above = [v for v in fertility_index_of_fields if _number(v, "FIV") > tiers[0]["from"]]
    if not above:
        return ""
    mean = fmean(above)
    return str([tier["name"] for tier in tiers if mean >= tier["from"]][-1])
