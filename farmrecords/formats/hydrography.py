"""Lines and areas of public water maps: what a feature code means for setbacks.

Codes: reference on data formats, section 4.2; those marked [read] there were seen in a source, the
rest are from memory and say so in `source`. An artificial path is the centre line inside a polygon
and is never measured to; the polygon is. Lines mapped at 1:24,000 may lie about 40 ft off
[memory], farther than many setbacks reach.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from farmrecords.formats.shapes import FeatureRow

CODE_KEYS = ("fcode", "FCODE", "FCode")
POSITION_UNCERTAINTY_FT = 40


@dataclass(frozen=True, slots=True)
class WaterClass:
    """What a code stands for; `measured` is False for lines no distance is taken to."""

    kind: str
    measured: bool
    source: str


_READ, _MEMORY = "read", "memory"
_EXACT = {
    33400: WaterClass("connector", False, _MEMORY),
    33600: WaterClass("canal or ditch", True, _READ),
    33601: WaterClass("aqueduct", True, _MEMORY),
    33603: WaterClass("stormwater channel", True, _MEMORY),
    46000: WaterClass("stream", True, _MEMORY),
    46003: WaterClass("intermittent stream", True, _MEMORY),
    46006: WaterClass("perennial stream", True, _MEMORY),
    46007: WaterClass("ephemeral stream", True, _MEMORY),
    43612: WaterClass("sewage treatment pond", False, _MEMORY),
    43624: WaterClass("treatment reservoir", False, _MEMORY),
    45800: WaterClass("spring or seep", True, _MEMORY),
    53700: WaterClass("area of complex channels", True, _READ),
    30700: WaterClass("area to be submerged", True, _READ),
    55800: WaterClass("artificial path", False, _READ),
}
# first three digits -> class of all codes that are not listed above
_FAMILIES = {
    336: WaterClass("canal or ditch", True, _MEMORY),
    390: WaterClass("lake or pond", True, _MEMORY),
    420: WaterClass("underground conduit", True, _MEMORY),
    428: WaterClass("pipeline", False, _MEMORY),
    436: WaterClass("reservoir", True, _MEMORY),
    460: WaterClass("stream", True, _MEMORY),
    466: WaterClass("swamp or marsh", True, _MEMORY),
    558: WaterClass("artificial path", False, _MEMORY),
}


def water_class(code: int) -> WaterClass | None:
    """The class of a feature code; None for one that is not known, which must be asked."""
    return _EXACT.get(code) or _FAMILIES.get(code // 100)


@dataclass(frozen=True)
class WaterRows:
    """Features with their class as kind, those not measured to, and codes nobody knows."""

    measured: list[FeatureRow]
    passed_over: list[FeatureRow]
    unknown: list[FeatureRow]


def sorted_waters(rows: list[FeatureRow]) -> WaterRows:
    """Features of a water map by their code; one without a known code is never dropped."""
    waters = WaterRows([], [], [])
    for row in rows:
        found = _class_of(row)
        if found is None:
            waters.unknown.append(row)
            continue
        target = waters.measured if found.measured else waters.passed_over
        target.append(replace(row, kind=found.kind))
    return waters


def _class_of(row: FeatureRow) -> WaterClass | None:
    for key in CODE_KEYS:
        code = row.properties.get(key)
        if isinstance(code, int | float) and not isinstance(code, bool):
            return water_class(int(code))
        if isinstance(code, str) and code.isascii() and code.isdigit() and len(code) <= 5:
            return water_class(int(code))
    return None
