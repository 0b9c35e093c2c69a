"""Worksheets of the most a field may take, what is left of it, and how long a storage lasts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import animals, capacity, crop_need, maximum
from .. import storage_budget as budget
from .. import storage_volume as storage
from ..manure_test import UNIT_OF_FORM, ManureContent
from ..units import gal_or_tons, parse_amount
from ..worksheet import Input, Output, Working, worksheet
from .loads import AMOUNT_UNITS
from .storages import STORAGE_INPUTS, shape_of


@worksheet(
    "maximum_rate",
    title="The most manure a plan's limits allow",
    inputs=[
        Input("form", "word", meaning="manure", kind="choice", choices=("liquid", "solid")),
        Input("n", "lb_per_kgal or lb_per_ton", 0, 2000, "N, as the plan counts it",
              optional=True),
        Input("p2o5", "lb_per_kgal or lb_per_ton", 0, 2000, "P2O5", optional=True),
        Input("n_limit_lb_per_ac", "lb/ac", 0, 2000, "nitrogen limit", optional=True),
        Input("p2o5_limit_lb_per_ac", "lb/ac", 0, 2000, "P2O5 limit", optional=True),
        Input("is_p_limited", "yes or no", meaning="phosphorus limits the field", kind="yes_no"),
        Input("n_elsewhere_lb_per_ac", "lb/ac", 0, 2000, "N from elsewhere", optional=True),
        Input("p2o5_elsewhere_lb_per_ac", "lb/ac", 0, 2000, "P2O5 from elsewhere",
              optional=True),
    ],
    outputs=[
        Output("units_per_ac", "1,000 gal/ac or ton/ac", "largest amount"),
        Output("set_by", "word", "the nutrient that sets it"),
    ],
    source="Form of 40 CFR 122.42(e)(5); Montana step 5 (CV-2.1)",
    evidence="derived",
    example={"form": "solid", "n": 8.53, "p2o5": 18, "n_limit_lb_per_ac": 160,
             "p2o5_limit_lb_per_ac": 50, "is_p_limited": False},
    compared=("n", "p2o5", "units_per_ac"),
)  # fmt: skip
def maximum_rate(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Largest amount per acre by each limit, less what comes from elsewhere."""
    content = ManureContent(inputs["form"], inputs["n"], None, None, inputs["p2o5"], None)
    found = maximum.maximum_per_ac(
        content, inputs["n_limit_lb_per_ac"], inputs["p2o5_limit_lb_per_ac"],
        inputs["is_p_limited"], inputs["n_elsewhere_lb_per_ac"] or 0.0,
        inputs["p2o5_elsewhere_lb_per_ac"] or 0.0,
    )  # fmt: skip
    unit = "ton/ac" if inputs["form"] == "solid" else "1,000 gal/ac"
    for name, per_ac in (("n", found.n_units_per_ac), ("p2o5", found.p2o5_units_per_ac)):
        if per_ac is not None:
            values = {
                "limit": inputs[f"{name}_limit_lb_per_ac"],
                "elsewhere": inputs[f"{name}_elsewhere_lb_per_ac"] or 0.0,
                UNIT_OF_FORM[content.form]: inputs[name],
            }
            sheet.step(f"By {name}", "(limit - elsewhere) / content", values, per_ac, unit)
    sheet.step("The most", "the least that applies", {}, found.units_per_ac, unit)
    return {"units_per_ac": found.units_per_ac, "set_by": found.set_by}


@worksheet(
    "remaining_amount",
    title="What a field may still receive",
    inputs=[
        Input("most_per_ac", "gal/ac or ton/ac", 0, None, "largest amount"),
        Input("field_ac", "ac", 0, 5000, "acres of the field", above=True),
        Input("applied", "as given by unit", meaning="put on so far", kind="text"),
        Input("unit", "word", meaning="unit of the amounts", kind="choice", choices=AMOUNT_UNITS),
        Input("load", "as given by unit", meaning="a usual load", kind="text", optional=True),
    ],
    outputs=[
        Output("left", "gal or ton", "amount left"),
        Output("unit", "word", "gal or ton"),
        Output("whole_loads", "loads", "whole loads left"),
    ],
    source="Largest amount less what was applied",
    evidence="definition",
    example={"most_per_ac": 8000, "field_ac": 20, "applied": "100,000", "unit": "gal",
             "load": "6,000"},
)  # fmt: skip
def remaining_amount(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Gallons or tons and whole loads left of a field's largest amount."""
    applied = parse_amount(inputs["applied"], inputs["unit"])
    load = None if inputs["load"] is None else parse_amount(inputs["load"], inputs["unit"])
    left = capacity.remaining(
        inputs["most_per_ac"], inputs["field_ac"], applied.milli, applied.kind,
        None if load is None else load.milli,
    )  # fmt: skip
    unit = "gal" if applied.kind == "gal" else "ton"
    amount = sheet.step(
        "Left", "largest amount x acres - applied, at least 0",
        {"most_per_ac": inputs["most_per_ac"], "field_ac": inputs["field_ac"],
         "applied": float(gal_or_tons(applied.milli, applied.kind))},
        float(gal_or_tons(left.amount_milli, applied.kind)), unit,
    )  # fmt: skip
    if load is not None:
        values = {"load": float(gal_or_tons(load.milli, load.kind))}
        sheet.step("Whole loads", "left / load, rounded down", values, left.whole_loads, "loads")
    return {"left": amount, "unit": unit, "whole_loads": left.whole_loads}


@worksheet(
    "storage_days",
    title="Days until the pump-out mark",
    inputs=[
        *STORAGE_INPUTS,
        Input("mark_ft", "ft", 0, 200, "pump-out mark, depth from the bottom"),
        Input("inflow_gal_per_day", "gal/day", 0, None, "manure, wash and rain", above=True),
    ],
    outputs=[
        Output("room_gal", "gal", "room below the mark"),
        Output("days", "days", "days left; 0 when the mark is passed"),
    ],
    source="Room below the mark divided by daily inflow",
    evidence="definition",
    example={"shape": "rectangular", "length_ft": 192, "width_ft": 50, "full_depth_ft": 8,
             "level_ft": 2, "mark_ft": 7, "inflow_gal_per_day": 1248},
)  # fmt: skip
def storage_days(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Room between the level and the pump-out mark, and the days it lasts."""
    shape = shape_of(inputs)
    at_mark = storage.volume_gal(shape, inputs["mark_ft"])
    at_level = storage.volume_gal(shape, inputs["level_ft"])
    room = sheet.step(
        "Room below the mark",
        "volume at the mark - volume at the level",
        {"at_mark_gal": at_mark, "at_level_gal": at_level},
        budget.room_gal(shape, inputs["level_ft"], inputs["mark_ft"]),
        "gal",
    )
    inflow = inputs["inflow_gal_per_day"]
    days = sheet.step(
        "Days left",
        "room / daily inflow",
        {"room_gal": room, "inflow_gal_per_day": inflow},
        budget.days_left(shape, inputs["level_ft"], inputs["mark_ft"], inflow),
        "days",
    )
    return {"room_gal": room, "days": days}


@worksheet(
    "animal_units",
    title="Animal units by a law's own table",
    inputs=[
        Input("table_id", "word", meaning="table", kind="choice",
              choices=("minnesota", "iowa-1997")),
        Input("animals", "rows", meaning="classes", kind="list", items=(
            Input("name", "word", meaning="class, in the table's words", kind="text"),
            Input("head", "head", 0, None, "animals"),
        )),
    ],
    outputs=[Output("units", "animal units", "sum of head x factor; not a unit of weight")],
    source="The chosen table",
    example={"table_id": "minnesota", "animals": [
        {"name": "mature dairy cow, above 1,000 lb", "head": 200},
        {"name": "feeder cattle or heifer", "head": 80}, {"name": "calf", "head": 60},
    ]},
)  # fmt: skip
def animal_units(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Animal units a law counts; never the same as live weight in 1,000 lb."""
    heads: dict[str, float] = {}
    for row in inputs["animals"]:
        name, head = row["name"], row["head"]
        units = animals.legal_units(inputs["table_id"], {name: head})
        sheet.step(f"Units of {name}", "head x factor", {"head": head}, units, "animal units")
        heads[name] = heads.get(name, 0) + head
    total = animals.legal_units(inputs["table_id"], heads)
    sheet.step("Together", "sum", {}, total, "animal units")
    return {"units": total}


@worksheet(
    "realistic_yield",
    title="The yield a plan may count on",
    inputs=[
        Input("yields", "rows", meaning="earlier years", kind="list",
              items=(Input("yield_per_ac", "unit of the crop", 0, 2000, "yield of that year"),)),
        Input("rule", "word", meaning="rule", kind="choice",
              choices=("mean of best", "mean plus margin")),
        Input("best", "years", 1, 50, "how many best years", kind="whole", optional=True),
        Input("margin_pct", "%", 0, 50, "margin above the mean", optional=True),
    ],
    outputs=[Output("yield_per_ac", "unit of the crop", "realistic yield")],
    source="Iowa rule as reported by Iowa State; Nebraska (North Platte NRD)",
    example={"yields": [{"yield_per_ac": y} for y in (180, 200, 150, 190, 210)],
             "rule": "mean of best", "best": 4},
)  # fmt: skip
def realistic_yield(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Yield from earlier years; unusual disasters are left out by the person, with the reason."""
    yields = [row["yield_per_ac"] for row in inputs["yields"]]
    found = crop_need.realistic_yield(
        yields, inputs["rule"], inputs["best"] or 0, inputs["margin_pct"] or 0.0
    )
    sheet.step(
        "Realistic yield",
        inputs["rule"],
        {"yields": yields, "best": inputs["best"], "margin_pct": inputs["margin_pct"]},
        found,
        "unit of the crop",
    )
    return {"yield_per_ac": found}
