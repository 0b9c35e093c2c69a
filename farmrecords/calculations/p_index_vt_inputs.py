"""What the Vermont P Index 6.1 asks for: its tables, the words it accepts, what it refuses."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import resources
from typing import Any

_FILE = resources.files("farmrecords.calculations") / "data" / "p_index_vt.toml"
TABLES: dict[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))
SOURCE: str = TABLES["source"]
FARTHEST_FT = 300.0
NONE = "none"
NOT_INCORPORATED = "Not incorporated"


def _soils() -> dict[str, tuple[str, bool]]:
    soils: dict[str, tuple[str, bool]] = {}
    for group, names in TABLES["series"].items():
        hsg, _, texture = group.partition("_")
        for name in names:
            soils[name] = (hsg, texture == "clay")
    for hsg in "ABCD":
        soils[f"Other ({hsg}, clay)"] = (hsg, True)
        soils[f"Other ({hsg}, non-clay)"] = (hsg, False)
    return soils


# soil series -> hydrologic group undrained, clay texture group
SOILS = _soils()


class PIndexError(ValueError):
    """Inputs the Vermont P Index refuses; the message names value and rule."""


@dataclass(frozen=True)
class ManureForIndex:
    """One planned or made application, in pounds of total P2O5 per acre."""

    rate_lb_p2o5_per_ac: float
    time: str
    method: str
    incorporation: str
    type: str = "dairy"


@dataclass(frozen=True)
class VtInputs:
    """What the index asks for, for one field and one crop year.

    ``stp_ppm`` is Modified Morgan P in ppm (Mehlich-3 is not accepted), ``aluminium_ppm`` reactive
    aluminium, ``erosion_ton_per_ac`` the soil leaving the field edge in that year. Text fields
    accept the words of :func:`choices`.
    """

    region: str
    elevation: str
    stp_ppm: float
    aluminium_ppm: float
    erosion_ton_per_ac: float
    series: str
    cover: str
    crop: str
    distance_ft: float
    buffer_ft: float = 0.0
    setback_ft: float = 0.0
    tile: bool = False
    manure: Sequence[ManureForIndex] = ()
    fertilizer_lb_p2o5_per_ac: float = 0.0
    fertilizer_code: str = NONE


def choices() -> Mapping[str, tuple[str, ...]]:
    """Return the words each text input accepts.

    >>> choices()["elevation"]
    ('<600 ft', '600-1000 ft', '>1000 ft')
    """
    return {
        "region": tuple(TABLES["growing_season_runoff_in"]),
        "elevation": tuple(TABLES["elevations"]["names"]),
        "series": tuple(SOILS),
        "cover": tuple(TABLES["covers"]["names"]),
        "crop": tuple(TABLES["crops"]),
        "time": tuple(TABLES["manure_time"]),
        "method": tuple(TABLES["manure_method"]),
        "incorporation": tuple(TABLES["incorporation"]),
        "type": tuple(TABLES["availability"]),
        "fertilizer_code": tuple(TABLES["fertilizer_code"]),
    }


def region_of_county(county: str) -> str:
    """Return the region of a Vermont county; raises PIndexError for an unknown one.

    >>> region_of_county("Addison")
    'NW'
    """
    for region, counties in TABLES["counties"].items():
        if county in counties:
            return str(region)
    raise PIndexError(f"{county!r} is no county of Vermont. Choose the region by hand.")


def at_least_zero(value: float, what: str) -> None:
    """Refuse what is below 0 or no number. Raises PIndexError.

    >>> at_least_zero(0, "A distance (ft)")
    """
    _number(value, what, 0)


def _number(value: float, what: str, low: float, above: bool = False) -> None:
    if not math.isfinite(value) or value < low or (above and value == low):
        limit = f"above {low:g}" if above else f"{low:g} or more"
        raise PIndexError(f"{what} is {value}; it must be {limit}.")


def _word(value: str, name: str) -> None:
    allowed = choices()[name]
    if value not in allowed:
        shown = ", ".join(allowed) if len(allowed) < 20 else "a soil series of the procedure"
        raise PIndexError(f"{value!r} is no {name.replace('_', ' ')} of this index. Use: {shown}.")


def _check_manure(one: ManureForIndex) -> None:
    _number(one.rate_lb_p2o5_per_ac, "A manure rate (lb P2O5/ac)", 0)
    for name in ("time", "method", "incorporation", "type"):
        _word(getattr(one, name), name)
    parts = (one.time, one.method, one.incorporation)
    if one.rate_lb_p2o5_per_ac == 0 and any(part != NONE for part in parts):
        raise PIndexError("A manure rate of 0 goes with time, method and incorporation 'none'.")
    if one.rate_lb_p2o5_per_ac > 0 and NONE in parts:
        raise PIndexError(
            f"A manure rate of {one.rate_lb_p2o5_per_ac:g} lb P2O5/ac needs its time, method and "
            "time to incorporation."
        )
    if (one.method == NOT_INCORPORATED) != (one.incorporation == NOT_INCORPORATED):
        raise PIndexError(
            f"Method {one.method!r} and incorporation {one.incorporation!r} contradict each other: "
            "both are 'Not incorporated' or neither is."
        )


def check(inputs: VtInputs) -> None:
    """Refuse inputs the procedure calls an error; raises PIndexError with the rule.

    >>> flat = VtInputs("NW", "<600 ft", 0, 0, 1, "Adams", "0-20%", "pasture", 0)
    >>> check(flat)
    Traceback (most recent call last):
    ...
    farmrecords.calculations.p_index_vt_inputs.PIndexError: Soil-test P (ppm, Modified Morgan) is \
0; it must be above 0.
    """
    _number(inputs.stp_ppm, "Soil-test P (ppm, Modified Morgan)", 0, above=True)
    _number(inputs.aluminium_ppm, "Reactive aluminium (ppm)", 0)
    _number(inputs.erosion_ton_per_ac, "Erosion (ton/ac)", 0, above=True)
    _number(inputs.distance_ft, "The distance to water (ft)", 0)
    _number(inputs.buffer_ft, "The buffer width (ft)", 0)
    _number(inputs.setback_ft, "The manure setback (ft)", 0)
    _number(inputs.fertilizer_lb_p2o5_per_ac, "The fertilizer rate (lb P2O5/ac)", 0)
    for name in ("region", "elevation", "series", "cover", "crop", "fertilizer_code"):
        _word(getattr(inputs, name), name)
    if inputs.buffer_ft > inputs.distance_ft:
        raise PIndexError(
            f"A buffer of {inputs.buffer_ft:g} ft does not fit in a distance of "
            f"{inputs.distance_ft:g} ft to the water."
        )
    needed = TABLES["crops"][inputs.crop].get("cover")
    if needed and inputs.cover != needed:
        raise PIndexError(f"{inputs.crop} needs surface cover {needed}, not {inputs.cover}.")
    if (inputs.fertilizer_lb_p2o5_per_ac == 0) != (inputs.fertilizer_code == NONE):
        raise PIndexError(
            f"A fertilizer rate of {inputs.fertilizer_lb_p2o5_per_ac:g} lb P2O5/ac does not go "
            f"with the code {inputs.fertilizer_code!r}: rate 0 goes with 'none', and only then."
        )
    if len(inputs.manure) > 3:
        raise PIndexError(f"The index takes three manure applications, not {len(inputs.manure)}.")
    for one in inputs.manure:
        _check_manure(one)
