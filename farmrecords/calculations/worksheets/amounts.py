"""Worksheets of how much was spread: storage drop, counts, meters, scales, a weighed strip."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import calibration, capacity, rate
from .. import storage_budget as budget
from .. import storage_volume as storage
from ..units import SQFT_PER_AC, gal_or_tons, parse_amount
from ..worksheet import Input, Output, Working, worksheet
from .loads import AMOUNT_UNITS
from .storages import STORAGE_INPUTS, shape_of

ACRES = Input("covered_ac", "ac", 0, 5000, "acres covered", above=True, optional=True,
              reason="a rate needs ground; larger is no one field")  # fmt: skip
UNIT = Input("unit", "word", meaning="unit of the amounts", kind="choice", choices=AMOUNT_UNITS)
RATE = Output("rate", "gal/ac or ton/ac", "rate on the covered acres; empty without acres")


def _level(name: str, meaning: str) -> Input:
    return Input(name, "ft", 0, 200, meaning, reason="from the bottom of the storage")


def _rate(amount_milli: int, kind: Any, acres: float | None, sheet: Working) -> float | None:
    """The step from an amount to its rate, where the acres are known."""
    if acres is None:
        sheet.note("Without acres covered there is no rate.")
        return None
    found: float = sheet.step(
        "Rate on the covered acres", "amount / covered acres",
        {f"amount_{kind}": amount_milli / 1000, "covered_ac": acres},
        rate.rate_per_ac(amount_milli, kind, acres), "gal/ac" if kind == "gal" else "ton/ac",
    )  # fmt: skip
    return found


@worksheet(
    "storage_drop",
    title="What left a storage between two readings",
    inputs=[
        *[one for one in STORAGE_INPUTS if one.name != "level_ft"],
        _level("level_before_ft", "depth before"),
        _level("level_after_ft", "depth after"),
        Input("rain_in", "in", 0, 60, "rain in between", optional=True,
              reason="more than any storm"),
        Input("inflow_gal", "gal", 0, None, "what flowed in meanwhile", optional=True),
        Input("catchment_sqft", "sq ft", 0, None, "ground that drains in; left out, the full "
              "surface", optional=True, above=True),
        ACRES,
    ],
    outputs=[
        Output("taken_gal", "gal", "taken out"),
        Output("rate_gal_per_ac", "gal/ac", "rate on the covered acres; empty without acres"),
    ],
    source="Volume before less volume after, with rain and inflow (Washington dairy plan practice)",
    evidence="derived",
    example={"shape": "rectangular", "length_ft": 192, "width_ft": 50, "full_depth_ft": 8,
             "level_before_ft": 7, "level_after_ft": 2, "rain_in": 1, "inflow_gal": 1000,
             "covered_ac": 40},
)  # fmt: skip
def storage_drop(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Gallons taken out of a storage: the fall of its level, and what came in meanwhile."""
    shape = shape_of(inputs)
    before, after = inputs["level_before_ft"], inputs["level_after_ft"]
    rain, inflow = inputs["rain_in"] or 0.0, inputs["inflow_gal"] or 0.0
    catchment = inputs["catchment_sqft"] or storage.surface_sqft(shape, shape.depth_ft)
    volumes = [storage.volume_gal(shape, level) for level in (before, after)]
    sheet.step("Volume before", "volume at the level", {"level_ft": before}, volumes[0], "gal")
    sheet.step("Volume after", "volume at the level", {"level_ft": after}, volumes[1], "gal")
    sheet.step(
        "Rain in between", "inches x catchment / 43,560 x 27,154.29",
        {"rain_in": rain, "catchment_sqft": catchment},
        budget.rain_gal(rain, catchment / SQFT_PER_AC), "gal",
    )  # fmt: skip
    taken = sheet.step(
        "Taken out", "before - after + rain + inflow",
        {"inflow_gal": inflow},
        budget.drawdown_gal(shape, before, after, rain, inflow, catchment), "gal",
    )  # fmt: skip
    milli = round(taken * 1000)
    return {
        "taken_gal": taken,
        "rate_gal_per_ac": _rate(milli, "gal", inputs["covered_ac"], sheet),
    }


@worksheet(
    "counted_loads",
    title="Amount and rate of counted loads",
    inputs=[
        Input("count", "loads", 1, 10_000, "equal loads", kind="whole",
              reason="count one day or one field"),
        Input("load", "as given by unit", meaning="one load", kind="text"),
        UNIT,
        ACRES,
    ],
    outputs=[Output("amount", "gal or lb", "all loads together"), RATE],
    source="Number of loads x load (CV-4.5)",
    evidence="derived",
    example={"count": 10, "load": "3.0", "unit": "ton", "covered_ac": 4},
)  # fmt: skip
def counted_loads(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Equal loads by their number, and their rate on the acres they covered."""
    load = parse_amount(inputs["load"], inputs["unit"])
    milli = rate.counted_loads_milli(inputs["count"], load.milli)
    sheet.step("All loads", "count x load", {"count": inputs["count"], "load": load.milli / 1000},
               milli / 1000, load.kind)  # fmt: skip
    return {"amount": milli / 1000, "rate": _rate(milli, load.kind, inputs["covered_ac"], sheet)}


RATINGS = tuple(str(bushels) for bushels in capacity.BUSHEL_LOADS_TON)


@worksheet(
    "bushel_spreader",
    title="Tons of end-gate spreader loads by bushel rating",
    inputs=[
        Input("rating_bu", "bu", meaning="bushel rating", kind="choice", choices=RATINGS),
        Input("count", "loads", 1, 10_000, "full loads", kind="whole",
              reason="count one day or one field"),
        ACRES,
    ],
    outputs=[Output("amount_ton", "ton", "all loads together"), RATE],
    source="Iowa State EPC 1999, means of more than 100 weighed loads (CV-4.5)",
    example={"rating_bu": "220", "count": 10, "covered_ac": 4},
)  # fmt: skip
def bushel_spreader(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Tons by the mean of weighed loads of that rating; a weighed load of one's own is better."""
    tons = sheet.step("Mean load of this rating", "table", {"rating_bu": inputs["rating_bu"]},
                      capacity.BUSHEL_LOADS_TON[int(inputs["rating_bu"])], "ton")  # fmt: skip
    milli = rate.counted_loads_milli(inputs["count"], round(tons * rate.LB_PER_TON * 1000))
    together = float(gal_or_tons(milli, "lb"))
    sheet.step("All loads", "count x load", {"count": inputs["count"]}, together, "ton")
    sheet.note("Measured in northeast Iowa with light material: weigh your own loads.")
    return {"amount_ton": together, "rate": _rate(milli, "lb", inputs["covered_ac"], sheet)}


@worksheet(
    "metered_load",
    title="Amount and rate from a flow meter",
    inputs=[
        Input("start", "as given by unit", meaning="meter at the start", kind="text"),
        Input("stop", "as given by unit", meaning="meter at the end", kind="text"),
        UNIT,
        ACRES,
    ],
    outputs=[Output("amount", "gal or lb", "what passed the meter"), RATE],
    source="Reading at the end less reading at the start",
    evidence="definition",
    example={"start": "120,000", "stop": "126,500", "unit": "gal", "covered_ac": 1.3},
)
def metered_load(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """What passed a meter between two readings; one that ran backwards is refused."""
    start, stop = (parse_amount(inputs[name], inputs["unit"]) for name in ("start", "stop"))
    milli = rate.meter_milli(start.milli, stop.milli)
    sheet.step("What passed", "end - start", {"start": start.milli / 1000,
               "stop": stop.milli / 1000}, milli / 1000, start.kind)  # fmt: skip
    return {"amount": milli / 1000, "rate": _rate(milli, start.kind, inputs["covered_ac"], sheet)}


FIELDS = (
    Input("name", "word", meaning="field", kind="text"),
    Input("start_lb", "lb", 0, 200_000, "scale at the start", reason="heavier than any spreader"),
    Input("stop_lb", "lb", 0, 200_000, "scale at the end", reason="heavier than any spreader"),
    ACRES,
)


@worksheet(
    "scale_split",
    title="A load divided over fields by its scale",
    inputs=[
        Input("fields", "rows", meaning="fields in the order driven", kind="list", items=FIELDS),
        Input("net_lb", "lb", 0, 200_000, "net weight of the ticket, when there is one",
              optional=True, reason="heavier than any spreader"),
    ],
    outputs=[
        Output("pounds", "lb", "put on each field, in their order"),
        Output("rate_ton_per_ac", "ton/ac", "rate of each field, in their order"),
    ],
    source="Weight at start less weight at end; shares add up to the load exactly",
    evidence="derived",
    example={"fields": [
        {"name": "North 40", "start_lb": 16_260, "stop_lb": 6_260, "covered_ac": 0.5},
        {"name": "Creek", "start_lb": 6_260, "stop_lb": 0, "covered_ac": 0.25},
    ]},
)  # fmt: skip
def scale_split(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Each field's share of a load by the fall of the scale; a rise is a refill, and refused."""
    rows = inputs["fields"]
    pairs = [(round(row["start_lb"] * 1000), round(row["stop_lb"] * 1000)) for row in rows]
    drops = [rate.meter_drop(start, stop) for start, stop in pairs]
    for row, drop in zip(rows, drops, strict=True):
        sheet.step(f"Fall of the scale on {row['name']}", "start - stop",
                   {"start_lb": row["start_lb"], "stop_lb": row["stop_lb"]},
                   drop / 1000, "lb")  # fmt: skip
    total = sum(drops) if inputs["net_lb"] is None else round(inputs["net_lb"] * 1000)
    parts = rate.split_by_weight_drop(total, pairs)
    rates = []
    for row, part in zip(rows, parts, strict=True):
        sheet.step(f"Put on {row['name']}", "load x fall / sum of falls", {"load_lb": total / 1000},
                   part / 1000, "lb")  # fmt: skip
        rates.append(_rate(part, "lb", row["covered_ac"], sheet))
    return {"pounds": [part / 1000 for part in parts], "rate_ton_per_ac": rates}


@worksheet(
    "weigh_area",
    title="Rate from a weighed load and a measured strip",
    inputs=[
        Input("gross_lb", "lb", 0, 200_000, "weight full", reason="heavier than any spreader"),
        Input("tare_lb", "lb", 0, 200_000, "weight empty", reason="heavier than any spreader"),
        Input("width_ft", "ft", 0, 200, "effective width (spacing between passes)", above=True,
              reason="no spreader covers more"),
        Input("distance_ft", "ft", 0, 100_000, "length driven with the discharge on", above=True,
              reason="one load is empty long before"),
    ],
    outputs=[
        Output("net_ton", "ton", "weight of the load"),
        Output("strip_ac", "ac", "acres of the strip"),
        Output("rate_ton_per_ac", "ton/ac", "rate"),
    ],
    source="Net weight / (width x distance / 43,560) (CV-4.3)",
    evidence="derived",
    example={"gross_lb": 28_640, "tare_lb": 12_380, "width_ft": 22, "distance_ft": 1450},
)  # fmt: skip
def weigh_area(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Calibration by weight and area: tons of one load on the strip it covered."""
    gross, tare = (round(inputs[name] * 1000) for name in ("gross_lb", "tare_lb"))
    net = rate.net_weight_milli(gross, tare)
    tons = sheet.step(
        "Weight of the load", "(full - empty) / 2000",
        {"gross_lb": inputs["gross_lb"], "tare_lb": inputs["tare_lb"]},
        float(gal_or_tons(net, "lb")), "ton",
    )  # fmt: skip
    acres = sheet.step(
        "Acres of the strip", "width x distance / 43,560",
        {"width_ft": inputs["width_ft"], "distance_ft": inputs["distance_ft"]},
        rate.swath_ac(inputs["width_ft"], inputs["distance_ft"]), "ac",
    )  # fmt: skip
    per_ac = sheet.step("Rate", "tons / acres", {"net_ton": tons, "strip_ac": acres},
                        rate.rate_per_ac(net, "lb", acres), "ton/ac")  # fmt: skip
    return {"net_ton": tons, "strip_ac": acres, "rate_ton_per_ac": per_ac}


@worksheet(
    "sheet_mean",
    title="Mean rate of several sheets",
    inputs=[
        Input("sheets", "rows", meaning="sheets, at least three", kind="list",
              items=(Input("net_lb", "lb", 0, 500, "net weight on the sheet",
                           reason="more than a sheet can be carried with"),)),
        Input("sheet_sqft", "sq ft", 0, 400, "area of each sheet", above=True,
              reason="20 by 20 ft is the largest sheet one lifts"),
    ],
    outputs=[Output("rate_ton_per_ac", "ton/ac", "mean rate")],
    source="Iowa State EPC, three passes or more (CV-4.1)",
    example={"sheets": [{"net_lb": lb} for lb in (11, 12, 13)], "sheet_sqft": 21.78},
)  # fmt: skip
def sheet_mean(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Mean of at least three sheets, overlap included by passes on both sides."""
    pounds, area = [row["net_lb"] for row in inputs["sheets"]], inputs["sheet_sqft"]
    mean = calibration.mean_sheet_rate_ton_per_ac(pounds, area)
    for number, lb in enumerate(pounds, 1):
        sheet.step(f"Rate of sheet {number}", "pounds x 21.78 / square feet",
                   {"net_lb": lb, "sheet_sqft": area},
                   calibration.sheet_rate_ton_per_ac(lb, area), "ton/ac")  # fmt: skip
    sheet.step("Mean", "sum / number of sheets", {"sheets": len(pounds)}, mean, "ton/ac")
    return {"rate_ton_per_ac": mean}
