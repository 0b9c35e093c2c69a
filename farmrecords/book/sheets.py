"""Worksheets opened from records: the same figures, worked step by step, made when asked for."""

from __future__ import annotations

from typing import Any

from farmrecords.calculations.worksheet import Worksheet, WorksheetError, run_worksheet
from farmrecords.loads.amounts import plain
from farmrecords.loads.available import Choices
from farmrecords.loads.models import Load
from farmrecords.loads.nutrients import content_of
from farmrecords.loads.year import FieldYear


def sheets_of_load(load: Load, kept: Any) -> list[Worksheet]:
    """Rate, nutrients and available nitrogen of each part; a sheet without inputs is left out."""
    acres = {row["part"]: row["covered_ac"] for row in kept.parts}
    found, chosen = [], Choices(load.operation)
    for part in load.parts.all():
        amount = {
            "amount": plain(part.amount_milli),
            "unit": load.amount_kind,
            "covered_ac": acres.get(part.number),
        }
        if amount["covered_ac"]:
            found.append(_run("load_rate", amount))
        if load.content_test:
            found.append(_run("load_nutrients", amount | _content(load.content_test)))
            found.append(chosen.sheet(load, part.amount_milli))
    return [sheet for sheet in found if sheet is not None]


def _content(test: Any) -> dict[str, Any]:
    try:
        content = content_of(test)
    except ValueError:
        return {"form": test.form}
    return {
        "form": test.form,
        "total_n": content.total_n,
        "p2o5": content.p2o5,
        "k2o": content.k2o,
        "density_lb_per_gal": content.density_lb_per_gal,
    }


def _run(name: str, inputs: dict[str, Any]) -> Worksheet | None:
    given = {key: value for key, value in inputs.items() if value is not None}
    try:
        return run_worksheet(name, given)
    except WorksheetError:
        return None


def sheet_of_year(year: FieldYear) -> Worksheet | None:
    """The field's year in pounds, or None while its acres are not known."""
    try:
        return year.worksheet()
    except WorksheetError:
        return None


def sheet_of_test(test: Any) -> Worksheet | None:
    """A laboratory sheet brought to pounds per 1,000 gallons or per ton."""
    keys = ("analyte", "value", "unit", "basis")
    rows = [{key: row.get(key) for key in keys if row.get(key)} for row in test.results]
    return _run(
        "manure_test",
        {"form": test.form, "values": rows, "density_lb_per_gal": test.density_lb_per_gal},
    )
