"""Worksheets of entered index values, and of the Vermont index worked again from the log."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from .. import p_classes, p_classes_more
from .. import p_index_vt_events as events
from ..p_index_vt_inputs import SOURCE, choices
from ..worksheet import Input, Output, Working, worksheet
from . import p_index

PROCEDURES = {**p_classes.class_rules(), **p_classes_more.band_rules()}


@worksheet(
    "p_index_class",
    title="Class of an index value worked out officially",
    inputs=[
        Input("procedure", "word", meaning="procedure, by its state", kind="choice",
              choices=tuple(PROCEDURES)),
        Input("values", "rows", meaning="value; for Wisconsin each year of the rotation",
              kind="list", items=(Input("value", "as the procedure", 0, 10_000, "index value"),)),
        Input("fertility_index", "FIV", 0, 10_000, "Maryland: P fertility index", optional=True),
        Input("version", "word", meaning="version of the procedure used", kind="text"),
        Input("document", "word", meaning="document and date of the value", kind="text"),
    ],
    outputs=[
        Output("risk_class", "word", "class by the procedure's own rule"),
        Output("meaning", "sentence", "what it permits"),
        Output("value", "as the procedure", "the value that was classed"),
        Output("evidence", "word", "read, or memory: confirm before use"),
    ],
    source="The class rule of the chosen procedure",
    example={"procedure": "WI", "values": [{"value": 4}, {"value": 8}], "version": "590 (2005)",
             "document": "plan of March 2025"},
)  # fmt: skip
def p_index_class(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Class of an entered value by its state's rule; the procedure itself is official."""
    values = [row["value"] for row in inputs["values"]]
    name = inputs["procedure"]
    if name != "WI" and len(values) != 1:
        raise ValueError(f"{PROCEDURES[name]['title']} classes one value; {len(values)} are given.")
    if name == "IA":
        found = p_classes.iowa_class(values[0])
    elif name == "WI":
        found = p_classes.wisconsin_class(values)
    elif name in p_classes_more.band_rules():
        found = p_classes_more.band_class(name, values[0])
    else:
        found = p_classes.maryland_class(values[0], inputs["fertility_index"])
    evidence: Any = found.evidence
    sheet.step("Value that is classed", PROCEDURES[name]["rounding"], {"values": values},
               found.value, PROCEDURES[name]["unit"], found.source, evidence)  # fmt: skip
    sheet.step("Class", "by the limits of the procedure", {}, found.name, "word", found.source,
               evidence)  # fmt: skip
    sheet.note(f"Entered from {inputs['document']}, version {inputs['version']}.")
    if found.evidence == "memory":
        sheet.note("This class rule is from memory: confirm it before use.")
    return {
        "risk_class": found.name,
        "meaning": found.meaning,
        "value": found.value,
        "evidence": found.evidence,
    }


TOOLS = ("none", "moldboard", "chisel", "disk", "injected")
LOGGED = (
    Input("applied_on", "date", meaning="day, as 2025-10-20", kind="text"),
    Input("lb_p2o5_per_ac", "lb P2O5/ac", 0, 2000, "P2O5 applied"),
    Input("tool", "word", meaning="tool", kind="choice", choices=TOOLS, optional=True),
    Input("is_vegetated", "yes or no", meaning="sod or cover crop (April)", kind="yes_no",
          optional=True),
)  # fmt: skip
MANURE_LOGGED = (
    *LOGGED,
    Input("type", "word", meaning="manure", kind="choice", choices=choices()["type"]),
    Input("hours_to_incorporation", "h", 0, 10_000, "hours; empty when not worked in",
          optional=True),
    Input("share_of_field", "share", 0, 1, "share of the field", above=True, optional=True),
)  # fmt: skip


def _event(row: Mapping[str, Any]) -> dict[str, Any]:
    given = {key: value for key, value in row.items() if value is not None}
    try:
        given["applied_on"] = dt.date.fromisoformat(row["applied_on"])
    except ValueError:
        raise ValueError(f"{row['applied_on']!r} is no day; write it as 2025-10-20.") from None
    return given


@worksheet(
    "p_index_vt_logged",
    title="Vermont P Index from what was logged",
    inputs=[
        *p_index.INPUTS,
        Input("manure_logged", "rows", meaning="manure as logged", kind="list",
              items=MANURE_LOGGED, optional=True),
        Input("fertilizer_logged", "rows", meaning="fertilizer as logged", kind="list",
              items=LOGGED, optional=True),
    ],
    outputs=[
        Output("planned_index", "index", "index of the plan"),
        Output("logged_index", "index", "index of what was logged"),
        Output("planned_class", "word", "class of the plan"),
        Output("logged_class", "word", "class of what was logged"),
    ],
    source=SOURCE,
    example={
        **p_index.EXAMPLE,
        "fertilizer_logged": [{"applied_on": "2025-04-10", "lb_p2o5_per_ac": 50}],
    },
)  # fmt: skip
def p_index_vt_logged(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """The index of the plan beside the index of the year as it was logged."""
    planned = p_index.asked_of(inputs)
    manure = [events.ManureEvent(**_event(row)) for row in inputs["manure_logged"] or ()]
    other = [events.FertilizerEvent(**_event(row)) for row in inputs["fertilizer_logged"] or ()]
    for made in manure:
        one = events.manure_of(made)
        sheet.step(
            f"Manure of {made.applied_on}", "day, tool and hours in the words of the index",
            {"time": one.time, "method": one.method, "incorporation": one.incorporation},
            one.rate_lb_p2o5_per_ac, "lb P2O5/ac of the field",
        )  # fmt: skip
    for put in other:
        sheet.step(f"Fertilizer of {put.applied_on}", "day and tool as a code of the index",
                   {"code": events.fertilizer_code(put)}, put.lb_p2o5_per_ac, "lb P2O5/ac"
                   )  # fmt: skip
    found = events.recomputed(planned, manure, other)
    for words, result in (("the plan", found.planned), ("the log", found.logged)):
        sheet.step(
            f"Index of {words}", "pathway 1 + pathway 2 + pathway 3",
            {"sediment": result.sediment, "surface": result.surface,
             "subsurface": result.subsurface, "class": result.risk_class},
            result.index, "index",
        )  # fmt: skip
    for note in found.notes:
        sheet.note(note)
    return {
        "planned_index": found.planned.index,
        "logged_index": found.logged.index,
        "planned_class": found.planned.risk_class,
        "logged_class": found.logged.risk_class,
    }
