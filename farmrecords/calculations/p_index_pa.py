"""Pennsylvania P Index version 2: screening, source factor, transport factor, index."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import resources
from typing import Any

from .p_index_vt_inputs import PIndexError

_FILE = resources.files("farmrecords.calculations") / "data" / "p_index_pa.toml"
TABLES: dict[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))
SOURCE: str = TABLES["source"]


@dataclass(frozen=True)
class PaApplication:
    """One application: pounds of P2O5 per acre, method, source coefficient (fertilizer 1)."""

    rate_lb_p2o5_per_ac: float
    method: str
    source_coefficient: float = 1.0


@dataclass(frozen=True)
class PaInputs:
    """What part B asks for one crop management unit.

    ``buffer_ft`` is the width of a vegetated buffer; ``riparian`` says it is a riparian buffer.
    """

    m3p_ppm: float
    fertilizer: Sequence[PaApplication]
    manure: Sequence[PaApplication]
    erosion_ton_per_ac: float
    drainage: str
    subsurface: str
    distance_ft: float
    buffer_ft: float = 0.0
    connectivity: str = "grassed waterway or none"


@dataclass(frozen=True)
class PaResult:
    """The index with every intermediate.

    Where the worksheet allows two readings, ``stricter_index`` and ``milder_index`` hold both and a
    note says which one ``index`` takes; else they are None. ``class_evidence`` says how well it is
    known what the class allows.
    """

    index: float
    risk_class: str
    soil_rating: float
    fertilizer_rating: float
    manure_rating: float
    source_factor: float
    distance_rating: float
    transport_sum: float
    transport_factor: float
    class_evidence: str = "read"
    stricter_index: float | None = None
    milder_index: float | None = None
    notes: tuple[str, ...] = ()


def needs_part_b(
    m3p_ppm: float, distance_ft: float, special_watershed: bool, significant_change: bool
) -> bool:
    """Return whether the full index is needed (any of four questions answered yes).

    >>> needs_part_b(200, 150, False, False), needs_part_b(201, 150, False, False)
    (False, True)
    """
    for value, what in ((m3p_ppm, "Mehlich-3 P"), (distance_ft, "distance")):
        if not (math.isfinite(value) and value >= 0):
            raise PIndexError(f"A {what} of {value} cannot be; give 0 or more.")
    screen = TABLES["screening"]
    return bool(
        special_watershed
        or significant_change
        or m3p_ppm > screen["m3p_above_ppm"]
        or distance_ft < screen["distance_below_ft"]
    )


def source_coefficient_of_wep(wep_g_per_kg: float) -> float:
    """Return the source coefficient from water-extractable P (g/kg, dry), at most 1.

    >>> round(source_coefficient_of_wep(4.0), 3)
    0.402
    """
    if not (math.isfinite(wep_g_per_kg) and wep_g_per_kg >= 0):
        raise PIndexError(f"Water-extractable P of {wep_g_per_kg} g/kg cannot be; give 0 or more.")
    const = TABLES["constants"]
    return float(min(1.0, const["wep_factor"] * wep_g_per_kg ** const["wep_exponent"]))


def _rating(table: str, word: str) -> float:
    rows: Mapping[str, float] = TABLES[table]
    if word not in rows:
        raise PIndexError(f"{word!r} is no {table} of this index. Use: {'; '.join(rows)}.")
    return rows[word]


def application_rating(applications: Sequence[PaApplication]) -> float:
    """Return the sum of rate x method x source coefficient.

    >>> spread = PaApplication(87, "not incorporated within 1 week, April - October", 0.8)
    >>> round(application_rating([spread]), 2)
    41.76
    """
    total = 0.0
    for one in applications:
        if not (math.isfinite(one.rate_lb_p2o5_per_ac) and one.rate_lb_p2o5_per_ac >= 0):
            raise PIndexError(f"A rate of {one.rate_lb_p2o5_per_ac} lb P2O5/ac cannot be.")
        if not 0 <= one.source_coefficient <= 1:
            raise PIndexError(f"A source coefficient of {one.source_coefficient} is not 0 to 1.")
        total += one.rate_lb_p2o5_per_ac * _rating("method", one.method) * one.source_coefficient
    return total


def distance_rating(distance_ft: float, buffer_ft: float = 0.0) -> float:
    """Return the rating of the contributing distance; measured feet are cut to whole feet.

    Below 100 ft a 35-ft buffer lowers 9 to 6.

    >>> [distance_rating(ft) for ft in (501, 500, 349.9, 100, 99.9)]
    [0.0, 2.0, 4.0, 6.0, 9.0]
    """
    for feet, what in ((distance_ft, "distance"), (buffer_ft, "buffer")):
        if not (math.isfinite(feet) and feet >= 0):
            raise PIndexError(f"A {what} of {feet} ft cannot be; give 0 or more.")
    whole, table = math.floor(distance_ft), TABLES["distance"]
    if whole < table["near_ft"] and buffer_ft >= table["buffer_ft"]:
        return float(table["buffered"])
    return float(next(rating for least, rating in table["rows"] if whole >= least))


def _check_connectivity(inputs: PaInputs) -> None:
    near, feet = TABLES["distance"]["near_ft"], math.floor(inputs.distance_ft)
    if inputs.connectivity == "50-ft riparian buffer":
        if feet >= near or inputs.buffer_ft < TABLES["distance"]["riparian_ft"]:
            raise PIndexError(
                "The riparian buffer counts only below 100 ft and from 50 ft of buffer; given are "
                f"{inputs.distance_ft:g} ft and a buffer of {inputs.buffer_ft:g} ft."
            )
    elif inputs.connectivity == "direct connection" and feet <= near:
        raise PIndexError(
            f"A direct connection counts only above 100 ft; the distance is {inputs.distance_ft:g}."
        )


def _class_of(index: float) -> Mapping[str, Any]:
    if not (math.isfinite(index) and index >= 0):
        raise PIndexError(f"An index of {index} cannot be; it must be 0 or more.")
    found: Mapping[str, Any] = next(
        row for row in TABLES["classes"] if index < row.get("below", math.inf)
    )
    return found


def risk_class(index: float) -> str:
    """Return the class, cut at half units; raises PIndexError for an index below 0.

    >>> [risk_class(value) for value in (59.49, 59.5, 79.5, 99.5)]
    ['Low', 'Medium', 'High', 'Very High']
    """
    return str(_class_of(index)["name"])


def transport(inputs: PaInputs, rating: float) -> tuple[float, float]:
    """Return the transport sum and the transport factor (connectivity x sum / 24)."""
    total = (
        inputs.erosion_ton_per_ac
        + _rating("drainage", inputs.drainage)
        + _rating("subsurface", inputs.subsurface)
        + rating
    )
    connectivity = _rating("connectivity", inputs.connectivity)
    return total, connectivity * total / TABLES["constants"]["divisor"]


def p_index_pa(inputs: PaInputs) -> PaResult:
    """Return the Pennsylvania P Index 2 of one crop management unit.

    Where a field below 100 ft has both a 35-ft buffer rating and a 50-ft riparian buffer the
    worksheet does not say whether the two reliefs add: fields with manure take both, others the
    stricter reading; both are shown. Manure of 0 lb is no manure. Raises PIndexError.

    >>> spread = PaApplication(100, "incorporated within 1 week", 0.8)
    >>> field = PaInputs(150, [], [spread], 4, "somewhat poorly", "none", 80, 35)
    >>> round(p_index_pa(field).index, 4)  # case PA-5
    82.6667
    """
    for value, what in (
        (inputs.m3p_ppm, "Mehlich-3 P"),
        (inputs.erosion_ton_per_ac, "Erosion"),
        (inputs.distance_ft, "The distance"),
        (inputs.buffer_ft, "The buffer's width"),
    ):
        if not (math.isfinite(value) and value >= 0):
            raise PIndexError(f"{what} is {value}; it must be 0 or more.")
    _check_connectivity(inputs)
    soil = TABLES["constants"]["soil_test_factor"] * inputs.m3p_ppm
    fertilizer, manure = application_rating(inputs.fertilizer), application_rating(inputs.manure)
    source = soil + fertilizer + manure
    scale = TABLES["constants"]["scale"]
    both = inputs.connectivity == "50-ft riparian buffer"
    lenient = distance_rating(inputs.distance_ft, inputs.buffer_ft)
    strict = distance_rating(inputs.distance_ft)
    has_manure = any(one.rate_lb_p2o5_per_ac > 0 for one in inputs.manure)
    rating = strict if both and not has_manure else lenient
    total, factor = transport(inputs, rating)
    index = scale * source * factor
    readings: tuple[float | None, float | None] = (None, None)
    notes: tuple[str, ...] = ()
    if both:
        stricter, milder = (scale * source * transport(inputs, one)[1] for one in (strict, lenient))
        readings, notes = (stricter, milder), (_two_readings(has_manure, stricter, milder),)
    return PaResult(
        index, risk_class(index), soil, fertilizer, manure, source, rating, total, factor,
        _class_of(index)["evidence"], *readings, notes,
    )  # fmt: skip


def _two_readings(has_manure: bool, stricter: float, milder: float) -> str:
    unclear = "The worksheet does not say whether the buffer counts twice (distance 6 and 0.85)."
    if has_manure:
        return (
            f"{unclear} The field gets manure, which the worksheet never rates 9: {milder:.2f} is "
            f"taken here. The stricter reading (distance 9 and 0.85) gives {stricter:.2f} and is "
            "not taken."
        )
    return (
        f"{unclear} The field gets no manure: the stricter reading (distance 9 and 0.85), "
        f"{stricter:.2f}, is taken here. The milder one gives {milder:.2f} and is not taken."
    )
