"""Classes of further phosphorus procedures by whole-number bands; the values are entered."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import Any

from .p_classes import IndexClass
from .p_index_vt_inputs import PIndexError

_FILE = resources.files("farmrecords.calculations") / "data" / "p_classes_more.toml"


@lru_cache(maxsize=1)
def band_rules() -> Mapping[str, Mapping[str, Any]]:
    """Return the procedures classed by bands, by their short name.

    >>> sorted(band_rules())
    ['OH', 'VA']
    """
    rows = tomllib.loads(_FILE.read_text(encoding="utf-8"))["procedure"]
    return {one["id"]: one for one in rows}


def _in_band(band: Mapping[str, Any], value: float) -> bool:
    if "above" in band:
        return bool(value > band["above"])
    upper = value < band["below"] if "below" in band else value <= band["to"]
    return bool(value >= band["from"] and upper)


def band_class(procedure: str, value: float) -> IndexClass:
    """Return the class of an entered value by the bands of its procedure.

    A value between two bands is "planner": the bands are whole numbers and their rounding is not
    known. Raises PIndexError for an unknown procedure or a value below 0.

    >>> [band_class("OH", value).name for value in (14.9, 15, 30.5, 45, 45.1)]
    ['Low', 'Moderate', 'planner', 'High', 'Very high']
    """
    if procedure not in band_rules():
        raise PIndexError(f"No class rule for {procedure!r}. Held: {', '.join(band_rules())}.")
    if not (math.isfinite(value) and value >= 0):
        raise PIndexError(f"The index is {value}; it must be 0 or more.")
    rule = band_rules()[procedure]
    for band in rule["bands"]:
        if _in_band(band, value):
            return IndexClass(
                band["name"], band["meaning"], value, band["evidence"], rule["source"]
            )
    meaning = f"{value:g} lies between two classes of whole numbers: a planner decides."
    return IndexClass("planner", meaning, value, rule["evidence"], rule["source"])
