"""Worksheets of calculations that are one line: each calls its plain function and shows it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from .. import animals, calibration, crop_need, hydraulic, nutrient_value, rate, soil_loss
from .. import storage_budget as budget
from ..worksheet import Evidence, Input, Output, Working, worksheet

Numbers = Mapping[str, float | str]


def number(name: str, unit: str, meaning: str, high: float | None = None) -> Input:
    """Return a number of 0 or more."""
    return Input(name, unit, 0, high, meaning)


def one_line(
    name: str,
    title: str,
    function: Callable[..., float],
    inputs: list[Input],
    output: Output,
    formula: str,
    source: str,
    evidence: Evidence,
    example: Numbers,
) -> None:
    """Register a worksheet whose single step is one function of this room."""

    def work(taken: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
        given = {key: value for key, value in taken.items() if value is not None}
        result = function(**given)
        return {output.name: sheet.step(title, formula, given, result, output.unit)}

    first = (function.__doc__ or "").strip().partition("\n")[0]
    work.__doc__ = f"{title}. {first}".strip()
    worksheet(
        name, title=title, inputs=inputs, outputs=[output], source=source, evidence=evidence,
        example=example,
    )(work)  # fmt: skip


one_line(
    "sheet_calibration",
    "Rate from manure on a sheet",
    calibration.sheet_rate_ton_per_ac,
    [number("net_lb", "lb", "net weight on the sheet"), number("sheet_sqft", "sq ft", "sheet")],
    Output("rate_ton_per_ac", "ton/ac", "rate at the sheet"),
    "pounds x 21.78 / square feet",
    "UMass and NDSU sheet method (CV-4.1, CV-4.2)",
    "read",
    {"net_lb": 12, "sheet_sqft": 21.78},
)
one_line(
    "flow_rate",
    "Rate from flow, width and speed",
    calibration.flow_rate_gal_per_ac,
    [
        number("flow_gal_per_min", "gal/min", "flow"),
        number("width_ft", "ft", "effective width", 200),
        number("speed_mph", "mph", "ground speed", 40),
    ],
    Output("rate_gal_per_ac", "gal/ac", "rate"),
    "flow x 495 / (width x speed)",
    "Standard field form, 495 = 43,560 / 88",
    "memory",
    {"flow_gal_per_min": 800, "width_ft": 20, "speed_mph": 4},
)
one_line(
    "drive_length",
    "Feet to drive for a wanted rate",
    lambda amount_gal, width_ft, rate_gal_per_ac: rate.drive_length_ft(
        round(amount_gal * 1000), "gal", width_ft, rate_gal_per_ac
    ),
    [
        number("amount_gal", "gal", "gallons in the spreader"),
        number("width_ft", "ft", "effective width", 200),
        number("rate_gal_per_ac", "gal/ac", "wanted rate"),
    ],
    Output("length_ft", "ft", "length to drive"),
    "gallons / width x 43,560 / rate",
    "WAC 173-308-270 form",
    "read",
    {"amount_gal": 3000, "width_ft": 30, "rate_gal_per_ac": 6000},
)
one_line(
    "removal_from_analysis",
    "Removal from the crop's own analysis",
    crop_need.removal_from_analysis_lb_per_ac,
    [
        number("yield_ton_per_ac", "ton/ac", "yield as harvested"),
        number("dry_matter_pct", "%", "dry matter", 100),
        number("share_of_dry_matter_pct", "%", "nutrient in the dry matter", 100),
    ],
    Output("removal_lb_per_ac", "lb/ac", "nutrient removed"),
    "tons x 2000 x dry matter x share",
    "NRCCA item 59 (CV-3.3)",
    "read",
    {"yield_ton_per_ac": 20, "dry_matter_pct": 35, "share_of_dry_matter_pct": 0.62},
)
one_line(
    "effluent_inches",
    "Inches of effluent for a nitrogen need",
    hydraulic.inches_for_nitrogen,
    [
        number("need_lb_per_ac", "lb/ac", "available N wanted"),
        number("available_n_lb_per_kgal", "lb/1,000 gal", "available N of the effluent"),
    ],
    Output("depth_in", "in", "depth to apply"),
    "need / (available N x 27.154)",
    "Clemson lagoon tables (CV-2.6)",
    "read",
    {"need_lb_per_ac": 125, "available_n_lb_per_kgal": 0.5},
)
one_line(
    "soil_water_limit",
    "Gallons the top of the soil still takes",
    lambda texture, available_pct, depth_in: hydraulic.depth_to_gal_per_ac(
        hydraulic.lacking_in(texture, available_pct, depth_in)
    ),
    [
        Input("texture", "word", meaning="texture group", kind="choice",
              choices=tuple(hydraulic.LACKING_IN_PER_FT)),
        Input("available_pct", "%", meaning="available water now", kind="choice",
              choices=("0-25", "25-50", "50-75", "75-100", "100")),
        number("depth_in", "in", "soil depth, often 8", 60),
    ],
    Output("limit_gal_per_ac", "gal/ac", "largest amount at once"),
    "inches lacking per foot x depth / 12 x 27,154",
    hydraulic.SOURCE,
    "read",
    {"texture": "loam, silt loam, sandy clay loam", "available_pct": "50-75", "depth_in": 8},
)  # fmt: skip
one_line(
    "trench_depth",
    "Liquid in an injection trench",
    hydraulic.trench_depth_in,
    [
        number("gal_per_ac", "gal/ac", "rate"),
        number("spacing_in", "in", "spacing of the injectors"),
        number("trench_width_in", "in", "width of the trench"),
    ],
    Output("depth_in", "in", "depth in the trench"),
    "rate / 27,154 x spacing / width",
    "Ohio State, as printed in Pork Network",
    "read",
    {"gal_per_ac": 13000, "spacing_in": 30, "trench_width_in": 4},
)
one_line(
    "animal_manure",
    "Manure of a group of animals",
    animals.manure_ton,
    [
        number("head", "head", "animals"),
        number("lb_per_day", "lb/day", "manure of one animal"),
        number("days", "days", "days in the period", 366),
        Input("confined_share", "share", 0, 1, "share of the time confined", optional=True),
    ],
    Output("manure_ton", "ton", "manure as excreted"),
    "head x pounds a day x days x share / 2000",
    "University of Wisconsin A3601 (CV-5.1)",
    "read",
    {"head": 50, "lb_per_day": 120, "days": 365},
)
one_line(
    "bedding_volume",
    "Volume bedding adds",
    animals.bedding_cuft,
    [
        number("mass_animal_units", "1,000 lb", "live weight in animal units by weight"),
        number("lb_per_unit_per_day", "lb/day", "bedding for each unit"),
        number("days", "days", "days in the period", 366),
        number("lb_per_cuft", "lb/cu ft", "weight of the loose bedding"),
        Input("void_share", "share", 0, 1, "share of its volume that counts", optional=True),
    ],
    Output("bedding_cuft", "cu ft", "volume added"),
    "share x pounds x units x days / weight",
    "AWMFH design example 10-2 (CV-6.1); share 0.5 from memory",
    "memory",
    {"mass_animal_units": 140, "lb_per_unit_per_day": 3.1, "days": 90, "lb_per_cuft": 12},
)
one_line(
    "rain_on_storage",
    "Rain caught by a storage",
    budget.rain_gal,
    [number("rain_in", "in", "rain", 300), number("catchment_ac", "ac", "ground that drains in")],
    Output("rain_gal", "gal", "gallons of rain"),
    "inches x acres x 27,154.29",
    "Vermont Agency of Agriculture (CV-6.5)",
    "read",
    {"rain_in": 37, "catchment_ac": 1},
)
one_line(
    "pump_out_mark",
    "Pump-out mark below the top of the bank",
    lambda **given: budget.pump_out_mark(**given).below_top_ft,
    [
        number("full_depth_ft", "ft", "depth from the top of the bank", 200),
        number("storm_depth_ft", "ft", "storm rain on the surface", 10),
        number("freeboard_ft", "ft", "freeboard", 20),
        Input("storm_runoff_cuft", "cu ft", 0, None, "storm runoff in", optional=True),
        Input("surface_area_sqft", "sq ft", 0, None, "surface at the mark", optional=True),
    ],
    Output("below_top_ft", "ft", "mark below the top"),
    "storm + freeboard + runoff / surface",
    "North Carolina record 55-0007 (CV-6.3)",
    "read",
    {"full_depth_ft": 9.8, "storm_depth_ft": 0.5, "freeboard_ft": 1.0,
     "storm_runoff_cuft": 11539, "surface_area_sqft": 45500},
)  # fmt: skip
one_line(
    "usle",
    "Soil loss by the USLE",
    soil_loss.soil_loss_ton_per_ac,
    [
        number("r", "100 ft tonf in/(ac h yr)", "rain factor R"),
        number("k", "ton ac h/(100 ac ft tonf in)", "soil factor K", 1),
        number("ls", "factor", "slope factor LS"),
        number("c", "factor", "cover factor C", 2),
        number("p", "factor", "practice factor P", 2),
    ],
    Output("soil_loss_ton_per_ac", "ton/ac", "soil loss in a year"),
    "R x K x LS x C x P",
    soil_loss.SOURCE,
    "read",
    {"r": 185, "k": 0.37, "ls": 1.41, "c": 0.119, "p": 1},
)
one_line(
    "fertilizer_product",
    "Fertilizer product for a nutrient need",
    nutrient_value.product_lb,
    [
        number("nutrient_lb", "lb", "nutrient wanted"),
        number("share_pct", "%", "nutrient in the product", 100),
    ],
    Output("product_lb", "lb", "product"),
    "pounds / share",
    "Iowa State, don't double dip (CV-3.5)",
    "read",
    {"nutrient_lb": 124, "share_pct": 82},
)
