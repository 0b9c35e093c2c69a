"""Worksheets of a storage's design and of its year in volume and in phosphorus."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import storage_budget as budget
from .. import storage_design as design
from ..worksheet import Input, Output, Working, worksheet
from .storages import STORAGE_INPUTS, shape_of


def _gallons(name: str, meaning: str) -> Input:
    return Input(name, "gal", 0, None, meaning, optional=True)


HELD = {
    "sludge_gal": "sludge or what cannot be pumped",
    "treatment_gal": "treatment volume, lagoons only",
    "manure_gal": "manure of the period",
    "bedding_gal": "bedding of the period",
    "wash_gal": "wash and process water",
    "lot_runoff_gal": "runoff of lots and berms",
}


@worksheet(
    "storage_design",
    title="What a storage must hold, and its pump-out mark",
    inputs=[
        *[one for one in STORAGE_INPUTS if one.name != "level_ft"],
        *[_gallons(name, meaning) for name, meaning in HELD.items()],
        Input("net_rain_ft", "ft", -10, 20, "rain less evaporation on the surface"),
        Input("storm_depth_ft", "ft", 0, 10, "storm rain on the surface"),
        Input("storm_runoff_cuft", "cu ft", 0, None, "storm runoff in", optional=True),
        Input("freeboard_ft", "ft", 0, 20, "freeboard"),
    ],
    outputs=[
        Output("held_gal", "gal", "what the period brings"),
        Output("level_ft", "ft", "depth at its end"),
        Output("mark_depth_ft", "ft", "pump-out mark from the bottom"),
        Output("spare_ft", "ft", "depth to spare; below 0 too small"),
        Output("spare_gal", "gal", "the same in gallons"),
        Output("is_enough", "yes or no", "whether the period fits below the mark"),
    ],
    source=design.SOURCE,
    example={"shape": "rectangular", "length_ft": 192, "width_ft": 50, "full_depth_ft": 8,
             "manure_gal": 404_352, "net_rain_ft": 0, "storm_depth_ft": 0.5, "freeboard_ft": 1},
)  # fmt: skip
def storage_design(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """The period's volumes, the depth they reach, and the mark that storm and freeboard leave."""
    shape = shape_of(inputs)
    held = {name: inputs[name] or 0.0 for name in HELD}
    runoff = inputs["storm_runoff_cuft"] or 0.0
    storm, freeboard = inputs["storm_depth_ft"], inputs["freeboard_ft"]
    found = design.design(shape, held, inputs["net_rain_ft"], storm, freeboard, runoff)
    sheet.step("What the period brings", "sum", held, found.held_gal, "gal")
    sheet.step("Depth it reaches", "depth of the shape at that volume",
               {"held_gal": found.held_gal}, found.held_depth_ft, "ft")  # fmt: skip
    sheet.step("With rain and evaporation", "depth + rain - evaporation, at least 0",
               {"net_rain_ft": inputs["net_rain_ft"]}, found.level_ft, "ft")  # fmt: skip
    sheet.step(
        "Pump-out mark", "full depth - storm - freeboard - storm runoff / surface at the mark",
        {"full_depth_ft": shape.depth_ft, "storm_depth_ft": storm, "freeboard_ft": freeboard,
         "storm_runoff_cuft": runoff},
        found.mark_depth_ft, "ft",
    )  # fmt: skip
    sheet.step("To spare", "mark - depth reached", {}, found.spare_ft, "ft")
    sheet.note("Period, storm and freeboard are set by the state and the design: enter theirs.")
    return {
        "held_gal": found.held_gal,
        "level_ft": found.level_ft,
        "mark_depth_ft": found.mark_depth_ft,
        "spare_ft": found.spare_ft,
        "spare_gal": found.spare_gal,
        "is_enough": found.is_enough,
    }


CAME = {
    "manure_gal": "manure",
    "bedding_gal": "bedding",
    "wash_gal": "wash and process water",
    "rain_gal": "rain",
    "snow_gal": "snow, as water",
    "runoff_gal": "runoff that came in",
    "received_gal": "received from others",
}
WENT = {
    "spread_gal": "spread",
    "exported_gal": "transferred or sold",
    "evaporation_gal": "evaporated",
    "recycled_gal": "flush water taken back, when counted as wash",
    "spilled_gal": "spilled",
    "separated_gal": "solids taken out",
}
P_CAME = {"p_excreted_lb": "excreted", "p_bedding_lb": "in bedding", "p_received_lb": "received"}
P_WENT = {"p_spread_lb": "spread", "p_exported_lb": "transferred or sold"}


def _pounds(name: str, meaning: str) -> Input:
    return Input(name, "lb P", 0, None, f"phosphorus {meaning}", optional=True)


@worksheet(
    "storage_year",
    title="A storage's year: volumes and phosphorus",
    inputs=[
        Input("start_gal", "gal", 0, None, "stored at the start"),
        Input("end_gal", "gal", 0, None, "stored at the end"),
        *[_gallons(name, meaning) for name, meaning in (CAME | WENT).items()],
        *[_pounds(name, meaning) for name, meaning in (P_CAME | P_WENT).items()],
        Input("p_gain_lb", "lb P", None, None, "phosphorus in store, end less start",
              optional=True),
    ],
    outputs=[
        Output("residual_gal", "gal", "measured less computed change"),
        Output("residual_pct", "%", "of what passed through"),
        Output("is_doubtful", "yes or no", "above 15 per cent"),
        Output("p_difference_lb", "lb P", "accounted for less what came"),
        Output("p_difference_pct", "%", "of the phosphorus that came"),
        Output("p_is_doubtful", "yes or no", "above 25 per cent either way"),
    ],
    source="Mass balance of a storage; 15 and 25 per cent are working rules without a source",
    evidence="derived",
    example={"start_gal": 100_000, "end_gal": 150_000, "manure_gal": 300_000, "rain_gal": 60_000,
             "spread_gal": 320_000, "p_excreted_lb": 900, "p_bedding_lb": 100, "p_spread_lb": 700,
             "p_exported_lb": 50, "p_gain_lb": 50},
)  # fmt: skip
def storage_year(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """What the year's volumes and its phosphorus leave unexplained."""
    came, went, p_came, p_went = (
        {name: inputs[name] for name in names if inputs[name] is not None}
        for names in (CAME, WENT, P_CAME, P_WENT)
    )
    start, end = inputs["start_gal"], inputs["end_gal"]
    found = budget.mass_balance(start, end, came, went)
    sheet.step("Measured change", "end - start", {"start_gal": start, "end_gal": end},
               found.measured_change, "gal")  # fmt: skip
    sheet.step("Computed change", "what came - what went", {**came, **went},
               found.computed_change, "gal")  # fmt: skip
    sheet.step("Not explained", "measured - computed", {}, found.residual, "gal")
    if found.residual_pct is None:
        sheet.note("Nothing came or went: there is nothing the change could be a share of.")
    else:
        sheet.step("Share of what passed through", "100 x not explained / throughput", {},
                   found.residual_pct, "%")  # fmt: skip
    outputs = {
        "residual_gal": found.residual,
        "residual_pct": found.residual_pct,
        "is_doubtful": found.doubtful,
        "p_difference_lb": None,
        "p_difference_pct": None,
        "p_is_doubtful": None,
    }
    if not p_came or not p_went or inputs["p_gain_lb"] is None:
        sheet.note(
            "The phosphorus is not balanced: it needs what was excreted, what was spread or "
            "transferred, and the change in store."
        )
        return outputs
    p = design.p_balance(p_came, p_went, inputs["p_gain_lb"])
    sheet.step("Phosphorus that came", "sum", p_came, p.came_lb, "lb P")
    sheet.step("Phosphorus accounted for", "what went + change in store",
               {**p_went, "p_gain_lb": inputs["p_gain_lb"]}, p.accounted_lb, "lb P")  # fmt: skip
    sheet.step("Difference", "accounted for - came", {}, p.difference_lb, "lb P")
    sheet.step("Share of what came", "100 x difference / came", {}, p.difference_pct, "%")
    return outputs | {
        "p_difference_lb": p.difference_lb,
        "p_difference_pct": p.difference_pct,
        "p_is_doubtful": p.is_doubtful,
    }
