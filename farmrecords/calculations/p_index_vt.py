"""Vermont P Index, version 6.1 (23 February 2018), in full double precision.

The sum of three pathways: sediment, surface runoff, subsurface drainage, each 80 times its loss in
pounds of P per acre. Every equation and table: Vermont P Index workbook 6.1 (read).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .p_index_vt_inputs import (
    FARTHEST_FT,
    NOT_INCORPORATED,
    SOILS,
    TABLES,
    ManureForIndex,
    PIndexError,
    VtInputs,
    at_least_zero,
    check,
    choices,
)

__all__ = [
    "ManureForIndex",
    "PIndexError",
    "VtInputs",
    "VtResult",
    "choices",
    "p_index_vt",
    "risk_class",
]

_CONST = TABLES["constants"]
RF: float = _CONST["dissolved_runoff_factor"]
PART: float = _CONST["particulate_manure_factor"]
P_PER_P2O5: float = _CONST["p_per_p2o5"]
SCALING: float = _CONST["scaling"]


@dataclass(frozen=True)
class VtSoil:
    """Soil P after the year's applications (ppm) and its shares that can move."""

    stp_adjusted_ppm: float
    total_p_ppm: float
    availability: float
    runoff_drp_mg_per_l: float


@dataclass(frozen=True)
class VtLosses:
    """Losses at the field, undelivered, in pounds of P per acre."""

    sediment_p: float
    dissolved_soil_p: float
    dissolved_manure_p: float
    particulate_manure_p: float
    fertilizer_p: float


@dataclass(frozen=True)
class VtDelivery:
    """Shares that reach the water: sediment, soil and fertilizer runoff, manure runoff."""

    sediment: float
    runoff: float
    manure: float


@dataclass(frozen=True)
class VtResult:
    """The index, its class, its three pathways and every intermediate."""

    index: float
    risk_class: str
    sediment: float
    surface: float
    subsurface: float
    soil: VtSoil
    losses: VtLosses
    delivery: VtDelivery
    notes: tuple[str, ...] = ()


def aluminium_factor(aluminium_ppm: float, surface: bool = False) -> float:
    """Return the factor by reactive aluminium: 1 below 20 ppm, 0.4 above 80, straight between.

    A source left on the surface keeps half of the reduction.

    >>> aluminium_factor(50), aluminium_factor(50, surface=True)
    (0.7, 0.85)
    """
    at_least_zero(aluminium_ppm, "Aluminium (ppm)")
    a: float = (
        1.0 if aluminium_ppm < 20 else 0.4 if aluminium_ppm > 80 else 1.2 - 0.01 * aluminium_ppm
    )
    return a + (1 - a) / 2 if surface else a


def manure_exposure(one: ManureForIndex) -> float:
    """Return the share of a manure application exposed to runoff, 0 to 1.3.

    >>> manure_exposure(ManureForIndex(50, "Oct - Dec 15", "Moldboard", "< 1 day"))
    0.1165
    """
    time = TABLES["manure_time"][one.time]
    method = TABLES["manure_method"][one.method]
    incorporation = TABLES["incorporation"][one.incorporation]
    if method == 0 or incorporation == 0:
        return 0.0
    if method == 1 or incorporation == 1:
        return float(time)
    return float(method + (time - method) * incorporation)


def hydrologic_group(inputs: VtInputs) -> str:
    """Return the hydrologic group; patterned tile moves it one group towards A.

    >>> hydrologic_group(VtInputs("NW", "<600 ft", 5, 0, 1, "Benson", "0-20%", "pasture", 0))
    'D'
    """
    group = SOILS[inputs.series][0]
    return str(TABLES["hsg_with_tile"][group]) if inputs.tile else group


def _adjusted(column: dict[str, list[float]], region: str, elevation: str) -> float:
    """A quarter of the region's departure from the lowest region, added to the lowest."""
    i = TABLES["elevations"]["names"].index(elevation)
    least = min(row[i] for row in column.values())
    return float(least + (column[region][i] - least) / 4)


def season_runoff_in(region: str, elevation: str) -> float:
    """Return growing-season runoff in inches by region and elevation zone.

    >>> round(season_runoff_in("NW", "<600 ft"), 6)
    1.53647
    """
    return _adjusted(TABLES["growing_season_runoff_in"], region, elevation)


def snowmelt_in(region: str, elevation: str) -> float:
    """Return snowmelt in inches: half of the adjusted March snow water.

    >>> snowmelt_in("NW", "<600 ft")
    0.8125
    """
    return _adjusted(TABLES["march_snow_water_in"], region, elevation) / 2


def runoff_adjustment(inputs: VtInputs) -> float:
    """Return the runoff adjustment by crop group, hydrologic group and surface cover."""
    group = TABLES["crops"][inputs.crop]["group"]
    column = TABLES["covers"]["names"].index(inputs.cover)
    return float(TABLES["runoff"][group][hydrologic_group(inputs)][column])


def manure_losses(inputs: VtInputs) -> tuple[float, float]:
    """Return dissolved and particulate manure P at the field, pounds per acre."""
    dissolved = particulate = 0.0
    for one in inputs.manure:
        exposed = one.rate_lb_p2o5_per_ac * manure_exposure(one)
        a = aluminium_factor(inputs.aluminium_ppm, one.method == NOT_INCORPORATED)
        dissolved += exposed * a * TABLES["availability"][one.type]
        particulate += exposed
    h = TABLES["hsg_factor"][hydrologic_group(inputs)]
    return dissolved * RF * P_PER_P2O5 * h, PART * P_PER_P2O5 * particulate


def fertilizer_loss(inputs: VtInputs) -> float:
    """Return dissolved fertilizer P at the field, pounds per acre."""
    surface = inputs.fertilizer_code in TABLES["surface_fertilizer"]["codes"]
    a = aluminium_factor(inputs.aluminium_ppm, surface)
    code = TABLES["fertilizer_code"][inputs.fertilizer_code]
    h = TABLES["hsg_factor"][hydrologic_group(inputs)]
    return float(inputs.fertilizer_lb_p2o5_per_ac * P_PER_P2O5 * RF * h * a * code)


def stp_fraction(aluminium_ppm: float) -> float:
    """Return the share of left-over P that shows in the soil test.

    >>> stp_fraction(0), round(stp_fraction(50), 6)
    (0.2, 0.0568)
    """
    at_least_zero(aluminium_ppm, "Aluminium (ppm)")
    return 0.2 if aluminium_ppm <= 10 else max(0.03, 1.1277 * aluminium_ppm**-0.7639)


def left_after_uptake(rate: float, inputs: VtInputs) -> float:
    """Return what a source leaves after its share of half the crop's uptake, lb P2O5 per acre."""
    whole = sum(one.rate_lb_p2o5_per_ac for one in inputs.manure)
    whole = whole + inputs.fertilizer_lb_p2o5_per_ac or 1.0
    uptake = TABLES["crops"][inputs.crop]["uptake"]
    return float(max(0.0, rate - uptake / 2 * rate / whole))


def soil_p_gains(inputs: VtInputs) -> tuple[float, float]:
    """Return the rise of soil-test P and of soil total P (ppm) from the year's sources."""
    share, h = stp_fraction(inputs.aluminium_ppm), TABLES["hsg_factor"][hydrologic_group(inputs)]
    stp = total = 0.0
    for one in inputs.manure:
        rate, exposure = one.rate_lb_p2o5_per_ac, manure_exposure(one)
        a = aluminium_factor(inputs.aluminium_ppm, one.method == NOT_INCORPORATED)
        runoff = rate * a * exposure * RF * h * TABLES["availability"][one.type]
        base = left_after_uptake(rate, inputs) - PART * rate * exposure - runoff
        base *= P_PER_P2O5 / 2
        on_surface = one.method == NOT_INCORPORATED
        stp += max(0.0, base * (3 if on_surface else 1) * share)
        total += max(0.0, base * (7.5 if on_surface else 1))
    left = left_after_uptake(inputs.fertilizer_lb_p2o5_per_ac, inputs)
    base = (P_PER_P2O5 * left - fertilizer_loss(inputs)) / 2
    base *= 7.5 if TABLES["fertilizer_code"][inputs.fertilizer_code] >= 0.4 else 1
    return stp + max(0.0, base * share), total + max(0.0, base)


def total_p_ppm(stp_ppm: float, clay: bool) -> float:
    """Return soil total P in ppm from soil-test P and texture group.

    >>> total_p_ppm(10, clay=True), round(total_p_ppm(10, clay=False), 6)
    (715.6, 868.7)
    """
    at_least_zero(stp_ppm, "Soil-test P (ppm)")
    return 650 + 6.56 * stp_ppm if clay else 760 + 10.87 * stp_ppm


def soil_after(inputs: VtInputs) -> VtSoil:
    """Return the soil's P after the year's sources, its availability and runoff concentration."""
    clay = SOILS[inputs.series][1]
    stp_gain, total_gain = soil_p_gains(inputs)
    adjusted = inputs.stp_ppm + stp_gain
    return VtSoil(
        stp_adjusted_ppm=adjusted,
        total_p_ppm=min(
            2000.0, total_p_ppm(adjusted, clay), total_p_ppm(inputs.stp_ppm, clay) + total_gain
        ),
        availability=min(0.2, 0.1 + 0.001 * inputs.stp_ppm),
        runoff_drp_mg_per_l=2 * (0.03 + 0.00705 * adjusted),
    )


def losses(inputs: VtInputs) -> VtLosses:
    """Return the five losses at the field, pounds of P per acre, before delivery."""
    soil = soil_after(inputs)
    water = season_runoff_in(inputs.region, inputs.elevation) * _CONST["growing_season_adjustment"]
    water += snowmelt_in(inputs.region, inputs.elevation)
    dissolved, particulate = manure_losses(inputs)
    return VtLosses(
        sediment_p=inputs.erosion_ton_per_ac * 0.002 * soil.total_p_ppm * soil.availability,
        dissolved_soil_p=water
        * _CONST["million_lb_water_per_ac_in"]
        * runoff_adjustment(inputs)
        * soil.runoff_drp_mg_per_l,
        dissolved_manure_p=dissolved,
        particulate_manure_p=particulate,
        fertilizer_p=fertilizer_loss(inputs),
    )


def distance_factor(distance_ft: float) -> float:
    """Return the share of runoff P that passes a distance; 1 up to 5 ft.

    >>> distance_factor(5), round(distance_factor(50), 6)
    (1.0, 0.841696)
    """
    at_least_zero(distance_ft, "A distance (ft)")
    return 1.0 if distance_ft <= 5 else 1.047 * math.exp((-70 - distance_ft) / 60) + 0.7


def buffer_factor(buffer_ft: float, clay: bool) -> float:
    """Return the share of sediment P that passes a vegetated buffer; 1 up to 5 ft.

    >>> round(buffer_factor(50, clay=False), 6)
    0.620803
    """
    at_least_zero(buffer_ft, "A buffer (ft)")
    if buffer_ft <= 5:
        return 1.0
    if clay:
        return distance_factor(buffer_ft)
    return 1.744 * math.exp((-43 - buffer_ft) / 45) + 0.4


def delivery(inputs: VtInputs) -> VtDelivery:
    """Return the delivered shares; a distance above 300 ft counts as 300 ft."""
    distance, width = min(inputs.distance_ft, FARTHEST_FT), min(inputs.buffer_ft, FARTHEST_FT)
    clay = SOILS[inputs.series][1]
    spread = any(one.rate_lb_p2o5_per_ac > 0 for one in inputs.manure)
    along = distance_factor(width)
    return VtDelivery(
        sediment=max(0.4, buffer_factor(width, clay) * (1 - (along - distance_factor(distance)))),
        runoff=max(0.7, along),
        manure=distance_factor(width + (inputs.setback_ft if spread else 0.0)),
    )


def pathways(inputs: VtInputs, lost: VtLosses, reach: VtDelivery) -> tuple[float, float, float]:
    """Return the three pathways of the index: sediment, surface runoff, subsurface drainage."""
    sediment = SCALING * (
        lost.particulate_manure_p * reach.manure + lost.sediment_p * reach.sediment
    )
    surface = SCALING * (
        lost.dissolved_manure_p * reach.manure
        + lost.fertilizer_p * reach.runoff
        + lost.dissolved_soil_p * reach.runoff
    )
    every = (
        lost.sediment_p
        + lost.particulate_manure_p
        + lost.dissolved_soil_p
        + lost.dissolved_manure_p
        + lost.fertilizer_p
    )
    return sediment, surface, SCALING * _CONST["tile_share"] * every if inputs.tile else 0.0


def risk_class(index: float) -> str:
    """Return the class by the procedure's half-unit boundaries.

    >>> [risk_class(value) for value in (30.49, 30.5, 60.5, 100.49, 100.5)]
    ['Low', 'Medium', 'High', 'High', 'Very High']
    """
    at_least_zero(index, "An index")
    return str(next(r["name"] for r in TABLES["classes"] if index < r.get("below", math.inf)))


def p_index_vt(inputs: VtInputs) -> VtResult:
    """Return the Vermont P Index 6.1 of one field and crop year, with every intermediate.

    Range and words as :class:`VtInputs` says. Raises PIndexError where the procedure shows an
    error. Source: Vermont P Index workbook 6.1 (read); example VT-L of the workbook.

    >>> bare = VtInputs("NW", "<600 ft", 0.5, 0, 0.5, "Other (B, non-clay)", "0-20%",
    ...                 "corn and other row crops", 0)
    >>> result = p_index_vt(bare)
    >>> round(result.index, 4), result.risk_class
    (9.0081, 'Low')
    """
    check(inputs)
    lost, reach = losses(inputs), delivery(inputs)
    sediment, surface, subsurface = pathways(inputs, lost, reach)
    index = sediment + surface + subsurface
    notes = []
    if inputs.stp_ppm >= _CONST["drawdown_stp_ppm"]:
        notes.append(
            f"Soil-test P of {inputs.stp_ppm:g} ppm: a drawdown strategy is required (Vermont "
            "Required Agricultural Practices)."
        )
    if inputs.distance_ft > FARTHEST_FT:
        notes.append(f"The distance of {inputs.distance_ft:g} ft counts as {FARTHEST_FT:g} ft.")
    return VtResult(
        index,
        risk_class(index),
        sediment,
        surface,
        subsurface,
        soil_after(inputs),
        lost,
        reach,
        tuple(notes),
    )
