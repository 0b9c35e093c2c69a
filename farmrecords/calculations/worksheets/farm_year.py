"""Worksheets of a herd's year, of animal units under two counts, and of leaching."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import animals, leaching
from ..worksheet import Input, Output, Working, worksheet

KINDS = (
    "beef cows", "dairy cows", "heifers and dairy calves", "steers, calves, bulls",
    "swine breeders", "swine slaughter", "hens and pullets", "broilers", "turkeys, slaughter",
    "turkey breeders",
)  # fmt: skip


@worksheet(
    "national_manure",
    title="A year's manure by the NRCS national table",
    inputs=[
        Input("animal", "word", meaning="animals", kind="choice", choices=KINDS),
        Input("head", "head", 0, None, "animals kept, on average over the year"),
    ],
    outputs=[
        Output("manure_ton", "ton", "manure as excreted"),
        Output("n_lb", "lb", "N as excreted"),
        Output("n_left_lb", "lb", "N after losses, when spread"),
        Output("p_lb", "lb P", "P as excreted"),
        Output("p_left_lb", "lb P", "P after losses, when spread"),
        Output("k_lb", "lb K", "K as excreted"),
        Output("k_left_lb", "lb K", "K after losses, when spread"),
    ],
    source="NRCS manure nutrient content table (UNT web archive)",
    example={"animal": "dairy cows", "head": 74},
)
def national_manure(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Tons and pounds of N, P and K a year, as excreted and as left when it is spread."""
    name, head = inputs["animal"], inputs["head"]
    row, found = animals.national(name), animals.national_year(name, head)
    sheet.step(
        "Tons in a year", "head / animals per unit x tons per unit",
        {"head": head, "animals_per_unit": row.animals_per_unit, "ton_per_unit": row.ton_per_year},
        found.ton, "ton",
    )  # fmt: skip
    of_ton = (("N", row.n, row.n_left), ("P", row.p, row.p_left), ("K", row.k, row.k_left))
    outputs = {"manure_ton": found.ton}
    for (letter, *per_ton), *pounds in zip(of_ton, found.excreted, found.left, strict=True):
        for word, key, held, lb in zip(
            ("as excreted", "when spread"), ("lb", "left_lb"), per_ton, pounds, strict=True
        ):
            values = {"manure_ton": found.ton, "lb_per_ton": held}
            sheet.step(f"{letter} {word}", "tons x pounds per ton", values, lb, f"lb {letter}")
            outputs[f"{letter.lower()}_{key}"] = lb
    sheet.note(
        "The table heads its columns phosphate and potassium, but the sizes are those of the "
        "elements P and K: confirm before they are turned into P2O5 or K2O."
    )
    return outputs


@worksheet(
    "wisconsin_units",
    title="Wisconsin animal units: combined and individual",
    inputs=[
        Input("animals", "rows", meaning="types", kind="list", items=(
            Input("name", "word", meaning="type of animal", kind="text"),
            Input("head", "head", 0, None, "animals"),
            Input("combined_factor", "units a head", 0, 10, "factor of table 2A"),
            Input("individual_factor", "units a head", 0, 10, "factor of table 2B"),
        )),
    ],
    outputs=[
        Output("combined_units", "animal units", "all types together by table 2A"),
        Output("individual_units", "animal units", "the largest single type by table 2B"),
        Output("deciding_units", "animal units", "the higher of the two"),
        Output("decided_by", "word", "which of the two decides"),
    ],
    source="Wis. Admin. Code NR 243.05; its factors are entered from tables 2A and 2B",
    example={"animals": [
        {"name": "first type", "head": 400, "combined_factor": 1, "individual_factor": 1},
        {"name": "second type", "head": 300, "combined_factor": 1, "individual_factor": 1},
        {"name": "third type", "head": 200, "combined_factor": 1, "individual_factor": 1},
    ]},
)  # fmt: skip
def wisconsin_units(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Two totals, of which the higher decides; the factors come from the rule's own tables."""
    combined: dict[str, float] = {}
    single: dict[str, float] = {}
    for number, row in enumerate(inputs["animals"], 1):
        key = f"{number}. {row['name']}"
        for totals, factor, table in (
            (combined, row["combined_factor"], "2A"),
            (single, row["individual_factor"], "2B"),
        ):
            totals[key] = sheet.step(
                f"Units of {row['name']} by table {table}", "head x factor",
                {"head": row["head"], "factor": factor},
                animals.units_of(row["head"], factor), "animal units",
            )  # fmt: skip
    decides = animals.deciding_units(combined, single)
    together = sheet.step("Combined", "sum of all types", combined, sum(combined.values()),
                          "animal units")  # fmt: skip
    largest = sheet.step("Individual", "the largest single type", single, max(single.values()),
                         "animal units")  # fmt: skip
    sheet.step("What decides", "the higher of the two",
               {"combined": together, "individual": largest}, decides, "animal units")  # fmt: skip
    sheet.note(
        "Enter one row for each type as the tables name it. The note printed with the rule adds "
        "400, 300 and 200 to 1,000; the sum is 900, as here."
    )
    return {
        "combined_units": together,
        "individual_units": largest,
        "deciding_units": decides,
        "decided_by": "combined" if together >= largest else "individual",
    }


@worksheet(
    "leaching_index",
    title="Nitrate leaching index",
    inputs=[
        Input("soil_group", "word", meaning="hydrologic soil group", kind="choice",
              choices=leaching.GROUPS),
        Input("annual_rain_in", "in", 0, 200, "rain and snow water of a year", above=True),
        Input("winter_rain_in", "in", 0, 200, "of it from October to March"),
    ],
    outputs=[
        Output("index_in", "in", "leaching index"),
        Output("band", "in", "band of the source"),
    ],
    source=leaching.SOURCE,
    example={"soil_group": "B", "annual_rain_in": 40, "winter_rain_in": 20},
)  # fmt: skip
def leaching_index(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Inches of water going down in a year, weighted for rain outside the growing season."""
    found = leaching.leaching_index(**inputs)
    rain = inputs["annual_rain_in"]
    sheet.step("Percolation", "(rain - a)^2 / (rain + b), a and b of the soil group; 0 below a",
               {"soil_group": inputs["soil_group"], "annual_rain_in": rain},
               found.percolation_in, "in")  # fmt: skip
    sheet.step("Season", "cube root of 2 x winter rain / rain",
               {"winter_rain_in": inputs["winter_rain_in"], "annual_rain_in": rain},
               found.season_factor, "factor")  # fmt: skip
    sheet.step("Leaching index", "percolation x season", {}, found.index_in, "in")
    return {"index_in": found.index_in, "band": found.band}
