"""Worksheets of figures that other worksheets ask for: shares, covers, depths, rates, credits."""

from __future__ import annotations

from collections.abc import Mapping
from statistics import fmean
from typing import Any

from .. import calibration, cover_factor, density, irrigation, passes, piles, recommendation
from .. import water_extractable as extractable
from ..worksheet import Input, Output, Working, worksheet
from .one_line import one_line


@worksheet(
    "water_extractable_share",
    title="Phosphorus figures that the annual P loss asks for",
    inputs=[
        Input("p2o5_lb_per_ac", "lb P2O5/ac", 0, 2000, "P2O5 in the manure put on",
              reason="ten times what a crop removes"),
        Input("total_p_g_per_kg", "g/kg", 0, 100, "total P of the manure, dry basis", above=True,
              reason="a tenth of the weight"),
        Input("wep_g_per_kg", "g/kg", 0, 30, "water-extractable P, dry basis", optional=True,
              reason="140 manures lay between 0.2 and 16.8"),
        Input("species", "word", meaning="or the typical figure of", kind="choice",
              choices=extractable.SPECIES, optional=True),
    ],
    outputs=[
        Output("p_kg_per_ha", "kg P/ha", "P in the manure"),
        Output("wep_g_per_kg", "g/kg", "water-extractable P used"),
        Output("water_extractable_pct", "%", "share of its P that water extracts"),
    ],
    source=extractable.SOURCE,
    example={"p2o5_lb_per_ac": 51.1, "total_p_g_per_kg": 8, "species": "dairy"},
)  # fmt: skip
def water_extractable_share(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Kilograms of P per hectare and the share water extracts, by laboratory or species."""
    wep, species = inputs["wep_g_per_kg"], inputs["species"]
    if (wep is None) == (species is None):
        raise ValueError("Give wep_g_per_kg of the laboratory, or a species: one of the two.")
    pounds = inputs["p2o5_lb_per_ac"]
    per_ha = sheet.step("P put on", "P2O5 / 2.29137 x 1.12085", {"p2o5_lb_per_ac": pounds},
                        extractable.p_kg_per_ha(pounds), "kg P/ha", "Molar masses; exact units",
                        "definition")  # fmt: skip
    if wep is None:
        wep = sheet.step("Typical of the species", "table", {"species": species},
                         extractable.typical_g_per_kg(species), "g/kg")  # fmt: skip
        sheet.note("A typical figure: manures of one species differ widely. A test is better.")
    share = sheet.step("Share that water extracts", "100 x water-extractable P / total P",
                       {"wep_g_per_kg": wep, "total_p_g_per_kg": inputs["total_p_g_per_kg"]},
                       extractable.extractable_pct(wep, inputs["total_p_g_per_kg"]), "%",
                       "Definition", "definition")  # fmt: skip
    return {"p_kg_per_ha": per_ha, "wep_g_per_kg": wep, "water_extractable_pct": share}


@worksheet(
    "cover_factor",
    title="Cover factor C: examples",
    inputs=[Input("cover", "word", meaning="cover", kind="choice",
                  choices=tuple(cover_factor.examples()))],
    outputs=[Output("c", "factor", "C of the example")],
    source="Examples of textbooks and filings; each row has its own",
    example={"cover": "conventional corn"},
)  # fmt: skip
def cover_factor_sheet(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """An example of C; a plan takes the state's own table or the output of RUSLE2."""
    row = cover_factor.examples()[inputs["cover"]]
    found = sheet.step("C of the example", "table", {"cover": inputs["cover"]},
                       cover_factor.example_c(inputs["cover"]), "factor",
                       row["source"])  # fmt: skip
    sheet.note("An example only: a plan needs the state's table of C or RUSLE2.")
    return {"c": found}


@worksheet(
    "lane_unevenness",
    title="Unevenness of sheets or trays across a lane",
    inputs=[
        Input("trays", "rows", meaning="sheets or trays across the lane, overlap included",
              kind="list", items=(Input("amount", "any, the same for all", 0, 10_000,
                                        "caught in it", reason="one tray is weighed by hand"),)),
    ],
    outputs=[
        Output("mean", "as given", "mean of the trays"),
        Output("cv_pct", "%", "coefficient of variation, sample form"),
    ],
    source="Missouri WQ214 lane test; sample standard deviation (CV-4.4)",
    evidence="derived",
    example={"trays": [{"amount": amount} for amount in (14, 12, 9, 11, 13)]},
)  # fmt: skip
def lane_unevenness(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Coefficient of variation over one lane; at least five equal parts are weighed."""
    amounts = [row["amount"] for row in inputs["trays"]]
    found = calibration.coefficient_of_variation_pct(amounts)
    mean = sheet.step("Mean", "sum / trays", {"amounts": amounts}, fmean(amounts),
                      "as given")  # fmt: skip
    sheet.step("Unevenness", "100 x standard deviation (n - 1) / mean", {}, found, "%")
    if len(amounts) < 5:
        sheet.note("The lane test asks for at least five parts.")
    return {"mean": mean, "cv_pct": found}


@worksheet(
    "irrigation_depth",
    title="Depth of effluent from flow and time",
    inputs=[
        Input("flow_gal_per_min", "gal/min", 0, 20_000, "flow of hose or sprinkler",
              reason="more than any farm pump"),
        Input("hours", "h", 0, 1000, "time it ran", reason="six weeks"),
        Input("covered_ac", "ac", 0, 5000, "acres covered", above=True,
              reason="a depth needs ground"),
    ],
    outputs=[
        Output("amount_gal", "gal", "put on"),
        Output("depth_in", "in", "depth"),
    ],
    source="Acre-inch of 27,154 gal, NC State appendix B",
    example={"flow_gal_per_min": 450, "hours": 10, "covered_ac": 20},
)  # fmt: skip
def irrigation_depth(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Gallons and inches that a running hose or sprinkler put on."""
    flow, hours, acres = (inputs[name] for name in ("flow_gal_per_min", "hours", "covered_ac"))
    gallons = sheet.step("Put on", "flow x hours x 60", {"flow_gal_per_min": flow, "hours": hours},
                         irrigation.amount_gal(flow, hours), "gal", "Definition",
                         "definition")  # fmt: skip
    depth = sheet.step("Depth", "gallons / acres / 27,154.29",
                       {"amount_gal": gallons, "covered_ac": acres},
                       irrigation.depth_in(gallons, acres), "in")  # fmt: skip
    return {"amount_gal": gallons, "depth_in": depth}


@worksheet(
    "planned_weight",
    title="Weight of manure by a planning density",
    inputs=[
        Input("volume_cuft", "cu ft", 0, 100_000_000, "volume", above=True,
              reason="larger is no one storage"),
        Input("material", "word", meaning="planning figure", kind="choice",
              choices=density.planned_by_volume()),
    ],
    outputs=[
        Output("lb_per_cuft", "lb/cu ft", "density used; assumed, not measured"),
        Output("weight_ton", "ton", "weight"),
    ],
    source="Penn State calibration; NC State appendix B",
    example={"volume_cuft": 1000, "material": "solid, planning"},
)  # fmt: skip
def planned_weight(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Tons by an assumed density; a weighed bucket is better."""
    row = density.planning_figures()[inputs["material"]]
    held = density.planning_lb_per_cuft(inputs["material"])
    sheet.step("Density", "table", {"material": inputs["material"]}, held, "lb/cu ft",
               row["source"])  # fmt: skip
    tons = sheet.step("Weight", "volume x density / 2000",
                      {"volume_cuft": inputs["volume_cuft"], "lb_per_cuft": held},
                      piles.pile_ton(inputs["volume_cuft"], held), "ton")  # fmt: skip
    sheet.note("The density is assumed, not measured: weigh buckets for a record.")
    return {"lb_per_cuft": held, "weight_ton": tons}


one_line(
    "nitrogen_by_rotation",
    "Nitrogen recommendation by rotation",
    recommendation.by_rotation_lb_per_ac,
    [Input("rule_id", "word", meaning="rotation", kind="choice",
           choices=tuple(recommendation.rules("rotation")))],
    Output("recommended_lb_per_ac", "lb/ac", "nitrogen; the legume is already in it"),
    "table; no legume credit is subtracted again",
    "Iowa State, don't double dip on the soybean, at a price ratio of 0.10",
    "read",
    {"rule_id": "iowa-corn-after-soybean"},
)  # fmt: skip


@worksheet(
    "legume_credit",
    title="Nitrogen credit of a legume",
    inputs=[
        Input("rule_id", "word", meaning="legume and stand", kind="choice",
              choices=tuple(recommendation.rules("legume"))),
    ],
    outputs=[
        Output("low_lb_per_ac", "lb/ac", "low end"),
        Output("high_lb_per_ac", "lb/ac", "high end"),
    ],
    source="North Platte NRD; landwise.ca",
    example={"rule_id": "nebraska-alfalfa-good"},
)  # fmt: skip
def legume_credit(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Both ends of the published credit; never beside a rate by rotation, which holds it."""
    rule = recommendation.rules("legume")[inputs["rule_id"]]
    low, high = recommendation.legume_credit_lb_per_ac(inputs["rule_id"])
    for words, value in (("Low end", low), ("High end", high)):
        sheet.step(words, "table", {"legume": rule["title"]}, value, "lb/ac",
                   rule["source"])  # fmt: skip
    sheet.note("A rate by rotation already holds the legume: take no credit beside it.")
    return {"low_lb_per_ac": low, "high_lb_per_ac": high}


one_line(
    "width_from_throw",
    "Effective width from throw and overlap",
    passes.width_from_throw_ft,
    [
        Input("throw_ft", "ft", 0, 200, "width thrown in one pass", above=True,
              reason="no spreader throws farther"),
        Input("overlap_share", "share", 0, 0.9, "overlap of neighbouring passes",
              reason="0.10 to 0.20 where the width is estimated"),
    ],
    Output("width_ft", "ft", "effective width: spacing between passes"),
    "throw x (1 - overlap)",
    "Utah State calibration sheet",
    "read",
    {"throw_ft": 45, "overlap_share": 0.2},
)  # fmt: skip
one_line(
    "solid_flow_rate",
    "Rate of solid manure from flow, width and speed",
    passes.flow_rate_ton_per_ac,
    [
        Input("flow_lb_per_min", "lb/min", 0, 100_000, "unloading", above=True,
              reason="a load in seconds"),
        Input("width_ft", "ft", 0, 200, "effective width", above=True,
              reason="no spreader covers more"),
        Input("speed_mph", "mph", 0, 40, "ground speed", above=True,
              reason="faster is no spreading"),
    ],
    Output("rate_ton_per_ac", "ton/ac", "rate"),
    "pounds a minute x 0.2475 / (width x speed)",
    "Standard field form, 0.2475 = 495 / 2000",
    "memory",
    {"flow_lb_per_min": 8000, "width_ft": 20, "speed_mph": 4},
)  # fmt: skip
