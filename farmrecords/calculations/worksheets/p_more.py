"""Worksheets of the further phosphorus procedures and of the annual loss estimate."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

from .. import p_index_ny as ny
from .. import p_index_pa as pa
from .. import p_loss as loss
from .. import p_matrix
from ..worksheet import Input, Output, Working, worksheet


def _choice(name: str, meaning: str, words: Mapping[str, Any], optional: bool = False) -> Input:
    return Input(name, "word", meaning=meaning, kind="choice", choices=tuple(words),
                 optional=optional)  # fmt: skip


PA_ROWS = (
    Input("rate_lb_p2o5_per_ac", "lb P2O5/ac", 0, 2000, "P2O5 applied"),
    _choice("method", "method and time", pa.TABLES["method"]),
    Input("source_coefficient", "0 to 1", 0, 1, "source coefficient", optional=True),
)
CLASS = Output("risk_class", "word", "Low, Medium, High, Very High")


@worksheet(
    "p_index_pa",
    title="Pennsylvania P Index version 2",
    inputs=[
        Input("m3p_ppm", "ppm", 0, 3000, "Mehlich-3 P"),
        Input("fertilizer", "rows", meaning="fertilizer", kind="list", items=PA_ROWS,
              optional=True),
        Input("manure", "rows", meaning="manure", kind="list", items=PA_ROWS, optional=True),
        Input("erosion_ton_per_ac", "ton/ac", 0, 200, "soil loss by RUSLE"),
        _choice("drainage", "drainage class", pa.TABLES["drainage"]),
        _choice("subsurface", "subsurface drainage", pa.TABLES["subsurface"]),
        Input("distance_ft", "ft", 0, None, "contributing distance"),
        Input("buffer_ft", "ft", 0, None, "buffer width", optional=True),
        _choice("connectivity", "connection", pa.TABLES["connectivity"], optional=True),
    ],
    outputs=[
        Output("index", "index", "2 x source x transport"),
        CLASS,
        Output("stricter_index", "index", "the stricter reading, where the worksheet is unclear"),
        Output("milder_index", "index", "the milder reading, where the worksheet is unclear"),
    ],
    source=pa.SOURCE,
    example={
        "m3p_ppm": 150, "erosion_ton_per_ac": 4, "drainage": "somewhat poorly",
        "subsurface": "none", "distance_ft": 80, "buffer_ft": 35,
        "manure": [{"rate_lb_p2o5_per_ac": 100, "method": "incorporated within 1 week",
                    "source_coefficient": 0.8}],
    },
)  # fmt: skip
def p_index_pa(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Pennsylvania P Index 2: source factor, transport factor, index."""
    given = {key: value for key, value in inputs.items() if value is not None}
    for name in ("fertilizer", "manure"):
        given[name] = [
            pa.PaApplication(**{k: v for k, v in row.items() if v is not None})
            for row in given.get(name, [])
        ]
    found = pa.p_index_pa(pa.PaInputs(**given))
    is_added = max(len(given["fertilizer"]), len(given["manure"])) > 1
    known: Any = pa.TABLES["evidence_of"]["several_applications"] if is_added else "read"
    sheet.step(
        "Source factor",
        "0.20 x soil test + sum of rate x method x coefficient",
        {"soil": found.soil_rating, "fertilizer": found.fertilizer_rating,
         "manure": found.manure_rating},
        found.source_factor, "rating", None, known,
    )  # fmt: skip
    sheet.step(
        "Transport factor",
        "connectivity x (erosion + drainage + subsurface + distance) / 24",
        {"sum": found.transport_sum, "distance_rating": found.distance_rating},
        found.transport_factor,
        "factor",
    )
    sheet.step("P index", "2 x source x transport", {}, found.index, "index")
    of_class: Any = found.class_evidence
    sheet.step("Class", "cut at half units", {"index": found.index}, found.risk_class, "class",
               None, of_class)  # fmt: skip
    for note in found.notes:
        sheet.note(note)
    if is_added:
        sheet.note("That the ratings of several applications are added is from memory.")
    return {
        "index": found.index,
        "risk_class": found.risk_class,
        "stricter_index": found.stricter_index,
        "milder_index": found.milder_index,
    }


NY_ROWS = (
    Input("rate_lb_p2o5_per_ac", "lb P2O5/ac", 0, 2000, "P2O5 applied"),
    _choice("timing", "when", ny.TIMING),
    _choice("method", "how", ny.METHOD),
)
STREAMS = (
    _choice("kind", "watercourse", ny.STREAMS),
    Input("feet", "ft", 0, None, "along the flow path"),
)


@worksheet(
    "p_index_ny",
    title="New York P Runoff Index, 2001/2003",
    inputs=[
        Input("morgan_p_lb_per_ac", "lb/ac", 0, 2000, "Cornell Morgan P"),
        Input("manure", "rows", meaning="manure", kind="list", items=NY_ROWS, optional=True),
        Input("fertilizer", "rows", meaning="fertilizer", kind="list", items=NY_ROWS,
              optional=True),
        _choice("drainage", "drainage class", ny.DRAINAGE),
        _choice("flooding", "flooding", ny.FLOODING),
        Input("watercourses", "rows", meaning="watercourses", kind="list", items=STREAMS,
              optional=True),
        Input("erosion_ton_per_ac", "ton/ac", 0, 200, "soil loss"),
        Input("concentrated_flow", "yes or no", meaning="concentrated flow", kind="yes_no"),
    ],
    outputs=[Output("index", "index", "larger of the two products"), CLASS],
    source=ny.SOURCE,
    evidence="memory",
    example={
        "morgan_p_lb_per_ac": 60, "drainage": "well or excessively",
        "flooding": "rare or never", "watercourses": [{"kind": "intermittent", "feet": 24}],
        "erosion_ton_per_ac": 6, "concentrated_flow": True,
    },
)  # fmt: skip
def p_index_ny(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """New York P Runoff Index of 2003; its weights are from memory and must be confirmed."""
    given = dict(inputs)
    for name in ("manure", "fertilizer"):
        given[name] = [ny.NyApplication(**row) for row in inputs[name] or []]
    given["watercourses"] = [(row["kind"], row["feet"]) for row in inputs["watercourses"] or []]
    found = ny.p_index_ny(ny.NyInputs(**given))
    sheet.step(
        "Source score", "1.25 x Morgan P + 0.75 x manure + fertilizer, each x timing x method",
        {"morgan_p": inputs["morgan_p_lb_per_ac"]}, found.source_score, "score",
    )  # fmt: skip
    for words, share, product in (
        ("dissolved", found.dissolved_transport, found.dissolved_index),
        ("particulate", found.particulate_transport, found.particulate_index),
    ):
        sheet.step(
            f"Index by {words} transport",
            "source x transport (at most 1)",
            {"transport": share, "flow_distance": found.flow_distance},
            product,
            "index",
        )
    sheet.step("P index", "the larger one", {"class": found.risk_class}, found.index, "index")
    sheet.note("Weights and transport tables are from memory: confirm them before use.")
    return {"index": found.index, "risk_class": found.risk_class}


# factors of the matrix that an amount may stand for: what it is, its unit, how it is rated
RATED = {
    "soil erosion": ("erosion_ton_per_ac", "ton/ac", p_matrix.erosion_rating),
    "P fertilizer rate": ("fertilizer_lb_p2o5_per_ac", "lb/ac", p_matrix.fertilizer_rate_rating),
    "organic P rate": ("organic_lb_p2o5_per_ac", "lb/ac", p_matrix.organic_rate_rating),
}


@worksheet(
    "p_index_1993",
    title="Phosphorus matrix of 1993",
    inputs=[
        *(Input(name.replace(" ", "_"), "rating", 0, 8, f"{name}: 0, 1, 2, 4 or 8", kind="whole",
                optional=name in RATED) for name in p_matrix.LG_WEIGHTS),
        *(Input(amount, unit, 0, 2000, f"{name}, instead of its rating", optional=True)
          for name, (amount, unit, _rating) in RATED.items()),
    ],
    outputs=[Output("index", "index", "weighted sum"), CLASS],
    source=p_matrix.LG_SOURCE,
    evidence="memory",
    example={
        name.replace(" ", "_"): rating
        for name, rating in zip(p_matrix.LG_WEIGHTS, (2, 0, 2, 4, 1, 1, 4, 2), strict=True)
    },
)  # fmt: skip
def p_index_1993(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """The original eight-factor matrix: for teaching; no rule binds anyone to it."""
    ratings = {}
    for name in p_matrix.LG_WEIGHTS:
        rating = inputs[name.replace(" ", "_")]
        if name in RATED:
            rating = _rated(name, rating, inputs, sheet)
        ratings[name] = rating
    found = p_matrix.p_index_lg(ratings)
    sheet.step("Weighted ratings", "weight x rating", ratings, found.parts, "points")
    sheet.step("Index", "sum", {"class": found.risk_class}, found.index, "index")
    return {"index": found.index, "risk_class": found.risk_class}


def _rated(name: str, rating: int | None, inputs: Mapping[str, Any], sheet: Working) -> Any:
    """The rating of a factor as given, or by the amount given instead."""
    key, unit, rated = RATED[name]
    amount = inputs[key]
    if (rating is None) == (amount is None):
        raise ValueError(f"Give the rating of {name}, or {key} ({unit}): one of the two.")
    if amount is None:
        return rating
    return sheet.step(f"Rating of {name}", "row of the matrix", {key: amount}, rated(amount),
                      "rating")  # fmt: skip


@worksheet(
    "rate_basis_mn",
    title="Minnesota rate-basis table",
    inputs=[
        Input("distance_ft", "ft", 0, None, "distance to surface water"),
        Input("stp_ppm", "ppm", 0, 3000, "soil-test P"),
        Input("extractant", "word", meaning="soil test", kind="choice",
              choices=("Bray P1", "Olsen")),
        Input("erosion_ton_per_ac", "ton/ac", 0, 200, "sheet and rill erosion"),
        Input("filter_strip", "yes or no", meaning="100-ft filter strip", kind="yes_no"),
        Input("site_index", "index", 0, None, "Minnesota P Site Risk Index", optional=True),
    ],
    outputs=[
        Output("basis", "word", "N, R (P2O5 removal), none, or planner"),
        Output("words", "sentence", "what the table says"),
    ],
    source=p_matrix.MN_SOURCE,
    example={"distance_ft": 250, "stp_ppm": 40, "extractant": "Bray P1",
             "erosion_ton_per_ac": 3, "filter_strip": False},
)  # fmt: skip
def rate_basis_mn(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Whether nitrogen or P2O5 removal decides the rate; a cell not settled goes to a planner."""
    found = p_matrix.mn_rate_basis(**inputs)
    sheet.step("Row of the table", found.words, dict(inputs), found.basis, "word")
    return {"basis": found.basis, "words": found.words}


LOSS_INPUTS = {
    "m3p_mg_per_kg": ("mg/kg", "Mehlich-3 P", None),
    "clay_pct": ("%", "clay", 100),
    "organic_matter_pct": ("%", "organic matter", 100),
    "precipitation_in": ("in", "rain of the year", 300),
    "runoff_in": ("in", "runoff of the year", 300),
    "erosion_ton_per_ac": ("ton/ac", "soil loss", 200),
    "manure_p_kg_per_ha": ("kg/ha", "P in the manure (not P2O5)", None),
    "manure_solids_pct": ("%", "solids of the manure", 100),
    "water_extractable_pct": ("%", "share of its P that water extracts", 100),
    "manure_incorporated_pct": ("%", "share mixed in", 100),
    "fertilizer_p_kg_per_ha": ("kg/ha", "P in the fertilizer (not P2O5)", None),
    "fertilizer_incorporated_pct": ("%", "share mixed in", 100),
}


@worksheet(
    "p_loss",
    title="Annual P loss, an estimate without legal class",
    inputs=[
        *(Input(name, unit, 0, high, meaning)
          for name, (unit, meaning, high) in LOSS_INPUTS.items()),
        Input("northern_edge_of_field", "yes or no", kind="yes_no", optional=True,
              meaning="correction for Canadian and northern fields"),
    ],
    outputs=[
        Output("total_kg_per_ha", "kg P/ha", "sum of the four losses"),
        Output("total_lb_per_ac", "lb P/ac", "the same in pounds per acre"),
    ],
    source=loss.SOURCE,
    example=dict(zip(LOSS_INPUTS, (127, 17, 6, 35, 6, 7, 25, 25, 50, 40, 10, 40), strict=True)),
)  # fmt: skip
def p_loss(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Annual P loss in four parts; shown beside an official index, never instead of it."""
    given = dict(inputs)
    northern = bool(given.pop("northern_edge_of_field"))
    found = loss.p_loss(loss.PLossInputs(**given), northern)
    inner = {
        "sorption": found.sorption,
        "total_p_mg_per_kg": found.total_p_mg_per_kg,
        "enrichment": found.enrichment,
    }
    sheet.step("Soil P", "sorption by clay, labile P and carbon", inner, found.sorption, "share")
    for words, formula, value in (
        ("Sediment", "eroded soil x total P x enrichment", found.sediment),
        ("Dissolved from soil", "labile P x 0.005 x runoff", found.soil_dissolved),
        ("Dissolved from manure", "available P x q x q^0.225", found.manure_dissolved),
        ("Dissolved from fertilizer", "P on top x q x 0.034 e^(3.4 q)",
         found.fertilizer_dissolved),
    ):  # fmt: skip
        sheet.step(words, formula, {}, value, "kg P/ha")
    sheet.step("Together", "sum", {}, found.total, "kg P/ha")
    if northern:
        sheet.note(
            f"Manure x {loss.NORTHERN_MANURE:g} and fertilizer x {loss.NORTHERN_FERTILIZER:g}: "
            f"{loss.NORTHERN_SOURCE}."
        )
    return {"total_kg_per_ha": found.total, "total_lb_per_ac": found.total_lb_per_ac}


assert set(LOSS_INPUTS) == {field.name for field in dataclasses.fields(loss.PLossInputs)}
