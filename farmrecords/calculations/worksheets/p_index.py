"""Worksheets of phosphorus indices."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import p_index_vt as vt
from ..p_index_vt_inputs import SOILS, SOURCE, TABLES, region_of_county
from ..worksheet import Input, Output, Working, worksheet

WORDS = vt.choices()


def _word(name: str, meaning: str) -> Input:
    return Input(name, "word", meaning=meaning, kind="choice", choices=WORDS[name])


MANURE = (
    Input("rate_lb_p2o5_per_ac", "lb P2O5/ac", 0, 2000, "total P2O5 applied"),
    _word("time", "when"),
    _word("method", "how it was worked in"),
    _word("incorporation", "how soon"),
    _word("type", "kind of manure"),
)


def asked_of(inputs: Mapping[str, Any]) -> vt.VtInputs:
    """Inputs of the procedure from the values of a sheet that asks for :data:`INPUTS`."""
    given = {one.name: inputs[one.name] for one in INPUTS if inputs[one.name] is not None}
    given["manure"] = [vt.ManureForIndex(**row) for row in given.get("manure", [])]
    return vt.VtInputs(**given)


INPUTS = (
    _word("region", "region of Vermont"),
    _word("elevation", "elevation zone"),
    Input("stp_ppm", "ppm", 0, 2000, "soil-test P, Modified Morgan only", above=True),
    Input("aluminium_ppm", "ppm", 0, 10000, "reactive aluminium"),
    Input("erosion_ton_per_ac", "ton/ac", 0, 200, "soil leaving the field edge", above=True),
    _word("series", "soil series"),
    _word("cover", "surface cover"),
    _word("crop", "crop of the year"),
    Input("distance_ft", "ft", 0, None, "field edge to any water conveyance"),
    Input("buffer_ft", "ft", 0, None, "vegetated buffer within that distance", optional=True),
    Input("setback_ft", "ft", 0, None, "manure setback inside the field", optional=True),
    Input("tile", "yes or no", meaning="patterned tile", kind="yes_no", optional=True),
    Input("manure", "rows", meaning="up to three applications", kind="list", items=MANURE,
          optional=True),
    Input("fertilizer_lb_p2o5_per_ac", "lb P2O5/ac", 0, 2000, "fertilizer", optional=True),
    Input("fertilizer_code", "word", meaning="fertilizer method and time", kind="choice",
          choices=WORDS["fertilizer_code"], optional=True),
)  # fmt: skip
EXAMPLE = {
    "region": "NW", "elevation": "<600 ft", "stp_ppm": 0.5, "aluminium_ppm": 0,
    "erosion_ton_per_ac": 0.5, "series": "Other (B, non-clay)", "cover": "0-20%",
    "crop": "corn and other row crops", "distance_ft": 0,
}  # fmt: skip


@worksheet(
    "p_index_vt",
    title="Vermont P Index 6.1",
    inputs=INPUTS,
    outputs=[
        Output("index", "index", "sum of the three pathways"),
        Output("risk_class", "word", "Low, Medium, High, Very High"),
        Output("sediment", "index", "pathway 1"),
        Output("surface", "index", "pathway 2"),
        Output("subsurface", "index", "pathway 3"),
    ],
    source=SOURCE,
    example=EXAMPLE,
)
def p_index_vt_worksheet(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Vermont P Index 6.1 of one field and crop year, step by step."""
    asked = asked_of(inputs)
    result = vt.p_index_vt(asked)
    _factors(asked, sheet)
    _soil(asked, result, sheet)
    _losses(result, sheet)
    _pathways(asked, result, sheet)
    for note in result.notes:
        sheet.note(note)
    return {
        "index": result.index,
        "risk_class": result.risk_class,
        "sediment": result.sediment,
        "surface": result.surface,
        "subsurface": result.subsurface,
    }


def _factors(asked: vt.VtInputs, sheet: Working) -> None:
    group, clay = SOILS[asked.series]
    sheet.step(
        "Hydrologic group, one group better with patterned tile",
        "table of soil series",
        {"series": asked.series, "undrained": group, "clay": clay, "tile": asked.tile},
        vt.hydrologic_group(asked),
        "group",
    )
    sheet.step(
        "Aluminium factor of incorporated sources; what lies on the surface keeps half the cut",
        "1.2 - 0.01 Al, between 0.4 and 1",
        {"aluminium_ppm": asked.aluminium_ppm},
        vt.aluminium_factor(asked.aluminium_ppm),
        "factor",
    )
    for one in asked.manure:
        sheet.step(
            "Manure exposed to runoff",
            "method + (time - method) x incorporation; time alone when not incorporated",
            {
                "time": TABLES["manure_time"][one.time],
                "method": TABLES["manure_method"][one.method],
                "incorporation": TABLES["incorporation"][one.incorporation],
            },
            vt.manure_exposure(one),
            "share",
        )


def _soil(asked: vt.VtInputs, result: vt.VtResult, sheet: Working) -> None:
    stp_gain, total_gain = vt.soil_p_gains(asked)
    sheet.step(
        "Soil-test P after the year's sources",
        "soil-test P + gains",
        {"stp_ppm": asked.stp_ppm, "gain": stp_gain},
        result.soil.stp_adjusted_ppm,
        "ppm",
    )
    sheet.step(
        "Soil total P",
        "least of 2000, by adjusted soil test, by soil test + gain",
        {"gain": total_gain, "clay": SOILS[asked.series][1]},
        result.soil.total_p_ppm,
        "ppm",
    )
    sheet.step(
        "Dissolved P in runoff",
        "2 x (0.03 + 0.00705 x adjusted soil test)",
        {"stp_adjusted_ppm": result.soil.stp_adjusted_ppm},
        result.soil.runoff_drp_mg_per_l,
        "mg/L",
    )


def _losses(result: vt.VtResult, sheet: Working) -> None:
    lost = result.losses
    for words, formula, value in (
        ("Sediment P", "erosion x 0.002 x total P x availability", lost.sediment_p),
        ("Dissolved soil P", "(season runoff + snowmelt) x 0.22651 x adjustment x dissolved P",
         lost.dissolved_soil_p),
        ("Dissolved manure P", "rate x exposed x aluminium x availability x 0.02 x 0.44 x group",
         lost.dissolved_manure_p),
        ("Particulate manure P", "0.005 x 0.44 x rate x exposed", lost.particulate_manure_p),
        ("Fertilizer P", "rate x 0.44 x 0.02 x group x aluminium x code", lost.fertilizer_p),
    ):  # fmt: skip
        sheet.step(f"{words} at the field", formula, {}, value, "lb P/ac")


def _pathways(asked: vt.VtInputs, result: vt.VtResult, sheet: Working) -> None:
    sheet.step(
        "Delivered shares of sediment, runoff and manure runoff",
        "by distance, buffer and setback",
        {
            "distance_ft": asked.distance_ft,
            "buffer_ft": asked.buffer_ft,
            "setback_ft": asked.setback_ft,
        },
        result.delivery,
        "share",
    )
    for words, value in (
        ("Pathway 1, sediment", result.sediment),
        ("Pathway 2, surface runoff", result.surface),
        ("Pathway 3, subsurface drainage", result.subsurface),
    ):
        sheet.step(words, "80 x delivered losses", {}, value, "index")
    sheet.step(
        "P index and class",
        "pathway 1 + pathway 2 + pathway 3",
        {"class": result.risk_class},
        result.index,
        "index",
    )


@worksheet(
    "vermont_region",
    title="Region of a Vermont county",
    inputs=[
        Input("county", "word", meaning="county", kind="choice",
              choices=tuple(sorted(name for names in TABLES["counties"].values()
                                   for name in names))),
    ],
    outputs=[Output("region", "word", "region of the P index")],
    source=SOURCE,
    example={"county": "Addison"},
)  # fmt: skip
def vermont_region(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """The region the Vermont P index asks for, from the county of the field."""
    region = sheet.step("Region", "row of the county", dict(inputs),
                        region_of_county(inputs["county"]), "word")  # fmt: skip
    return {"region": region}
