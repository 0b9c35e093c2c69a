"""Worksheets before and beside a phosphorus index: screening, source coefficient, conversions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import biosolids, p_classes, soil_test
from .. import p_index_pa as pa
from ..worksheet import Input, Output, Working, worksheet
from .one_line import one_line


@worksheet(
    "p_screening_pa",
    title="Pennsylvania P Index part A: is the index needed?",
    inputs=[
        Input("m3p_ppm", "ppm", 0, 3000, "Mehlich-3 P", reason="no soil holds more"),
        Input("distance_ft", "ft", 0, 100_000, "contributing distance to receiving water",
              reason="19 miles"),
        Input("special_watershed", "yes or no", meaning="special protection watershed (HQ or EV)",
              kind="yes_no"),
        Input("significant_change", "yes or no",
              meaning="significant management change as Act 38 means it", kind="yes_no"),
    ],
    outputs=[Output("needs_part_b", "yes or no", "whether part B, the index, is needed")],
    source="National Agronomy Manual fig. 503-40, part A",
    example={"m3p_ppm": 201, "distance_ft": 150, "special_watershed": False,
             "significant_change": False},
)  # fmt: skip
def p_screening_pa(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Four questions, of which any yes asks for part B; without one nitrogen decides the rate."""
    screen = pa.TABLES["screening"]
    most, near = screen["m3p_above_ppm"], screen["distance_below_ft"]
    answers = {
        f"Soil test above {most:g} ppm": pa.needs_part_b(inputs["m3p_ppm"], near, False, False),
        f"Nearer than {near:g} ft": pa.needs_part_b(0, inputs["distance_ft"], False, False),
        "Special protection watershed": inputs["special_watershed"],
        "Significant change": inputs["significant_change"],
    }
    shown = (inputs["m3p_ppm"], inputs["distance_ft"], None, None)
    for (words, answer), value in zip(answers.items(), shown, strict=True):
        sheet.step(words, "yes or no", {} if value is None else {"given": value}, answer, "")
    needed = sheet.step("Part B", "needed when any answer is yes", answers,
                        pa.needs_part_b(**inputs), "")  # fmt: skip
    return {"needs_part_b": needed}


@worksheet(
    "source_coefficient_pa",
    title="Source coefficient from water-extractable P",
    inputs=[
        Input("wep_g_per_kg", "g/kg", 0, 30, "water-extractable P, dry basis, 100:1, one hour",
              reason="140 manures lay between 0.2 and 16.8"),
        Input("material", "word", meaning="manure, for the book value beside it", kind="choice",
              choices=tuple(pa.TABLES["source_coefficient"]), optional=True),
    ],
    outputs=[
        Output("coefficient", "0 to 1", "source coefficient by the laboratory"),
        Output("book", "0 to 1", "book value of the material; empty when none is chosen"),
    ],
    source="Elliott et al. 2006, J. Environ. Qual. 35:2195, as set out with Penn State's note",
    example={"wep_g_per_kg": 4.0, "material": "dairy, liquid"},
)  # fmt: skip
def source_coefficient_pa(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Laboratory source coefficient beside the book value; which was used stands in the plan."""
    found = sheet.step("By the laboratory", "0.102 x WEP^0.99, at most 1",
                       {"wep_g_per_kg": inputs["wep_g_per_kg"]},
                       pa.source_coefficient_of_wep(inputs["wep_g_per_kg"]), "0 to 1")  # fmt: skip
    book = None
    if inputs["material"] is not None:
        book = sheet.step("By the book", "table", {"material": inputs["material"]},
                          pa.TABLES["source_coefficient"][inputs["material"]], "0 to 1",
                          pa.SOURCE)  # fmt: skip
    sheet.note(
        "Whether the state's worksheet uses this power form or a straight line was not confirmed."
    )
    return {"coefficient": found, "book": book}


@worksheet(
    "maryland_tier",
    title="Maryland tier of a farm by its fields",
    inputs=[
        Input("fields", "rows", meaning="fields", kind="list",
              items=(Input("fiv", "FIV", 0, 10_000, "P fertility index of the field",
                           reason="no soil reads more"),)),
    ],
    outputs=[
        Output("mean_fiv", "FIV", "mean of the fields that count; empty when none does"),
        Output("tier", "word", "tier A, B or C; empty when no field counts"),
    ],
    source="COMAR 15.20.08 as in force July 2026",
    example={"fields": [{"fiv": fiv} for fiv in (120, 200, 500)]},
)  # fmt: skip
def maryland_tier(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Tier by the mean of the fields above the lowest index of the tiers; others do not count."""
    values = [row["fiv"] for row in inputs["fields"]]
    starts = p_classes.maryland_tiers()
    counts_above = min(starts.values())
    tier, mean = p_classes.maryland_tier(values), soil_test.mean_above(values, counts_above)
    sheet.step(f"Mean of the fields above {counts_above:g}", "sum / number", {"fiv": values},
               mean, "FIV")  # fmt: skip
    sheet.step("Tier", "the highest that the mean reaches", dict(starts), tier or "none", "")
    return {"mean_fiv": mean, "tier": tier or None}


@worksheet(
    "soil_test_conversion",
    title="A soil-test P by another method or unit",
    inputs=[
        Input("value", "as the equation", 0, 5000, "value of the test",
              reason="no soil holds more"),
        Input("equation_id", "word", meaning="published equation", kind="choice",
              choices=tuple(soil_test.equations())),
        Input("backwards", "yes or no", meaning="solve it the other way round", kind="yes_no",
              optional=True),
    ],
    outputs=[
        Output("result", "as the equation", "converted value"),
        Output("result_as", "word", "method and unit of the result"),
    ],
    source="The chosen equation, as published",
    example={"value": 22, "equation_id": "ohio-older"},
)  # fmt: skip
def soil_test_conversion(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """One published equation at a time; equations of one state disagree and are never mixed."""
    one, backwards = soil_test.equations()[inputs["equation_id"]], bool(inputs["backwards"])
    evidence: Any = one.evidence
    formula = f"{one.intercept:g} + {one.slope:g} x value" if one.intercept else (
        f"{one.slope:g} x value")  # fmt: skip
    if backwards:
        formula = f"(value - {one.intercept:g}) / {one.slope:g}"
    result = sheet.step(
        one.title, formula, {"value": inputs["value"]},
        soil_test.converted(inputs["value"], one.id, backwards), one.of if backwards else one.to,
        f"{one.source}{f', {one.dated}' if one.dated else ''}", evidence,
    )  # fmt: skip
    sheet.note(
        "Store the test as the laboratory reported it. A procedure that names its own test, such "
        "as Vermont's index, takes no converted value."
    )
    return {"result": result, "result_as": one.of if backwards else one.to}


one_line(
    "septage_rate",
    "The most domestic septage in a year",
    biosolids.septage_gal_per_ac,
    [Input("need_n_lb_per_ac", "lb/ac", 0, 600, "nitrogen the crop needs",
           reason="no crop takes more")],
    Output("rate_gal_per_ac", "gal/ac", "largest amount in a year"),
    "pounds of N / 0.0026",
    biosolids.SEPTAGE_SOURCE,
    "read",
    {"need_n_lb_per_ac": 100},
)  # fmt: skip


@worksheet(
    "biosolids_p2o5",
    title="P2O5 in biosolids for Vermont's index",
    inputs=[
        Input("form", "word", meaning="biosolids", kind="choice", choices=("liquid", "solid")),
        Input("p_mg_per_kg", "mg/kg", 0, 100_000, "total P, dry basis for liquid",
              reason="a tenth of the weight"),
        Input("solids_pct", "%", 0, 100, "solids, for liquid", optional=True,
              reason="a share of the weight"),
    ],
    outputs=[
        Output("p2o5", "lb/1,000 gal or lb/ton", "P2O5, by 1,000 gal of liquid or ton of solid"),
    ],
    source=biosolids.VERMONT_SOURCE,
    example={"form": "liquid", "p_mg_per_kg": 20_000, "solids_pct": 5},
)  # fmt: skip
def biosolids_p2o5(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """The workbook's rate helper, with its own factor 2.27 from P to P2O5."""
    phosphorus, solids = inputs["p_mg_per_kg"], inputs["solids_pct"]
    if inputs["form"] == "solid":
        found = sheet.step("P2O5", "mg/kg x 0.002 x 2.27", {"p_mg_per_kg": phosphorus},
                           biosolids.solid_p2o5_lb_per_ton(phosphorus), "lb/ton")  # fmt: skip
        return {"p2o5": found}
    if solids is None:
        raise ValueError("solids_pct is missing: liquid biosolids need their solids (%).")
    found = sheet.step("P2O5", "8340 x solids / 100 x mg/kg x 1e-6 x 2.27",
                       {"solids_pct": solids, "p_mg_per_kg": phosphorus},
                       biosolids.liquid_p2o5_lb_per_kgal(solids, phosphorus),
                       "lb/1,000 gal")  # fmt: skip
    return {"p2o5": found}
