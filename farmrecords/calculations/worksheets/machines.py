"""Worksheets of spreader patterns, storage days and yearly balances."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import calibration
from .. import storage_budget as budget
from ..worksheet import Input, Output, Working, worksheet
from ..worksheet_inputs import by_name


@worksheet(
    "spread_pattern",
    title="How far apart passes may lie",
    inputs=[
        Input("trays", "rows", meaning="trays", kind="list",
              items=(Input("amount", "any, the same for all", 0, None, "caught in the tray"),)),
        Input("tray_spacing_ft", "ft", 0, 50, "distance between trays", above=True),
        Input("pattern", "word", meaning="how the field is driven", kind="choice",
              choices=("racetrack", "back and forth")),
        Input("most_cv_pct", "%", 0, 100, "unevenness accepted"),
    ],
    outputs=[
        Output("best_spacing_ft", "ft", "widest spacing within the limit, or none"),
        Output("effective_width_ft", "ft", "between the two half rates"),
        Output("across", "as given", "the row after overlap at the best spacing"),
    ],
    source="Overlap of neighbouring passes; half of the maximum (Agdex 400/28-3 p. 201)",
    evidence="derived",
    example={
        "trays": [{"amount": a} for a in (0, 1, 2, 3, 4, 3, 2, 1, 0)], "tray_spacing_ft": 5,
        "pattern": "racetrack", "most_cv_pct": 10,
    },
)  # fmt: skip
def spread_pattern(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Unevenness at every pass spacing, the widest that fits, and the effective width."""
    trays = [row["amount"] for row in inputs["trays"]]
    spacing, pattern = inputs["tray_spacing_ft"], inputs["pattern"]
    width = sheet.step(
        "Effective width", "between the places with half of the greatest rate",
        {"trays": trays, "tray_spacing_ft": spacing},
        calibration.effective_width_ft(trays, spacing), "ft",
    )  # fmt: skip
    for one in calibration.spacings(trays, spacing, pattern):
        sheet.step(
            f"Unevenness with passes {one.spacing_ft:g} ft apart",
            "100 x standard deviation / mean after overlap",
            {"pattern": pattern},
            one.cv_pct,
            "%",
        )
    best = calibration.best_spacing_ft(trays, spacing, pattern, inputs["most_cv_pct"])
    across = calibration.overlapped(trays, spacing, best, pattern) if best else None
    return {"best_spacing_ft": best, "effective_width_ft": width, "across": across}


LINES = (
    Input("name", "word", meaning="what it is", kind="text"),
    Input("amount", "one unit throughout", 0, None, "how much"),
)


@worksheet(
    "storage_balance",
    title="Whether a storage's year adds up",
    inputs=[
        Input("start", "one unit throughout", 0, None, "stored at the start"),
        Input("end", "one unit throughout", 0, None, "stored at the end"),
        Input("inflows", "rows", meaning="what came in", kind="list", items=LINES),
        Input("outflows", "rows", meaning="what went out", kind="list", items=LINES),
    ],
    outputs=[
        Output("residual", "the unit used", "measured less computed change"),
        Output("residual_pct", "%", "of what passed through"),
        Output("doubtful", "yes or no", "above 15 per cent"),
    ],
    source="Mass balance of a storage; the 15 per cent is a working rule",
    evidence="derived",
    example={
        "start": 100, "end": 150,
        "inflows": [{"name": "manure", "amount": 300}, {"name": "rain", "amount": 60}],
        "outflows": [{"name": "spread", "amount": 320}],
    },
)  # fmt: skip
def storage_balance(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """What a storage gained by its readings against what came in and went out."""
    came = by_name(inputs["inflows"], "amount")
    went = by_name(inputs["outflows"], "amount")
    found = budget.mass_balance(inputs["start"], inputs["end"], came, went)
    unit = "the unit used"
    sheet.step("Measured change", "end - start", {"start": inputs["start"], "end": inputs["end"]},
               found.measured_change, unit)  # fmt: skip
    values = {f"+ {name}": amount for name, amount in came.items()}
    values |= {f"- {name}": amount for name, amount in went.items()}
    sheet.step("Computed change", "inflows - outflows", values,
               found.computed_change, unit)  # fmt: skip
    sheet.step("Not explained", "measured - computed", {}, found.residual, unit)
    if found.residual_pct is None:
        sheet.note("Nothing came or went: there is nothing the change could be a share of.")
    else:
        sheet.step("Share of what passed through", "100 x residual / throughput", {},
                   found.residual_pct, "%")  # fmt: skip
    return {
        "residual": found.residual,
        "residual_pct": found.residual_pct,
        "doubtful": found.doubtful,
    }
