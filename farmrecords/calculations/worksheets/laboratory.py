"""Worksheets of laboratory tests."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from .. import manure_test
from ..units import UNITS, dimension, k2o_to_k, k_to_k2o, p2o5_to_p, p_to_p2o5
from ..worksheet import Input, Output, Working, worksheet

UNITS_OF_TESTS = tuple(u for u in UNITS if dimension(u) in ("concentration", "fraction"))
VALUES = (
    Input(
        "analyte", "word", meaning="what was tested", kind="choice", choices=manure_test.ANALYTES
    ),
    Input("value", "as given by unit", 0, None, "the figure on the sheet"),
    Input("unit", "word", meaning="its unit", kind="choice", choices=UNITS_OF_TESTS),
    Input(
        "basis", "word", meaning="as-is or dry", kind="choice", choices=("as_is", "dry"),
        optional=True,
    ),
)  # fmt: skip


@worksheet(
    "manure_test",
    title="A manure test brought to pounds per 1,000 gallons or per ton",
    inputs=[
        Input("form", "word", meaning="manure", kind="choice", choices=("liquid", "solid")),
        Input("values", "rows", meaning="figures of the sheet", kind="list", items=VALUES),
        Input("density_lb_per_gal", "lb/gal", 1, 15, "measured density", optional=True),
    ],
    outputs=[
        Output("total_n", "lb_per_kgal or lb_per_ton", "total N, as-is"),
        Output("ammonium_n", "lb_per_kgal or lb_per_ton", "ammonium N, as-is"),
        Output("organic_n", "lb_per_kgal or lb_per_ton", "organic N, as-is"),
        Output("p2o5", "lb_per_kgal or lb_per_ton", "P2O5, as-is"),
        Output("k2o", "lb_per_kgal or lb_per_ton", "K2O, as-is"),
        Output("unit", "word", "lb_per_kgal (liquid) or lb_per_ton (solid)"),
        Output("density_lb_per_gal", "lb/gal", "density used"),
        Output("density_assumed", "yes or no", "true when no density was given"),
    ],
    source="LPELC manure analysis; NOFA appendix 1; Agdex 400/28-3",
    example={
        "form": "solid",
        "values": [
            {"analyte": "solids_pct", "value": 10.5, "unit": "pct", "basis": "as_is"},
            {"analyte": "p", "value": 1.4, "unit": "pct", "basis": "dry"},
        ],
    },
    compared=("total_n", "ammonium_n", "organic_n", "p2o5", "k2o", "density_lb_per_gal"),
)
def manure_test_worksheet(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Nutrients as-is in lb per 1,000 gal (liquid) or lb per ton (solid), each figure converted."""
    form = inputs["form"]
    density = inputs["density_lb_per_gal"]
    density = None if density is None else Decimal(str(density))
    values = [
        manure_test.ReportedValue(
            row["analyte"], Decimal(str(row["value"])), row["unit"], row["basis"]
        )
        for row in inputs["values"]
    ]
    content = manure_test.normalise(values, form, density)
    used = None if content.density_lb_per_gal is None else Decimal(str(content.density_lb_per_gal))
    solids = manure_test.solids_fraction(values)
    for reported in values:
        if reported.analyte in ("solids_pct", "moisture_pct"):
            continue
        sheet.step(
            f"{reported.analyte} in the unit of the manure, as-is",
            "figure x unit factor" + (" x solids" if reported.basis == "dry" else ""),
            {
                "reported": reported.value,
                "unit": reported.unit,
                "basis": reported.basis,
                "solids": solids,
                "density_lb_per_gal": used,
            },
            float(manure_test.as_is(reported, form, used, solids)),
            content.unit,
        )
    if content.organic_n is not None:
        sheet.step(
            "Organic N",
            "total N - ammonium N - nitrate N",
            {
                "total_n": content.total_n,
                "ammonium_n": content.ammonium_n,
                "nitrate_n": content.nitrate_n,
            },
            content.organic_n,
            content.unit,
        )
    for pure, oxide in (("p", "p2o5"), ("k", "k2o")):
        if any(v.analyte == pure for v in values):
            sheet.step(
                f"{oxide} from {pure}",
                f"{pure} x ratio of the molar masses",
                {pure: "as above"},
                getattr(content, oxide),
                content.unit,
                "Molar masses",
                "definition",
            )
    for note in content.notes:
        sheet.note(note)
    names = "total_n ammonium_n organic_n p2o5 k2o unit density_lb_per_gal density_assumed"
    return {name: getattr(content, name) for name in names.split()}


OTHER_WAY = {
    "P": ("P2O5", p_to_p2o5), "P2O5": ("P", p2o5_to_p), "K": ("K2O", k_to_k2o),
    "K2O": ("K", k2o_to_k),
}  # fmt: skip


@worksheet(
    "oxides",
    title="P and P2O5, K and K2O",
    inputs=[
        Input("figure", "any, kept", 0, None, "the figure as given"),
        Input("given_as", "word", meaning="what it is a figure of", kind="choice",
              choices=tuple(OTHER_WAY)),
    ],
    outputs=[
        Output("figure", "the unit given", "the same, the other way"),
        Output("is_of", "word", "what it is a figure of"),
    ],
    source="Ratio of the molar masses: P2O5 is 2.29137 x P, K2O is 1.2046 x K",
    evidence="definition",
    example={"figure": 1, "given_as": "P"},
)  # fmt: skip
def oxides(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """A figure of the element as the oxide, or back; procedures may set factors of their own."""
    given = inputs["given_as"]
    other, function = OTHER_WAY[given]
    found = float(function(Decimal(str(inputs["figure"]))))
    sheet.step(f"{given} as {other}", "figure x ratio of the molar masses",
               {given: inputs["figure"]}, found, "the unit given")  # fmt: skip
    return {"figure": found, "is_of": other}
