"""Worksheets of water: how much the soil takes at once, evaporation, runoff, snow."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import hydraulic, runoff_water, soil_water
from .. import storage_budget as budget
from ..units import GAL_PER_AC_IN
from ..worksheet import Input, Output, Working, WorksheetError, worksheet
from ..worksheet_inputs import by_name
from .one_line import one_line

STORM = Input("storm_in", "in", 0, 60, "rain of the storm", reason="more than any storm")
AVAILABLE = ("0-25", "25-50", "50-75", "75-100", "100")
CAPS = (
    Input("name", "word", meaning="what limits", kind="text"),
    Input("gal_per_ac", "gal/ac", 0, 200_000, "largest amount by it",
          reason="7 in of liquid at once"),
)  # fmt: skip


@worksheet(
    "hydraulic_limit",
    title="The most liquid at once: the least of all limits",
    inputs=[
        Input("limits", "rows", meaning="limits: nutrient rate, cap of the state or permit",
              kind="list", items=CAPS),
        Input("texture", "word", meaning="texture of the topsoil", kind="choice",
              choices=tuple(hydraulic.LACKING_IN_PER_FT), optional=True),
        Input("available_pct", "%", meaning="available water now", kind="choice",
              choices=AVAILABLE, optional=True),
        Input("depth_in", "in", 0, 60, "soil depth that counts, often 8", above=True,
              optional=True, reason="deeper than roots"),
    ],
    outputs=[
        Output("soil_water_gal_per_ac", "gal/ac", "what the soil lacks; empty without the soil"),
        Output("limit_gal_per_ac", "gal/ac", "largest amount at once"),
        Output("set_by", "word", "what sets it"),
        Output("depth_in", "in", "the same as a depth"),
    ],
    source="Ohio State ANR-21: no more than the soil takes to field capacity; least of all limits",
    example={"limits": [{"name": "nitrogen", "gal_per_ac": 9000},
                        {"name": "cap of the state", "gal_per_ac": 13_000}],
             "texture": "loam, silt loam, sandy clay loam", "available_pct": "50-75",
             "depth_in": 8},
)  # fmt: skip
def hydraulic_limit(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Least of nutrient rate, water the soil lacks, and caps of law that are entered."""
    limits = list(inputs["limits"])
    lacking = _lacking(inputs, sheet)
    if lacking is None:
        sheet.note("Without texture, available water and depth the soil sets no limit here.")
    else:
        limits.append({"name": "soil water", "gal_per_ac": lacking})
    named = by_name(limits, "gal_per_ac")
    least = hydraulic.most_limiting(named)
    sheet.step("The least of the limits", "smallest amount", named, least.gal_per_ac, "gal/ac")
    depth = sheet.step("As a depth", "gallons / 27,154.29", {"gal_per_ac": least.gal_per_ac},
                       hydraulic.gal_per_ac_to_depth_in(least.gal_per_ac), "in",
                       "Exact unit definitions", "definition")  # fmt: skip
    return {
        "soil_water_gal_per_ac": lacking,
        "limit_gal_per_ac": least.gal_per_ac,
        "set_by": least.set_by,
        "depth_in": depth,
    }


def _lacking(inputs: Mapping[str, Any], sheet: Working) -> float | None:
    soil = {name: inputs[name] for name in ("texture", "available_pct", "depth_in")}
    missing = [name for name, value in soil.items() if value is None]
    if missing:
        if len(missing) < len(soil):
            raise WorksheetError(f"{missing[0]} is missing: texture, water and depth go together.")
        return None
    lacking_in = sheet.step("Water the soil lacks", "inches a foot (low end) x depth / 12", soil,
                            hydraulic.lacking_in(**soil), "in", hydraulic.SOURCE)  # fmt: skip
    found: float = sheet.step("As gallons", "inches x 27,154.29", {"lacking_in": lacking_in},
                              hydraulic.depth_to_gal_per_ac(lacking_in), "gal/ac",
                              "Exact unit definitions", "definition")  # fmt: skip
    return found


@worksheet(
    "soil_water_capacity",
    title="Water a soil holds, and what it still takes",
    inputs=[
        Input("texture", "word", meaning="texture, where the soil survey's figure is not known",
              kind="choice", choices=soil_water.TEXTURES, optional=True),
        Input("capacity_in_per_in", "in/in", 0, soil_water.MOST_IN_PER_IN,
              "available water capacity of the soil survey", above=True, optional=True,
              reason="no mineral soil holds more"),
        Input("depth_in", "in", 0, 60, "soil depth that counts", above=True,
              reason="deeper than roots"),
        Input("rock_pct", "%", 0, 100, "rock fragments by volume", optional=True,
              reason="a share of the volume"),
        Input("mmhos", "mmhos/cm", 0, 20, "salt of the soil", optional=True,
              reason="the table ends at 20"),
        Input("available_pct", "%", 0, 100, "available water now", reason="100 is full"),
    ],
    outputs=[
        Output("held_in", "in", "water held when full"),
        Output("lacking_in", "in", "water it still takes"),
        Output("gal_per_ac", "gal/ac", "the same in gallons"),
    ],
    source=soil_water.SOURCE,
    example={"texture": "sandy loam", "depth_in": 8, "available_pct": 50},
)  # fmt: skip
def soil_water_capacity(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Available water by soil survey or texture (low end), less rock and salt, and the deficit."""
    capacity = inputs["capacity_in_per_in"]
    if capacity is None:
        if inputs["texture"] is None:
            raise WorksheetError("capacity_in_per_in is missing: give it, or a texture.")
        ends = soil_water.capacity_range(inputs["texture"])
        capacity = sheet.step("Capacity of the texture", "low end of the range",
                              {"low": ends[0], "high": ends[1]}, ends[0], "in/in")  # fmt: skip
    rock, salt = inputs["rock_pct"] or 0.0, inputs["mmhos"] or 0.0
    held = sheet.step(
        "Water held when full", "capacity x depth x (1 - rock / 100) x (1 - lost to salt)",
        {"capacity_in_per_in": capacity, "depth_in": inputs["depth_in"], "rock_pct": rock,
         "lost_to_salt": soil_water.share_lost_to_salt(salt)},
        soil_water.held_in(capacity, inputs["depth_in"], rock, salt), "in",
    )  # fmt: skip
    lacking = sheet.step("Water it still takes", "held x (100 - available) / 100",
                         {"available_pct": inputs["available_pct"]},
                         soil_water.lacking_in(held, inputs["available_pct"]), "in",
                         "Deficit to full", "definition")  # fmt: skip
    gallons = sheet.step("In gallons", "inches x 27,154.29", {"lacking_in": lacking},
                         hydraulic.depth_to_gal_per_ac(lacking), "gal/ac",
                         "Exact unit definitions", "definition")  # fmt: skip
    return {"held_in": held, "lacking_in": lacking, "gal_per_ac": gallons}


one_line(
    "liquid_depth",
    "Depth of a liquid rate on the ground",
    hydraulic.gal_per_ac_to_depth_in,
    [Input("gal_per_ac", "gal/ac", 0, 1_000_000, "rate", reason="37 in deep")],
    Output("depth_in", "in", "depth"),
    "gallons / 27,154.29",
    "Acre-inch, NC State appendix B (CV-7.1)",
    "read",
    {"gal_per_ac": 13_000},
)
one_line(
    "pond_evaporation",
    "Evaporation from a storage",
    budget.evaporation_gal,
    [
        Input("evaporation_in", "in", 0, 150, "evaporation of the period from open water",
              reason="more than any year; pond about 0.7 of the pan (memory)"),
        Input("surface_area_sqft", "sq ft", 0, 50_000_000, "liquid surface, open and uncrusted",
              reason="larger is no storage"),
    ],
    Output("evaporation_gal", "gal", "gallons lost"),
    "inches x surface / 43,560 x 27,154.29",
    "AWMFH worksheet 10-A; a crusted or covered storage loses about none",
    "read",
    {"evaporation_in": 12, "surface_area_sqft": 43_560},
)  # fmt: skip


@worksheet(
    "lot_runoff",
    title="Storm runoff of a fairly tight lot",
    inputs=[
        STORM,
        Input("lot_ac", "ac", 0, 1000, "lot that drains in", above=True,
              reason="larger is no one lot"),
    ],
    outputs=[
        Output("runoff_ac_ft", "ac-ft", "runoff"),
        Output("runoff_gal", "gal", "the same in gallons"),
    ],
    source="Montana State, liquid production step",
    example={"storm_in": 2.2, "lot_ac": 4.36},
)  # fmt: skip
def lot_runoff(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Runoff of the design storm: half an inch stays on the lot, the rest runs off."""
    runoff = sheet.step("Runoff", "(storm - 0.5) / 12 x acres, at least 0", dict(inputs),
                        budget.lot_runoff_ac_ft(**inputs), "ac-ft")  # fmt: skip
    gallons = sheet.step("In gallons", "acre-feet x 325,851", {"runoff_ac_ft": runoff},
                         runoff_water.tight_lot_gal(**inputs), "gal", "Exact unit definitions",
                         "definition")  # fmt: skip
    sheet.note("The same page prints 350,850 gal for an acre-foot; that is an error.")
    return {"runoff_ac_ft": runoff, "runoff_gal": gallons}


@worksheet(
    "curve_number_runoff",
    title="Storm runoff by curve number",
    inputs=[
        STORM,
        Input("curve_number", "CN", 1, 100, "curve number; about 90 unpaved, 97 paved lot (memory)",
              reason="100 sheds everything"),
        Input("drained_ac", "ac", 0, 10_000, "ground that drains in", above=True,
              reason="larger is no one storage's"),
    ],
    outputs=[
        Output("runoff_in", "in", "runoff depth"),
        Output("runoff_gal", "gal", "the same in gallons"),
    ],
    source="NEH-4 curve number equation",
    evidence="memory",
    example={"storm_in": 4, "curve_number": 90, "drained_ac": 2},
)  # fmt: skip
def curve_number_runoff(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Runoff depth and gallons; the equation is from memory and must be confirmed."""
    storm, number = inputs["storm_in"], inputs["curve_number"]
    depth = sheet.step(
        "Runoff depth", "(P - 0.2 S)^2 / (P + 0.8 S), S = 1000 / CN - 10; 0 below 0.2 S",
        {"storm_in": storm, "curve_number": number},
        budget.curve_number_runoff_in(storm, number), "in",
    )  # fmt: skip
    gallons = sheet.step(
        "In gallons", "inches x acres x 27,154.29",
        {"drained_ac": inputs["drained_ac"], "gal_per_ac_in": GAL_PER_AC_IN},
        runoff_water.curve_number_gal(storm, number, inputs["drained_ac"]), "gal",
        "Exact unit definitions", "definition",
    )  # fmt: skip
    sheet.note("Equation and curve numbers are from memory: confirm them before use.")
    return {"runoff_in": depth, "runoff_gal": gallons}


one_line(
    "snow_on_storage",
    "Water in the snow on a storage",
    lambda snow_in, catchment_ac, snow_per_water=runoff_water.SNOW_PER_WATER: runoff_water.snow_gal(
        snow_in, catchment_ac, snow_per_water
    ),
    [
        Input("snow_in", "in", 0, 500, "fallen snow", reason="more than any winter's"),
        Input("catchment_ac", "ac", 0, 1000, "ground that drains in", above=True,
              reason="larger is no one storage's"),
        Input("snow_per_water", "in/in", 1, 50, "inches of snow for one of water; left out, 10",
              optional=True, reason="from slush to powder"),
    ],
    Output("water_gal", "gal", "gallons of water"),
    "inches / 10 x acres x 27,154.29",
    runoff_water.SNOW_SOURCE,
    "read",
    {"snow_in": 1, "catchment_ac": 1},
)  # fmt: skip
