"""New York P Runoff Index of 2001/2003: the larger of a dissolved and a particulate product.

Structure and source formula are read; the weights and transport tables are from memory and must be
confirmed against Cornell CSS Extension E03-13 before a finding rests on them.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import resources
from typing import Any

from .p_index_vt_inputs import PIndexError

_FILE = resources.files("farmrecords.calculations") / "data" / "p_index_ny.toml"
TABLES: dict[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))
SOURCE: str = TABLES["source"]
EVIDENCE: str = TABLES["evidence"]
TIMING: dict[str, float] = TABLES["timing"]
METHOD: dict[str, float] = TABLES["method"]
FLOODING: dict[str, float] = TABLES["flooding"]
DRAINAGE: dict[str, float] = TABLES["drainage"]
STREAMS: dict[str, list[float]] = TABLES["streams"]


@dataclass(frozen=True)
class NyApplication:
    """One application: pounds of P2O5 per acre, when, how."""

    rate_lb_p2o5_per_ac: float
    timing: str
    method: str


@dataclass(frozen=True)
class NyInputs:
    """What the index asks for. ``watercourses`` holds kind and feet along the flow path."""

    morgan_p_lb_per_ac: float
    manure: Sequence[NyApplication]
    fertilizer: Sequence[NyApplication]
    drainage: str
    flooding: str
    watercourses: Sequence[tuple[str, float]]
    erosion_ton_per_ac: float
    concentrated_flow: bool


@dataclass(frozen=True)
class NyResult:
    """The index (the larger of the two products), its class and its parts."""

    index: float
    risk_class: str
    source_score: float
    flow_distance: float
    dissolved_transport: float
    particulate_transport: float
    dissolved_index: float
    particulate_index: float


def _value(table: Mapping[str, float], word: str) -> float:
    if word not in table:
        raise PIndexError(f"{word!r} is not known here. Use: {'; '.join(table)}.")
    return table[word]


def _scored(applications: Sequence[NyApplication]) -> float:
    for one in applications:
        if not (math.isfinite(one.rate_lb_p2o5_per_ac) and one.rate_lb_p2o5_per_ac >= 0):
            raise PIndexError(f"A rate of {one.rate_lb_p2o5_per_ac} lb P2O5/ac cannot be.")
    return sum(
        one.rate_lb_p2o5_per_ac * _value(TIMING, one.timing) * _value(METHOD, one.method)
        for one in applications
    )


def flow_distance(kind: str, feet: float) -> float:
    """Return the flow-distance term, 1 near the stream to 0 far from it.

    >>> round(flow_distance("intermittent", 150), 6)
    0.285714
    """
    if kind not in STREAMS or not feet >= 0:
        raise PIndexError(f"A watercourse is intermittent or perennial, at 0 ft or more: {kind!r}.")
    near, far = STREAMS[kind]
    return 1.0 if feet < near else 0.0 if feet > far else 1 - (feet - near) / (far - near)


def risk_class(index: float) -> str:
    """Return the class of the index rounded to a whole number (the rounding is not stated).

    >>> [risk_class(value) for value in (49.4, 49.5, 74.5, 99.5)]
    ['Low', 'Medium', 'High', 'Very High']
    """
    if not (math.isfinite(index) and index >= 0):
        raise PIndexError(f"An index of {index} cannot be; it must be 0 or more.")
    whole = math.floor(index + 0.5)
    return str(next(r["name"] for r in TABLES["classes"] if whole < r.get("below", math.inf)))


def p_index_ny(inputs: NyInputs) -> NyResult:
    """Return the New York P Runoff Index of one field.

    Soil test is Cornell Morgan P in lb/ac. Raises PIndexError.

    >>> field = NyInputs(60, [], [], "well or excessively", "rare or never",
    ...                  [("intermittent", 24)], 6, True)
    >>> p_index_ny(field).index, p_index_ny(field).risk_class  # case NY-4
    (75.0, 'High')
    """
    if not (inputs.morgan_p_lb_per_ac >= 0 and inputs.erosion_ton_per_ac >= 0):
        raise PIndexError("Morgan P and erosion must be numbers of 0 or more.")
    weight, move = TABLES["source_score"], TABLES["transport"]
    source = weight["soil_test"] * inputs.morgan_p_lb_per_ac
    source += weight["manure"] * _scored(inputs.manure) + _scored(inputs.fertilizer)
    near = max((flow_distance(kind, feet) for kind, feet in inputs.watercourses), default=0.0)
    flooding = _value(FLOODING, inputs.flooding)
    dissolved = min(1.0, _value(DRAINAGE, inputs.drainage) + flooding + near)
    particulate = min(
        1.0,
        move["erosion"] * inputs.erosion_ton_per_ac
        + flooding
        + near
        + (move["concentrated_flow"] if inputs.concentrated_flow else 0.0),
    )
    index = max(source * dissolved, source * particulate)
    return NyResult(
        index,
        risk_class(index),
        source,
        near,
        dissolved,
        particulate,
        source * dissolved,
        source * particulate,
    )
