"""Worksheets of the yearly rate calculation, what limits leave, earlier years, and machines."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import available_nitrogen as available
from .. import capacity, maximum
from .. import rate_terms as terms
from ..manure_test import UNIT_OF_FORM, ManureContent
from ..nutrients import KIND_OF_FORM
from ..units import gal_or_tons, parse_amount
from ..worksheet import Input, Output, Working, worksheet
from .loads import AMOUNT_UNITS

FORM = Input("form", "word", meaning="manure", kind="choice", choices=("liquid", "solid"))
PER_UNIT = "lb_per_kgal or lb_per_ton"
DEDUCTIONS = {
    "legume_credit_lb_per_ac": "legume credit, N",
    "residual_manure_n_lb_per_ac": "N left from manure of earlier years",
    "soil_n_lb_per_ac": "N in the soil",
    "fertilizer_n_lb_per_ac": "N of fertilizer, starter included",
    "other_n_lb_per_ac": "N from anything else",
    "fertilizer_p2o5_lb_per_ac": "P2O5 of fertilizer",
    "other_p2o5_lb_per_ac": "P2O5 from anything else",
}


@worksheet(
    "yearly_rate",
    title="The yearly rate calculation of a permit",
    inputs=[
        Input("approach", "word", meaning="approach of the permit", kind="choice",
              choices=("linear", "narrative")),
        Input("field_name", "word", meaning="field", kind="text"),
        Input("crop", "word", meaning="crop", kind="text"),
        Input("crop_year", "year", 1950, 2200, "crop year", kind="whole"),
        FORM,
        Input("spreadable_ac", "ac", 0, 5000, "field less setbacks"),
        Input("is_p_limited", "yes or no", meaning="phosphorus limits the field", kind="yes_no"),
        Input("n_limit_lb_per_ac", "lb/ac", 0, 2000, "most N: of manure, or of all sources"),
        Input("p2o5_limit_lb_per_ac", "lb/ac", 0, 2000, "most P2O5, counted alike",
              optional=True),
        Input("manure_n_lb_per_unit", PER_UNIT, 0, 2000, "N of the manure as the plan counts it",
              above=True),
        Input("manure_p2o5_lb_per_unit", PER_UNIT, 0, 2000, "P2O5 of the manure", optional=True),
        *(Input(name, "lb/ac", 0, 2000, words, optional=True)
          for name, words in DEDUCTIONS.items()),
    ],
    outputs=[
        Output("units_per_ac", "1,000 gal/ac or ton/ac", "largest amount per acre"),
        Output("set_by", "word", "the nutrient that sets it"),
        Output("amount", "gal or ton", "largest amount on the spreadable acres"),
        Output("method_version", "word", "version of the calculation"),
    ],
    source=terms.SOURCE,
    evidence="derived",
    example={
        "approach": "narrative", "field_name": "North 40", "crop": "corn", "crop_year": 2025,
        "form": "solid", "spreadable_ac": 40, "is_p_limited": False, "n_limit_lb_per_ac": 160,
        "p2o5_limit_lb_per_ac": 50, "manure_n_lb_per_unit": 8.53, "manure_p2o5_lb_per_unit": 18,
        "legume_credit_lb_per_ac": 40, "fertilizer_n_lb_per_ac": 10, "soil_n_lb_per_ac": 30,
    },
    compared=("manure_n_lb_per_unit", "manure_p2o5_lb_per_unit", "units_per_ac"),
)  # fmt: skip
def yearly_rate(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Linear or narrative rate terms of 40 CFR 122.42(e)(5) for one field, crop and manure."""
    given = {k: v for k, v in inputs.items() if v is not None and k != "earlier"}
    found = terms.yearly_rate(terms.RateInputs(**given))
    unit = "ton/ac" if inputs["form"] == "solid" else "1,000 gal/ac"
    asked = found.inputs
    for name, limit, deductions, held, units in (
        ("N", asked.n_limit_lb_per_ac, asked.n_deductions, asked.manure_n_lb_per_unit,
         found.n_units_per_ac),
        ("P2O5", asked.p2o5_limit_lb_per_ac, asked.p2o5_deductions,
         asked.manure_p2o5_lb_per_unit, found.p2o5_units_per_ac),
    ):  # fmt: skip
        if units is not None:
            values = {"limit": limit, **{k: v for k, v in deductions.items() if v}, "holds": held}
            sheet.step(f"By {name}", "(limit - deductions, at least 0) / content", values, units,
                       unit)  # fmt: skip
    sheet.step("The most per acre", "by N; on a field limited by P the lesser", {},
               found.units_per_ac, unit)  # fmt: skip
    sheet.step("On the spreadable acres", "per acre x acres",
               {"spreadable_ac": asked.spreadable_ac}, found.amount,
               "ton" if inputs["form"] == "solid" else "gal")  # fmt: skip
    return {
        "units_per_ac": found.units_per_ac,
        "set_by": found.set_by,
        "amount": found.amount,
        "method_version": found.method_version,
    }


LIMITS = (
    Input("nutrient", "word", meaning="nutrient", kind="choice", choices=("N", "P2O5")),
    Input("limit_lb_per_ac", "lb/ac", 0, 2000, "limit in force"),
    Input("applied_lb", "lb", 0, None, "put on the field so far"),
    Input("held_lb_per_unit", PER_UNIT, 0, 2000, "in the manure"),
)


@worksheet(
    "left_under_limits",
    title="What may still be hauled to a field",
    inputs=[
        FORM,
        Input("field_ac", "ac", 0, 5000, "acres of the field", above=True),
        Input("limits", "rows", meaning="limits in force", kind="list", items=LIMITS),
        Input("load", "as given by unit", meaning="a usual load", kind="text", optional=True),
        Input("unit", "word", meaning="unit of the load", kind="choice", choices=AMOUNT_UNITS,
              optional=True),
    ],
    outputs=[
        Output("left", "gal or ton", "amount left"),
        Output("loads", "loads", "usual loads left"),
        Output("limited_by", "word", "the nutrient that decides"),
    ],
    source="Limit x acres less what was put on, divided by the content",
    evidence="derived",
    example={
        "form": "liquid", "field_ac": 40, "load": "6,400", "unit": "gal",
        "limits": [{"nutrient": "N", "limit_lb_per_ac": 160, "applied_lb": 3200,
                    "held_lb_per_unit": 25}],
    },
)  # fmt: skip
def left_under_limits(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Gallons or tons and usual loads left under the limits, by the nutrient that decides."""
    form = inputs["form"]
    kind = KIND_OF_FORM[form]
    usual = [] if inputs["load"] is None else [parse_amount(inputs["load"], inputs["unit"] or kind)]
    if usual and usual[0].kind != kind:
        raise ValueError(f"The load is in {usual[0].kind}, the manure is {form}.")
    limits = [maximum.NutrientLimit(**row) for row in inputs["limits"]]
    loads = [load.milli for load in usual]
    for one in limits:
        single = maximum.left_under_limits([one], inputs["field_ac"], form, loads)
        sheet.step(
            f"Left by {one.nutrient}", "(limit x acres - put on, at least 0) / content",
            {"limit_lb_per_ac": one.limit_lb_per_ac, "field_ac": inputs["field_ac"],
             "applied_lb": one.applied_lb, "held": one.held_lb_per_unit},
            None if single is None else float(gal_or_tons(single.amount_milli, kind)),
            "gal" if kind == "gal" else "ton",
        )  # fmt: skip
    left = maximum.left_under_limits(limits, inputs["field_ac"], form, loads)
    if left is None:
        sheet.note("The manure holds neither nutrient: no limit bears on it.")
        return {"left": None, "loads": None, "limited_by": None}
    amount = float(gal_or_tons(left.amount_milli, kind))
    sheet.step("The least decides", "smallest of the above", {}, amount,
               "gal" if kind == "gal" else "ton")  # fmt: skip
    return {"left": amount, "loads": left.loads, "limited_by": left.limited_by}


EVENTS = (
    Input("crop_year", "year", 1950, 2200, "crop year", kind="whole"),
    Input("units_per_ac", "1,000 gal/ac or ton/ac", 0, 1000, "rate"),
    Input("tested_n", PER_UNIT, 0, 2000, "organic N, or total N where the system counts that"),
    Input("material", "word", meaning="manure, in the system's words", kind="text"),
)


@worksheet(
    "residual_nitrogen",
    title="Nitrogen left from manure of earlier years",
    inputs=[
        Input("system", "word", meaning="state system", kind="choice",
              choices=tuple(available.systems())),
        Input("crop_year", "year", 1950, 2200, "crop year that gets the credit", kind="whole"),
        FORM,
        Input("events", "rows", meaning="manure by crop year, not calendar year", kind="list",
              items=EVENTS),
    ],
    outputs=[
        Output("credit_lb_per_ac", "lb/ac", "N still given in the crop year"),
        Output("evidence", "word", "read, or memory: confirm before use"),
        Output("version", "word", "version of the system"),
    ],
    source="The chosen system's own decay series (CV-2.2)",
    example={
        "system": "NY", "crop_year": 2026, "form": "solid",
        "events": [
            {"crop_year": year, "units_per_ac": 10, "tested_n": 5,
             "material": "cow, below 18 % dry matter"}
            for year in (2024, 2025)
        ],
    },
)  # fmt: skip
def residual_nitrogen(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Credit of the two crop years before; autumn manure counts for the crop it was meant for."""
    system = available.system_named(inputs["system"])
    total, told = 0.0, []
    for row in inputs["events"]:
        content = ManureContent(inputs["form"], row["tested_n"], None, row["tested_n"], None, None)
        event = available.EarlierEvent(
            row["crop_year"], row["units_per_ac"], content, row["material"]
        )
        credit = available.residual_credit_lb_per_ac(inputs["crop_year"], [event], system)
        years = inputs["crop_year"] - row["crop_year"]
        if not 1 <= years <= 2:
            sheet.note(f"Manure of crop year {row['crop_year']} gives nothing here.")
            continue
        share = available.later_share(system, row["material"], years)
        evidence: Any = available.later_evidence(system, row["material"])
        told.append(evidence)
        sheet.step(
            f"From crop year {row['crop_year']}", f"rate x {system.residual_of} x share",
            {"rate": row["units_per_ac"], UNIT_OF_FORM[content.form]: row["tested_n"],
             "share": share, "years_after": years},
            credit, "lb/ac", system.source, evidence,
        )  # fmt: skip
        total += credit
    known: Any = "memory" if "memory" in told else "read"
    sheet.step("Together", "sum", {}, total, "lb/ac", system.source, known)
    if known == "memory":
        sheet.note("A share of this system is from memory: confirm it in the official table.")
    return {"credit_lb_per_ac": total, "evidence": known, "version": system.version}


AXLES = (
    Input("tare_lb", "lb", 0, 200_000, "weight of the empty machine on this axle"),
    Input("share", "share", 0, 1, "share of the load on this axle"),
    Input("limit_lb", "lb", 0, 200_000, "limit for this axle, from the law", optional=True),
)


@worksheet(
    "axle_load",
    title="What each axle carries",
    inputs=[
        Input("load_lb", "lb", 0, 200_000, "weight of the load"),
        Input("axles", "rows", meaning="axles and hitch", kind="list", items=AXLES),
    ],
    outputs=[
        Output("carried_lb", "lb", "weight on each axle, in their order"),
        Output("all_within", "yes or no", "every stated limit kept; empty when none is stated"),
    ],
    source="Tare plus share of the load",
    evidence="definition",
    example={
        "load_lb": 50_000,
        "axles": [{"tare_lb": 2000, "share": 0.1}, {"tare_lb": 10_000, "share": 0.9,
                                                    "limit_lb": 60_000}],
    },
)  # fmt: skip
def axle_load(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Weight on each axle or hitch from tare, load and split; limits are handed in."""
    rows = inputs["axles"]
    found = capacity.axle_loads(
        [row["tare_lb"] for row in rows], inputs["load_lb"], [row["share"] for row in rows],
        [row["limit_lb"] for row in rows],
    )  # fmt: skip
    for number, (row, axle) in enumerate(zip(rows, found, strict=True), 1):
        values = {"tare_lb": row["tare_lb"], "load_lb": inputs["load_lb"], "share": row["share"],
                  "limit_lb": row["limit_lb"]}  # fmt: skip
        sheet.step(f"Axle {number}", "tare + load x share", values, axle.carried_lb, "lb")
        if axle.within is False:
            sheet.note(f"Axle {number} carries more than its limit.")
    told = [axle.within for axle in found if axle.within is not None]
    return {
        "carried_lb": [axle.carried_lb for axle in found],
        "all_within": all(told) if told else None,
    }


@worksheet(
    "box_load",
    title="Tons in a spreader box",
    inputs=[
        Input("length_ft", "ft", 0, 60, "inside length"),
        Input("width_ft", "ft", 0, 20, "mean inside width"),
        Input("depth_ft", "ft", 0, 15, "struck depth"),
        Input("heap_ft", "ft", 0, 10, "height of the heap", optional=True),
        Input("lb_per_five_gal", "lb", 0, 80, "net weight of a five-gallon bucket"),
    ],
    outputs=[
        Output("volume_cuft", "cu ft", "volume"),
        Output("load_ton", "ton", "weight"),
    ],
    source="Penn State spreader calibration; Utah State bucket method",
    evidence="memory",
    example={"length_ft": 14, "width_ft": 6, "depth_ft": 2.5, "heap_ft": 1,
             "lb_per_five_gal": 35},
)  # fmt: skip
def box_load(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Volume with the heap counted at 0.8, and tons by a weighed bucket."""
    heap = inputs["heap_ft"] or 0.0
    sizes = [inputs[name] for name in ("length_ft", "width_ft", "depth_ft")]
    volume = sheet.step(
        "Volume", "length x width x (depth + 0.8 x heap)",
        {"length_ft": sizes[0], "width_ft": sizes[1], "depth_ft": sizes[2], "heap_ft": heap},
        capacity.box_load_cuft(sizes[0], sizes[1], sizes[2], heap), "cu ft",
    )  # fmt: skip
    load = sheet.step(
        "Weight", "bucket x 1.5 x volume / 2,000",
        {"lb_per_five_gal": inputs["lb_per_five_gal"], "volume_cuft": volume},
        capacity.box_load_ton(inputs["lb_per_five_gal"], volume), "ton",
        "Utah State and NC State calibration sheets", "read",
    )  # fmt: skip
    return {"volume_cuft": volume, "load_ton": load}
