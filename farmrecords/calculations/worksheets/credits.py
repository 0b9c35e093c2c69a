"""Worksheets of credits, recommendations, planned yields and prices."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import available_nitrogen as available
from .. import credited, crop_need, nutrient_value, recommendation
from ..worksheet import Input, Output, Working, worksheet
from .one_line import one_line

POUNDS_MOST = 10_000_000
P_AND_K = tuple(
    name for name, one in sorted(available.systems().items())
    if one.tables.get("phosphate_and_potash")
)  # fmt: skip


@worksheet(
    "p_k_available",
    title="P2O5 and K2O credited of what was applied",
    inputs=[
        Input("system", "word", meaning="state system", kind="choice", choices=P_AND_K),
        Input("year", "year", 1, 3, "crop year after the manure; 1 is the first", kind="whole",
              reason="no system states a fourth year"),
        Input("p2o5_lb", "lb", 0, POUNDS_MOST, "P2O5 applied", optional=True,
              reason="more than any one farm's"),
        Input("k2o_lb", "lb", 0, POUNDS_MOST, "K2O applied", optional=True,
              reason="more than any one farm's"),
    ],
    outputs=[
        Output("p2o5_credited_lb", "lb", "P2O5 credited; empty where no share is stated"),
        Output("k2o_credited_lb", "lb", "K2O credited; empty where no share is stated"),
        Output("evidence", "word", "read, or memory: confirm before use"),
    ],
    source="The chosen system's own shares (CV-2.4)",
    example={"system": "MO", "year": 1, "p2o5_lb": 8250},
)  # fmt: skip
def p_k_available(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Pounds credited as fertilizer; limits on phosphorus still look at all that was applied."""
    system = available.system_named(inputs["system"])
    found = credited.phosphate_and_potash(
        inputs["system"], inputs["year"], inputs["p2o5_lb"], inputs["k2o_lb"]
    )
    evidence: Any = found.evidence
    for word, name, share, pounds in (
        ("P2O5", "p2o5_lb", found.p2o5_share, found.p2o5_lb),
        ("K2O", "k2o_lb", found.k2o_share, found.k2o_lb),
    ):
        if share is None:
            sheet.note(f"{system.title} states no share of {word} for year {inputs['year']}.")
        elif inputs[name] is not None:
            sheet.step(f"{word} credited", "applied x share",
                       {"applied_lb": inputs[name], "share": share}, pounds, "lb",
                       system.source, evidence)  # fmt: skip
    if not sheet.steps:
        raise ValueError(
            f"Nothing can be credited: give P2O5 or K2O applied, for a year {system.title} states."
        )
    sheet.note("Limits on phosphorus use what was applied, not what is credited.")
    return {
        "p2o5_credited_lb": found.p2o5_lb,
        "k2o_credited_lb": found.k2o_lb,
        "evidence": found.evidence,
    }


@worksheet(
    "three_year_nitrogen",
    title="Nitrogen a manure gives over three years",
    inputs=[
        Input("material", "word", meaning="manure", kind="choice",
              choices=tuple(credited.three_year_shares()["rows"])),
        Input("total_n_lb", "lb", 0, POUNDS_MOST, "total N applied",
              reason="more than any one farm's"),
    ],
    outputs=[Output("n_lb", "lb", "N available in three years together")],
    source=credited.three_year_shares()["source"],
    example={"material": "feedlot manure", "total_n_lb": 200},
)  # fmt: skip
def three_year_nitrogen(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Older Nebraska shares over three years; never a first-year credit."""
    share = credited.three_year_shares()["rows"][inputs["material"]]
    found = sheet.step("Available in three years", "total N x share",
                       {"total_n_lb": inputs["total_n_lb"], "share": share},
                       credited.credited_lb(inputs["total_n_lb"], share), "lb")  # fmt: skip
    sheet.note("Older than the two factors of 2021, which win for a year's credit.")
    return {"n_lb": found}


@worksheet(
    "acres_for_nitrogen",
    title="Acres that use up the manure's nitrogen",
    inputs=[
        Input("sources", "rows", meaning="manures", kind="list", items=(
            Input("name", "word", meaning="manure or storage", kind="text"),
            Input("available_lb", "lb", 0, POUNDS_MOST, "available nutrient",
                  reason="more than any one farm's"),
        )),
        Input("need_lb_per_ac", "lb/ac", 0, 1000, "need of the crop after credits", above=True,
              reason="no crop needs more"),
    ],
    outputs=[
        Output("available_lb", "lb", "all together"),
        Output("acres", "ac", "acres that use it up"),
    ],
    source="University of Missouri EQ392 (CV-2.4)",
    example={"sources": [{"name": "first storage", "available_lb": 3420},
                         {"name": "second storage", "available_lb": 6045}],
             "need_lb_per_ac": 165},
)  # fmt: skip
def acres_for_nitrogen(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Acres at the crop's need; also for P2O5, with available P2O5 and removal."""
    pounds = [row["available_lb"] for row in inputs["sources"]]
    total = sheet.step("Available together", "sum", {"available_lb": pounds}, sum(pounds), "lb")
    acres = sheet.step("Acres", "pounds / need", {"need_lb_per_ac": inputs["need_lb_per_ac"]},
                       credited.acres_for(total, inputs["need_lb_per_ac"]), "ac")  # fmt: skip
    return {"available_lb": total, "acres": acres}


one_line(
    "irrigation_nitrogen",
    "Nitrogen brought by irrigation water",
    crop_need.irrigation_nitrogen_lb_per_ac,
    [
        Input("nitrate_n_ppm", "ppm", 0, 200, "nitrate N of the water (not nitrate)",
              reason="no well holds more; nitrate x 0.2259 is nitrate N"),
        Input("inches", "in", 0, 100, "water put on", reason="more than any season's"),
    ],
    Output("n_lb_per_ac", "lb/ac", "N to be credited"),
    "ppm x inches x 0.2266",
    "Pounds per acre-inch of water and ppm, exact unit definitions",
    "derived",
    {"nitrate_n_ppm": 10, "inches": 12},
)  # fmt: skip
one_line(
    "price_per_lb",
    "Price of a pound of nutrient",
    nutrient_value.price_per_lb,
    [
        Input("price_per_ton", "$/ton", 0, 10_000, "price of the fertilizer",
              reason="dearer is no farm fertilizer"),
        Input("share_pct", "%", 0, 100, "nutrient in it", above=True, reason="of its weight"),
    ],
    Output("price_per_lb", "$/lb", "price of a pound of nutrient"),
    "price / 2000 / share",
    "Price divided by the nutrient it buys",
    "definition",
    {"price_per_ton": 920, "share_pct": 46},
)  # fmt: skip


@worksheet(
    "yield_ceiling",
    title="A planned yield against its ceiling",
    inputs=[
        Input("yields", "rows", meaning="earlier years", kind="list",
              items=(Input("yield_per_ac", "unit of the crop", 0, 2000, "yield of that year",
                           reason="no crop yields more"),)),
        Input("rule", "word", meaning="rule", kind="choice",
              choices=("mean of best", "mean plus margin")),
        Input("best", "years", 1, 50, "how many best years", kind="whole", optional=True,
              reason="of the years given"),
        Input("margin_pct", "%", 0, 50, "margin above the mean", optional=True,
              reason="5 in Nebraska, 10 in Iowa"),
        Input("planned_per_ac", "unit of the crop", 0, 2000, "planned yield",
              reason="no crop yields more"),
    ],
    outputs=[
        Output("ceiling_per_ac", "unit of the crop", "highest yield a plan may count on"),
        Output("above_per_ac", "unit of the crop", "planned above it; 0 when within"),
        Output("is_within", "yes or no", "whether the plan keeps to it"),
    ],
    source="Iowa rule as reported by Iowa State; Nebraska (North Platte NRD)",
    example={"yields": [{"yield_per_ac": y} for y in (180, 200, 150, 190, 210)],
             "rule": "mean of best", "best": 4, "planned_per_ac": 200},
)  # fmt: skip
def yield_ceiling(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """The ceiling from earlier years by a state's rule, and how far the plan lies above it."""
    yields, unit = [row["yield_per_ac"] for row in inputs["yields"]], "unit of the crop"
    ceiling = sheet.step(
        "Ceiling", inputs["rule"],
        {"yields": yields, "best": inputs["best"], "margin_pct": inputs["margin_pct"]},
        crop_need.realistic_yield(
            yields, inputs["rule"], inputs["best"] or 0, inputs["margin_pct"] or 0.0
        ), unit,
    )  # fmt: skip
    found = recommendation.against_ceiling(inputs["planned_per_ac"], ceiling)
    sheet.step("Planned above the ceiling", "planned - ceiling, at least 0",
               {"planned_per_ac": found.planned_per_ac}, found.above_per_ac, unit)  # fmt: skip
    return {
        "ceiling_per_ac": ceiling,
        "above_per_ac": found.above_per_ac,
        "is_within": found.is_within,
    }


@worksheet(
    "nitrogen_by_yield_goal",
    title="Nitrogen recommendation by yield goal",
    inputs=[
        Input("rule_id", "word", meaning="rule", kind="choice",
              choices=tuple(recommendation.rules("yield_goal"))),
        Input("yield_goal_bu_per_ac", "bu/ac", 0, 400, "yield goal of corn",
              reason="no field of corn yields more"),
    ],
    outputs=[Output("recommended_lb_per_ac", "lb/ac", "nitrogen before credits")],
    source="The chosen rule, Iowa or Nebraska",
    example={"rule_id": "nebraska-simple", "yield_goal_bu_per_ac": 180},
)  # fmt: skip
def nitrogen_by_yield_goal(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Base and pounds per bushel of a state's rule; credits are subtracted afterwards."""
    rule, goal = recommendation.rules("yield_goal")[inputs["rule_id"]], (
        inputs["yield_goal_bu_per_ac"])  # fmt: skip
    found = sheet.step(
        rule["title"], "base + pounds per bushel x goal",
        {"base_lb_per_ac": rule["base_lb_per_ac"], "lb_per_bu": rule["lb_per_bu"], "goal": goal},
        recommendation.by_yield_goal_lb_per_ac(inputs["rule_id"], goal), "lb/ac", rule["source"],
        rule["evidence"],
    )  # fmt: skip
    sheet.note("Credits come off afterwards; a rate by rotation already holds the legume.")
    return {"recommended_lb_per_ac": found}
