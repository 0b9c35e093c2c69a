"""Worksheets of soil and practice factors, spreadable acres, and rates by cells of ground."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .. import geodesy, rate_grid, setback_geometry, soil_factors, soil_loss, soil_shares
from ..worksheet import Input, Output, Working, worksheet
from .land import SQUARE
from .one_line import number, one_line


@worksheet(
    "soil_k",
    title="Soil factor K of a texture",
    inputs=[
        Input("texture", "word", meaning="texture", kind="choice", choices=soil_factors.TEXTURES),
        Input("organic_matter_pct", "%", 0, 100, "organic matter", optional=True),
    ],
    outputs=[
        Output("k", "ton ac h/(100 ac ft tonf in)", "K in US units"),
        Output("k_metric", "t ha h/(ha MJ mm)", "K in metric units"),
    ],
    source=soil_factors.K_SOURCE,
    example={"texture": "silt loam", "organic_matter_pct": 1.5},
)
def soil_k(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """K by texture and organic matter; use the soil survey's K where the state standard says so."""
    k = sheet.step(
        "K of the table", "column by organic matter: average, up to 2 %, above", dict(inputs),
        soil_factors.k_by_texture(inputs["texture"], inputs["organic_matter_pct"]), "US units",
    )  # fmt: skip
    metric = sheet.step("In metric units", "K x 0.1317", {"k": k}, soil_loss.to_metric("k", k),
                        "metric")  # fmt: skip
    return {"k": k, "k_metric": metric}


one_line(
    "soil_k_nomograph",
    "Soil factor K by the nomograph's equation",
    soil_factors.k_nomograph,
    [
        number("silt_and_very_fine_sand_pct", "%", "silt and very fine sand", 100),
        number("clay_pct", "%", "clay", 100),
        number("organic_matter_pct", "%", "organic matter", 12),
        Input("structure", "class", 1, 4, "structure class", kind="whole"),
        Input("permeability", "class", 1, 6, "permeability class", kind="whole"),
    ],
    Output("k_metric", "t ha h/(ha MJ mm)", "K in metric units"),
    "(2.1e-4 (12 - OM) M^1.14 + 3.25 (structure - 2) + 2.5 (permeability - 3)) / 759",
    "K nomograph as printed with the InVEST guide",
    "read",
    {"silt_and_very_fine_sand_pct": 65, "clay_pct": 15, "organic_matter_pct": 2.8,
     "structure": 2, "permeability": 4},
)  # fmt: skip
one_line(
    "rain_factor",
    "Rain factor R from the rain of a year",
    soil_loss.erosivity_from_rain,
    [number("precipitation_mm", "mm", "rain of the year", 10_000)],
    Output("r", "100 ft tonf in/(ac h yr)", "R in US units"),
    "0.0483 P^1.61 below 850 mm; 587.8 - 1.219 P + 0.004105 P^2 from there; x 0.05876",
    "Renard and Freimund, as given with the Penn State data set",
    "read",
    {"precipitation_mm": 1000},
)


SLOPE = (number("slope_pct", "%", "slope", 100),)
LS = Output("ls", "factor", "slope factor LS")


@worksheet(
    "usle_ls",
    title="Slope factor of the USLE",
    inputs=[*SLOPE, Input("length_ft", "ft", 0, None, "slope length", above=True)],
    outputs=[Output("m", "exponent", "of the slope length"), LS],
    source=soil_loss.SOURCE,
    example={"slope_pct": 8, "length_ft": 200},
)
def usle_ls(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """LS of AH-537, 1978; the equation is read, the classes of its exponent are from memory."""
    slope, length = inputs["slope_pct"], inputs["length_ft"]
    m = sheet.step(
        "Exponent of the length", "0.5 from 5 %, 0.4 from 3 %, 0.3 from 1 %, 0.2 below",
        {"slope_pct": slope}, soil_loss.usle_m(slope), "exponent",
        soil_loss.USLE_M_SOURCE, "memory",
    )  # fmt: skip
    ls = sheet.step(
        "Slope factor", "(length / 72.6)^m x (65.41 sin2 + 4.56 sin + 0.065)",
        {"slope_pct": slope, "length_ft": length, "m": m}, soil_loss.usle_ls(slope, length),
        "factor", soil_loss.USLE_M_SOURCE, "memory",
    )  # fmt: skip
    return {"m": m, "ls": ls}


@worksheet(
    "rusle_ls",
    title="Slope factor of the RUSLE",
    inputs=[
        *SLOPE,
        Input("length_ft", "ft", 0, None, "horizontal slope length", above=True),
        Input("ratio", "word", meaning="rill to interrill ratio; moderate if left out",
              kind="choice", choices=("low", "moderate", "high"), optional=True),
        Input("thawing", "yes or no", meaning="thawing, weakened soil (memory)", kind="yes_no",
              optional=True),
    ],
    outputs=[
        Output("m", "exponent", "of the slope length"),
        Output("s", "factor", "steepness S"),
        LS,
    ],
    source=soil_loss.SOURCE,
    example={"slope_pct": 12, "length_ft": 150, "ratio": "moderate"},
)  # fmt: skip
def rusle_ls(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """LS of AH-703; a low or high ratio and thawing soil rest on figures from memory."""
    slope, length = inputs["slope_pct"], inputs["length_ft"]
    ratio: Any = inputs["ratio"] or "moderate"
    thawing = bool(inputs["thawing"])
    of_m: Any = ("memory" if ratio != "moderate" else "read",)
    m = sheet.step(
        "Exponent of the length", "beta / (1 + beta), beta by slope and ratio",
        {"slope_pct": slope, "ratio": ratio}, soil_loss.rusle_m(slope, ratio), "exponent",
        soil_loss.RATIO_SOURCE, *of_m,
    )  # fmt: skip
    of_s: Any = (soil_loss.THAWING_SOURCE, "memory") if thawing else (soil_loss.SOURCE, "read")
    s = sheet.step(
        "Steepness", "10.8 sin + 0.03 below 9 %, 16.8 sin - 0.50 from there; own forms for a "
        "slope below 15 ft and for thawing soil",
        {"slope_pct": slope, "length_ft": length, "thawing": thawing},
        soil_loss.rusle_s(slope, length, thawing), "factor", *of_s,
    )  # fmt: skip
    known: Any = "memory" if "memory" in (*of_m, *of_s) else "read"
    ls = sheet.step(
        "Slope factor", "(length / 72.6)^m x S", {"length_ft": length, "m": m, "s": s},
        soil_loss.rusle_ls(slope, length, ratio, thawing), "factor", None, known,
    )  # fmt: skip
    return {"m": m, "s": s, "ls": ls}


one_line(
    "delivered_soil",
    "Soil that leaves the field",
    soil_loss.delivered_ton_per_ac,
    [
        number("soil_loss_ton_per_ac", "ton/ac", "gross soil loss of a year"),
        Input("delivery_share", "share", 0, 1, "share that reaches the edge of the field"),
    ],
    Output("delivered_ton_per_ac", "ton/ac", "soil delivered in a year"),
    "soil loss x delivery share",
    "Textbook example 11.1, cropland near Indianapolis (case USLE-4)",
    "read",
    {"soil_loss_ton_per_ac": 9.7902, "delivery_share": 0.6},
)
one_line(
    "metric_factor",
    "A soil loss factor in US units from the metric one",
    soil_loss.to_us,
    [
        Input("factor", "word", meaning="R, K, or the loss A", kind="choice",
              choices=("r", "k", "a")),
        number("value", "metric", "R in MJ mm/(ha h yr), K in t ha h/(ha MJ mm), A in t/ha"),
    ],
    Output("us", "US customary", "the factor in US units"),
    "value / 17.02 for R, / 0.1317 for K, / 2.242 for A",
    "Unit equivalences of an open USLE script; InVEST guide",
    "read",
    {"factor": "a", "value": 2.242},
)  # fmt: skip


@worksheet(
    "practice_factor",
    title="Practice factor P",
    inputs=[
        Input("practice", "word", meaning="practice", kind="choice",
              choices=("contouring", "contour strips", "terraces")),
        Input("slope_pct", "%", 0, 100, "slope"),
        Input("length_ft", "ft", 0, 5000, "slope length, or terrace spacing", above=True),
        Input("rotation", "word", meaning="rotation of the strips: A, B or C", kind="choice",
              choices=("A", "B", "C"), optional=True),
        Input("residue_covered", "yes or no", optional=True, kind="yes_no",
              meaning="residue regularly covers more than half after seeding"),
    ],
    outputs=[
        Output("p", "factor", "P; 1 where the practice no longer helps"),
        Output("strip_width_ft", "ft", "width of the strips, where it is stated"),
    ],
    source="AH-537 tables 13 and 14",
    evidence="memory",
    example={"practice": "contouring", "slope_pct": 4, "length_ft": 300},
)  # fmt: skip
def practice_factor(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """P of contouring, contour strips or terraces by slope and length."""
    slope, length, practice = inputs["slope_pct"], inputs["length_ft"], inputs["practice"]
    width = None
    if inputs["rotation"] is not None and practice != "contour strips":
        raise ValueError(f"A rotation belongs to contour strips; {practice} have none.")
    if inputs["residue_covered"] and practice == "contour strips":
        raise ValueError("Residue does not lengthen contour strips: leave it out.")
    if practice == "contour strips":
        if inputs["rotation"] is None:
            raise ValueError("Contour strips need the rotation: A, B or C.")
        p, width = soil_factors.strip_p(slope, inputs["rotation"])
        sheet.note("The slope length does not enter the P of contour strips.")
    elif practice == "terraces":
        p = soil_factors.terrace_p(slope, length, bool(inputs["residue_covered"]))
    else:
        p = soil_factors.contour_p(slope, length, bool(inputs["residue_covered"]))
    given = {key: value for key, value in inputs.items() if value is not None}
    sheet.step("P of the table", "row by slope, up to the longest slope", given, p, "factor")
    if inputs["rotation"]:
        rotations = soil_factors.TABLES["strips"]["rotations"]
        sheet.note(f"{inputs['rotation']}: {rotations[inputs['rotation']]}.")
    return {"p": p, "strip_width_ft": width}


@dataclass(frozen=True)
class _Layer:
    """A layer as it is entered."""

    top_cm: float
    bottom_cm: float
    awc_r: float

    def number(self, column: str) -> float | None:
        return self.awc_r if column == "awc_r" else None


LAYERS = (
    Input("top_cm", "cm", 0, 1000, "top of the layer"),
    Input("bottom_cm", "cm", 0, 1000, "bottom of the layer", above=True),
    Input("awc_r", "cm/cm", 0, 1, "available water capacity of the survey"),
)


@worksheet(
    "water_of_soil_layers",
    title="Water a surveyed soil can hold for plants",
    inputs=[
        Input("layers", "rows", meaning="layers of the soil survey", kind="list", items=LAYERS),
        Input("depth_cm", "cm", 0, 1000, "depth that counts", above=True),
    ],
    outputs=[
        Output("water_in", "in", "water held to that depth"),
        Output("share_known", "share", "of the depth has a figure"),
    ],
    source="Soil survey: available water capacity x thickness, over the layers",
    evidence="definition",
    example={"layers": [{"top_cm": 0, "bottom_cm": 20, "awc_r": 0.2},
                        {"top_cm": 20, "bottom_cm": 90, "awc_r": 0.1}], "depth_cm": 50},
)  # fmt: skip
def water_of_soil_layers(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Inches of plant-available water from the survey's layers; gaps are said as a share."""
    layers = [_Layer(**row) for row in inputs["layers"]]
    found = soil_shares.available_water_in(layers, inputs["depth_cm"])
    for number_of, layer in enumerate(layers, 1):
        one = soil_shares.available_water_in([layer], inputs["depth_cm"])
        values = dataclasses.asdict(layer)
        sheet.step(f"Layer {number_of}", "capacity x thickness within the depth / 2.54", values,
                   one.value, "in")  # fmt: skip
    sheet.step("Together", "sum", {}, found.value, "in")
    if found.share < 1:
        sheet.note(f"{found.share:.0%} of the depth has a figure; the rest is not counted.")
    return {"water_in": found.value, "share_known": found.share}


KEPT_CLEAR = (
    Input("feature", "lon/lat", meaning="point, line or area", kind="geometry"),
    Input("distance_ft", "ft", 0, 5280, "distance to keep, from the rule"),
)
ROAD = {"type": "LineString", "coordinates": [[-89.501, 43.0], [-89.494, 43.0]]}


@worksheet(
    "spreadable_acres",
    title="Acres left after setbacks",
    inputs=[
        Input("boundary", "lon/lat", meaning="field", kind="geometry"),
        Input("kept_clear", "rows", meaning="features and distances", kind="list",
              items=KEPT_CLEAR),
    ],
    outputs=[
        Output("field_ac", "ac", "acres of the field"),
        Output("spreadable_ac", "ac", "acres left"),
        Output("share", "share", "of the field"),
    ],
    source="Feature widened by its distance and cut from the field",
    evidence="computed",
    example={"boundary": SQUARE, "kept_clear": [{"feature": ROAD, "distance_ft": 100}]},
)  # fmt: skip
def spreadable_acres(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Acres of a field outside the distances kept from each feature."""
    field = inputs["boundary"]
    whole = sheet.step("Acres of the field", "geodesic area", {}, geodesy.area_ac(field), "ac")
    kept = [(row["feature"], row["distance_ft"]) for row in inputs["kept_clear"]]
    for number_of, (feature, distance_ft) in enumerate(kept, 1):
        sheet.step(
            f"Within the distance of feature {number_of}", "area of field and widened feature",
            {"feature": feature.geom_type, "distance_ft": distance_ft},
            setback_geometry.acres_within(field, feature, distance_ft), "ac",
        )  # fmt: skip
    left = setback_geometry.spreadable(field, kept)[1]
    sheet.step("Left; ground near several features is cut once", "field less all of them", {},
               left, "ac")  # fmt: skip
    share = sheet.step(
        "Share of the field",
        "left / field",
        {},
        setback_geometry.share_of_area(left, whole),
        "share",
    )
    return {"field_ac": whole, "spreadable_ac": left, "share": share}


STRIP = {
    "type": "Polygon",
    "coordinates": [[[-89.5, 43], [-89.499, 43], [-89.499, 43.001], [-89.5, 43.001], [-89.5, 43]]],
}


@worksheet(
    "rate_by_cell",
    title="Rate by square cells of the ground",
    inputs=[
        Input("loads", "rows", meaning="loads with their ground", kind="list", items=(
            Input("ground", "lon/lat", meaning="ground covered", kind="geometry"),
            Input("amount", "gal or ton", 0, None, "amount, one unit for all"),
        )),
        Input("cell_ft", "ft", 5, 5280, "side of a cell"),
    ],
    outputs=[
        Output("cells", "cells", "cells that received something"),
        Output("highest_per_ac", "gal/ac or ton/ac", "highest rate of a cell"),
        Output("lowest_per_ac", "gal/ac or ton/ac", "lowest rate of a cell"),
        Output("amount", "gal or ton", "sum over the cells"),
    ],
    source="Amount shared by area, project definition",
    evidence="derived",
    example={"loads": [{"ground": STRIP, "amount": 6000}, {"ground": STRIP, "amount": 3000}],
             "cell_ft": 150},
)  # fmt: skip
def rate_by_cell(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Each load lies evenly on its own ground; cells add up what overlaps."""
    loads = [(row["ground"], row["amount"]) for row in inputs["loads"]]
    cells = rate_grid.rate_by_cell(loads, inputs["cell_ft"])
    if not cells:
        raise ValueError("No load is given: there is no ground to lay cells on.")
    for cell in cells[:50]:
        sheet.step(
            f"Cell in column {cell.column + 1}, row {cell.row + 1}", "amount / covered acres",
            {"amount": cell.amount, "covered_ac": cell.covered_ac}, cell.rate_per_ac, "per ac",
        )  # fmt: skip
    if len(cells) > 50:
        sheet.note(f"{len(cells) - 50} further cells are not listed.")
    rates = [cell.rate_per_ac for cell in cells]
    return {
        "cells": len(cells),
        "highest_per_ac": max(rates),
        "lowest_per_ac": min(rates),
        "amount": sum(cell.amount for cell in cells),
    }
