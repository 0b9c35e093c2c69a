"""Worksheets of available nitrogen, crop removal, nitrogen need and nutrient value."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import available_nitrogen as available
from .. import crop_need, nutrient_value
from ..available_words import available_lb
from ..manure_test import ManureContent
from ..nutrients import Applied
from ..units import UNITS, dimension, parse_amount
from ..worksheet import Input, Output, Working, worksheet
from ..worksheet_inputs import by_name

PER_UNIT = "lb_per_kgal or lb_per_ton"
AMOUNT_UNITS = tuple(unit for unit in UNITS if dimension(unit) in ("volume", "mass"))


@worksheet(
    "available_nitrogen",
    title="Nitrogen a crop can use in the first year",
    inputs=[
        Input("system", "word", meaning="state system", kind="choice",
              choices=tuple(sorted(available.systems()))),
        Input("form", "word", meaning="test per 1,000 gal or per ton", kind="choice",
              choices=("liquid", "solid")),
        Input("total_n", PER_UNIT, 0, 2000, "total N", optional=True),
        Input("ammonium_n", PER_UNIT, 0, 2000, "ammonium N", optional=True),
        Input("organic_n", PER_UNIT, 0, 2000, "organic N", optional=True),
        Input("nitrate_n", PER_UNIT, 0, 2000, "nitrate N", optional=True),
        Input("material", "word", meaning="manure, in the system's words", kind="text"),
        Input("application", "word", meaning="application, in its words", kind="text"),
        Input("weather", "word", meaning="weather, or end of a range", kind="text",
              optional=True),
        Input("amount", "unit", meaning="amount spread", kind="text", optional=True),
        Input("unit", "word", meaning="unit of the amount", kind="choice",
              choices=AMOUNT_UNITS, optional=True),
    ],
    outputs=[
        Output("available_n", PER_UNIT, "first-year available N"),
        Output("available_lb", "lb", "available N in the amount, when one is given"),
        Output("evidence", "word", "read, or memory: confirm before use"),
        Output("version", "word", "version of the system"),
    ],
    source="The chosen system's own table",
    example={
        "system": "MT", "form": "solid", "total_n": 21, "ammonium_n": 8, "organic_n": 13,
        "nitrate_n": 0, "material": "solid with bedding", "application": "surface",
    },
    compared=("total_n", "ammonium_n", "organic_n", "nitrate_n", "available_n"),
)  # fmt: skip
def available_nitrogen(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """First-year available N by one state's system; credits change, what was applied does not."""
    system = available.system_named(inputs["system"])
    content = ManureContent(
        inputs["form"], inputs["total_n"], inputs["ammonium_n"], inputs["organic_n"], None, None,
        nitrate_n=inputs["nitrate_n"],
    )  # fmt: skip
    found = available.first_year(
        content, system, inputs["material"], inputs["application"], inputs["weather"] or ""
    )
    evidence: Any = found.evidence
    if system.form == "two-factor":
        parts = {
            "ammonium N": (found.from_ammonium, content.ammonium_n, "ammonium retained"),
            "organic N": (found.from_organic, content.organic_n, "organic released"),
        }
        for words, (part, tested, name) in parts.items():
            table, row = (
                ("ammonium", inputs["application"])
                if words.startswith("ammonium")
                else ("organic", inputs["material"])
            )
            sheet.step(
                f"Available from {words}",
                f"{words} x {name}",
                {words: tested, name: found.factors[name]},
                part,
                content.unit,
                system.source,
                system.evidence(table, row),  # type: ignore[arg-type]
            )
        formula = "ammonium part + organic part + nitrate"
    else:
        formula = "total N x " + " x ".join(found.factors)
    values = {**found.factors, "total_n": content.total_n, "nitrate_n": found.from_nitrate}
    sheet.step(
        "Available in the first year", formula, values, found.available_n, content.unit,
        system.source, evidence,
    )  # fmt: skip
    pounds = _available_lb(inputs, content, found.available_n, sheet)
    if found.evidence == "memory":
        sheet.note("A factor of this system is from memory: confirm it in the official table.")
    return {
        "available_n": found.available_n,
        "available_lb": pounds,
        "evidence": found.evidence,
        "version": found.version,
    }


def _available_lb(
    inputs: Mapping[str, Any], content: ManureContent, per_unit: float, sheet: Working
) -> float | None:
    if not (inputs["amount"] and inputs["unit"]):
        return None
    amount = parse_amount(inputs["amount"], inputs["unit"])
    values = {f"amount_{amount.kind}": amount.milli / 1000, content.unit: per_unit}
    pounds = available_lb(amount.milli, amount.kind, content, per_unit)
    sheet.step("Available in the amount", "amount / unit of the test x available N", values,
               pounds, "lb", "Amount times concentration", "derived")  # fmt: skip
    return pounds


@worksheet(
    "crop_removal",
    title="Nutrients a harvest takes away",
    inputs=[
        Input("set_id", "word", meaning="set of removal figures", kind="choice",
              choices=tuple(crop_need.removal_sets())),
        Input("crop", "word", meaning="crop, in the set's words", kind="text"),
        Input("yield_per_ac", "unit of the crop", 0, 2000, "yield"),
        Input("share_taken", "share", 0, 1, "share taken off the field", optional=True),
    ],
    outputs=[
        Output("n_lb_per_ac", "lb/ac", "N removed"),
        Output("p2o5_lb_per_ac", "lb/ac", "P2O5 removed"),
        Output("k2o_lb_per_ac", "lb/ac", "K2O removed"),
    ],
    source="The chosen set's own figures",
    example={"set_id": "midwest-older", "crop": "corn grain", "yield_per_ac": 150},
)  # fmt: skip
def crop_removal(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Pounds removed per acre by a yield; what the set does not state stays unknown."""
    held = crop_need.removal_sets()[inputs["set_id"]]
    share = 1.0 if inputs["share_taken"] is None else inputs["share_taken"]
    found = crop_need.removal(held.id, inputs["crop"], inputs["yield_per_ac"], share)
    evidence: Any = held.evidence
    for nutrient in crop_need.NUTRIENTS:
        value = getattr(found, f"{nutrient}_lb_per_ac")
        figure = crop_need.coefficient(held.id, inputs["crop"], nutrient)
        ends = crop_need.coefficient_range(held.id, inputs["crop"], nutrient)
        if value is None:
            sheet.note(f"The set states no {nutrient} for {inputs['crop']}.")
            continue
        is_middle = ends is not None and ends[0] != ends[1]
        if ends is not None and is_middle:
            sheet.note(
                f"{nutrient}: the set states {ends[0]:g} to {ends[1]:g} pounds per unit; the "
                f"middle, {figure:g}, is taken here."
            )
        sheet.step(
            f"{nutrient} removed",
            "yield x pounds per unit x share taken",
            {"yield": inputs["yield_per_ac"], "lb_per_unit": figure, "share": share},
            value,
            "lb/ac",
            held.source,
            "derived" if is_middle and evidence == "read" else evidence,
        )
    return {f"{n}_lb_per_ac": getattr(found, f"{n}_lb_per_ac") for n in crop_need.NUTRIENTS}


CREDITS = (
    Input("name", "word", meaning="what gives the credit", kind="text"),
    Input("lb_per_ac", "lb/ac", 0, 1000, "credit"),
    Input("in_recommendation", "yes or no", meaning="the recommendation already holds it",
          kind="yes_no", optional=True),
)  # fmt: skip


@worksheet(
    "nitrogen_need",
    title="Nitrogen still needed after credits",
    inputs=[
        Input("recommended_lb_per_ac", "lb/ac", 0, 1000, "recommendation"),
        Input("credits", "rows", meaning="credits", kind="list", items=CREDITS),
    ],
    outputs=[Output("needed_lb_per_ac", "lb/ac", "nitrogen still needed")],
    source="Missouri EQ392 (CV-2.4); Iowa State, don't double dip",
    example={
        "recommended_lb_per_ac": 195,
        "credits": [{"name": "soybean", "lb_per_ac": 30}],
    },
)
def nitrogen_need(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Recommendation less credits; a credit the recommendation already holds is not taken again."""
    credits = by_name(inputs["credits"], "lb_per_ac")
    told = by_name(inputs["credits"], "in_recommendation")
    held = [name for name, is_held in told.items() if is_held]
    need = crop_need.nitrogen_need(inputs["recommended_lb_per_ac"], credits, held)
    sheet.step(
        "Recommendation less credits, at least 0",
        "recommendation - sum of credits",
        {"recommended": inputs["recommended_lb_per_ac"], **need.credits},
        need.needed_lb_per_ac,
        "lb/ac",
    )
    for name in need.left_out:
        sheet.note(f"{name}: already in the recommendation, not subtracted again.")
    return {"needed_lb_per_ac": need.needed_lb_per_ac}


@worksheet(
    "nutrient_value",
    title="Fertilizer replaced, in your prices",
    inputs=[
        Input("n_lb", "lb", 0, None, "usable N", optional=True),
        Input("p2o5_lb", "lb", 0, None, "usable P2O5", optional=True),
        Input("k2o_lb", "lb", 0, None, "usable K2O", optional=True),
        Input("n_price", "$/lb", 0, 100, "price of a pound of N"),
        Input("p2o5_price", "$/lb", 0, 100, "price of a pound of P2O5"),
        Input("k2o_price", "$/lb", 0, 100, "price of a pound of K2O"),
    ],
    outputs=[Output("total", "$", "what the usable pounds would cost")],
    source="Usable pounds times price",
    evidence="definition",
    example={
        "n_lb": 100, "p2o5_lb": 50, "n_price": 0.6, "p2o5_price": 0.7, "k2o_price": 0.4,
    },
)  # fmt: skip
def nutrient_value_worksheet(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """What usable nutrients would cost as fertilizer, in the prices given."""
    pounds = Applied(inputs["n_lb"], inputs["p2o5_lb"], inputs["k2o_lb"])
    prices = nutrient_value.Prices(inputs["n_price"], inputs["p2o5_price"], inputs["k2o_price"])
    found = nutrient_value.worth(pounds, prices)
    for name in ("n", "p2o5", "k2o"):
        if getattr(found, name) is not None:
            values = {"lb": inputs[f"{name}_lb"], "price": inputs[f"{name}_price"]}
            sheet.step(f"Worth of {name}", "pounds x price", values, getattr(found, name), "$")
    sheet.step("Together", "sum", {}, found.total, "$")
    for name in found.not_tested:
        sheet.note(f"{name} has no figure and is left out.")
    return {"total": found.total}
