"""Worksheets of a load and of a field's year."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import nutrients, rate
from ..manure_test import ManureContent
from ..units import UNITS, dimension, gal_or_tons, parse_amount
from ..worksheet import Input, Output, Working, worksheet

AMOUNT_UNITS = tuple(unit for unit in UNITS if dimension(unit) in ("volume", "mass"))
AMOUNT = Input("amount", "as given by unit", meaning="amount of the load as written", kind="text")
UNIT = Input("unit", "word", meaning="unit of the amount", kind="choice", choices=AMOUNT_UNITS)
PER_UNIT = "lb_per_kgal or lb_per_ton"
CONTENT = (
    Input(
        "form", "word", meaning="manure test per 1,000 gal or per ton", kind="choice",
        choices=("liquid", "solid"),
    ),
    Input("total_n", PER_UNIT, 0, 2000, "total nitrogen, as-is", optional=True),
    Input("p2o5", PER_UNIT, 0, 2000, "phosphate P2O5, as-is", optional=True),
    Input("k2o", PER_UNIT, 0, 2000, "potash K2O, as-is", optional=True),
    Input("density_lb_per_gal", "lb/gal", 1, 15, "density of the manure", optional=True),
)  # fmt: skip


@worksheet(
    "load_rate",
    title="Rate of a load on the acres it covered",
    inputs=[
        AMOUNT,
        UNIT,
        Input("covered_ac", "ac", 0, 5000, "acres covered", above=True),
    ],
    outputs=[
        Output("rate", "gal/ac or ton/ac", "rate on the covered acres"),
        Output("unit", "word", "gal_per_ac or ton_per_ac"),
    ],
    source="Amount divided by covered area (CV-4.3)",
    evidence="derived",
    example={"amount": "8.13", "unit": "ton", "covered_ac": 0.7323232323},
    compared=("rate",),
)
def load_rate(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Rate of one load: its amount on the ground it covered, never on the field's acres."""
    amount = parse_amount(inputs["amount"], inputs["unit"])
    base = "gal" if amount.kind == "gal" else "ton"
    whole = float(gal_or_tons(amount.milli, amount.kind))
    sheet.step(
        "The amount in the unit of the rate",
        "amount x factor of its unit",
        {"amount": inputs["amount"], "unit": inputs["unit"]},
        whole,
        base,
        "Exact unit definitions",
        "definition",
    )
    if amount.note:
        sheet.note(amount.note)
    result = sheet.step(
        "Rate on the covered acres",
        "amount / covered acres",
        {f"amount_{base}": whole, "covered_ac": inputs["covered_ac"]},
        rate.rate_per_ac(amount.milli, amount.kind, inputs["covered_ac"]),
        rate.rate_unit(amount.kind),
    )
    return {"rate": result, "unit": rate.rate_unit(amount.kind)}


def _content(inputs: Mapping[str, Any]) -> ManureContent:
    return ManureContent(
        form=inputs["form"],
        total_n=inputs["total_n"],
        ammonium_n=None,
        organic_n=None,
        p2o5=inputs["p2o5"],
        k2o=inputs["k2o"],
        density_lb_per_gal=inputs["density_lb_per_gal"],
    )


@worksheet(
    "load_nutrients",
    title="Nutrients in a load",
    inputs=[
        AMOUNT,
        UNIT,
        *CONTENT,
        Input("covered_ac", "ac", 0, 5000, "acres covered", optional=True, above=True),
    ],
    outputs=[
        Output("n_lb", "lb", "total N applied"),
        Output("p2o5_lb", "lb", "P2O5 applied"),
        Output("k2o_lb", "lb", "K2O applied"),
        Output("per_ac", "lb/ac", "the three on the covered acres"),
    ],
    source="Amount times concentration (CV-2.3, Iowa State EPC)",
    example={
        "amount": "17.8", "unit": "ton", "form": "solid", "total_n": 13, "p2o5": 6, "k2o": 10,
        "covered_ac": 1,
    },
    compared=("total_n", "p2o5", "k2o", "density_lb_per_gal"),
)  # fmt: skip
def load_nutrients(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Pounds applied (total, not available) with one load, and per covered acre."""
    amount = parse_amount(inputs["amount"], inputs["unit"])
    if amount.note:
        sheet.note(amount.note)
    content = _content(inputs)
    pounds = nutrients.applied(amount.milli, amount.kind, content)
    names = {"n_lb": "total_n", "p2o5_lb": "p2o5", "k2o_lb": "k2o"}
    for name, value in zip(names, pounds.values, strict=True):
        tested = getattr(content, names[name])
        if value is None:
            sheet.note(f"{names[name]} was not tested: no pounds for it.")
            continue
        sheet.step(
            f"Pounds of {names[name]} in the load",
            "amount / unit of the test x concentration",
            {f"amount_{amount.kind}": amount.milli / 1000, content.unit: tested},
            value,
            "lb",
        )
    per_ac = None
    if inputs["covered_ac"]:
        per_ac = nutrients.per_acre(pounds, inputs["covered_ac"])
        sheet.step(
            "On the covered acres",
            "pounds / covered acres",
            {**dict(zip(names, pounds.values, strict=True)), "covered_ac": inputs["covered_ac"]},
            per_ac,
            "lb/ac",
        )
    return {**dict(zip(names, pounds.values, strict=True)), "per_ac": per_ac}


POUNDS = (
    Input("n_lb", "lb", 0, None, "N", optional=True),
    Input("p2o5_lb", "lb", 0, None, "P2O5", optional=True),
    Input("k2o_lb", "lb", 0, None, "K2O", optional=True),
    Input("covered_ac", "ac", 0, 5000, "acres covered", optional=True, above=True),
    Input("ground", "lon/lat", meaning="ground covered", kind="geometry", optional=True),
)


def _on_ground(row: Mapping[str, Any]) -> nutrients.OnGround:
    pounds = nutrients.Applied(row["n_lb"], row["p2o5_lb"], row["k2o_lb"])
    return nutrients.OnGround(pounds, row["ground"], row["covered_ac"])


@worksheet(
    "field_year_nutrients",
    title="A field's year in pounds",
    inputs=[
        Input("field_ac", "ac", 0, 5000, "acres of the field that take manure", above=True),
        Input("loads", "rows", meaning="loads", kind="list", items=POUNDS),
        Input(
            "fertilizer", "rows", meaning="fertilizer passes", kind="list", items=POUNDS,
            optional=True,
        ),
        Input("least_ac", "ac", 0, 5000, "ground that counts as heavily covered", optional=True),
    ],
    outputs=[
        Output("total", "lb", "pounds on the field"),
        Output("per_ac", "lb/ac", "over the whole field"),
        Output("heaviest_per_ac", "lb/ac", "on the most heavily covered ground"),
        Output("without_ground", "loads", "loads whose ground is not known"),
        Output("untested", "loads", "loads that lack a test"),
    ],
    source="Sum of pounds; overlay of the swaths of the year",
    evidence="derived",
    example={"field_ac": 10, "loads": [{"n_lb": 500, "p2o5_lb": 200, "covered_ac": 5}]},
)  # fmt: skip
def field_year_nutrients(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Pounds of a year over the whole field and on its most heavily covered ground."""
    loads = [_on_ground(row) for row in inputs["loads"]]
    passes = [_on_ground(row) for row in inputs["fertilizer"] or []]
    least_ac = 0.1 if inputs["least_ac"] is None else inputs["least_ac"]
    year = nutrients.field_year(inputs["field_ac"], loads, passes, least_ac)
    sheet.step(
        "All pounds of the year",
        "sum over loads and fertilizer",
        {"loads": len(loads), "fertilizer": len(passes)},
        year.total,
        "lb",
    )
    sheet.step(
        "Over the whole field",
        "pounds / field acres",
        {"field_ac": inputs["field_ac"]},
        year.per_ac,
        "lb/ac",
    )
    sheet.step(
        "On the most heavily covered ground",
        "swaths laid over each other; pounds per acre add up where they overlap",
        {"least_ac": least_ac, "method": year.method, "without_ground": year.without_ground},
        year.heaviest_per_ac,
        "lb/ac",
    )
    if year.without_ground:
        sheet.note(
            f"{year.without_ground} load(s) have no known ground: they are laid evenly over the "
            "acres they covered, so the heaviest figure is an estimate."
        )
    if year.untested:
        sheet.note(f"{year.untested} load(s) lack a figure: that nutrient cannot be told.")
    return {
        "total": year.total,
        "per_ac": year.per_ac,
        "heaviest_per_ac": year.heaviest_per_ac,
        "without_ground": year.without_ground,
        "untested": year.untested,
    }
