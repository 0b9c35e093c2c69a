"""What the rules may look at for one field in one crop year."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from farmrecords.findings.load_facts import field_facts, operation_facts
from farmrecords.findings.surroundings import Surroundings
from farmrecords.loads.year import FieldYear
from farmrecords.rules.facts import Facts


def year_facts(around: Surroundings, year: FieldYear, on: dt.date) -> Facts:
    """The facts of a field's crop year as they stood at the end of the day."""
    permit = around.permit(on)
    values: dict[str, Any] = operation_facts(permit)
    values |= field_facts(around, year.field.pk, year.crop_year, on)
    values |= _plan(around, year, on)
    values |= _applied(year)
    known = {name: value for name, value in values.items() if value is not None}
    return Facts(known)


def _plan(around: Surroundings, year: FieldYear, on: dt.date) -> dict[str, Any]:
    plan = around.plan(on)
    if plan is None:
        return {}
    crops = around.planned(year.field.pk, year.crop_year, on)
    values: dict[str, Any] = {
        "plan.n_basis": "manure" if plan.approach == "linear" else "all_sources",
        "load.field_in_plan": bool(crops),
        "year.yield_expected": _recorded(crops and all(crop.yield_goal for crop in crops)),
        "year.rate_basis": _recorded(crops and all(crop.rate_basis for crop in crops)),
        "year.planned_totals": _recorded(
            crops and all(crop.n_limit_lb_per_ac is not None for crop in crops)
        ),
    }
    for fact, column in (
        ("plan.n_limit_lb_per_ac", "n_limit_lb_per_ac"),
        ("plan.p2o5_limit_lb_per_ac", "p2o5_limit_lb_per_ac"),
        ("plan.p2o5_removal_lb_per_ac", "p2o5_removal_lb_per_ac"),
    ):
        limits = [getattr(crop, column) for crop in crops]
        if limits and None not in limits:
            values[fact] = sum(limits, Decimal(0))
    return values


def _applied(year: FieldYear) -> dict[str, Any]:
    """Pounds per acre, unknown as soon as one load of the year has no test or no acres."""
    return {
        "year.n_lb_per_ac": year.n_heaviest_lb_per_ac,
        "year.p2o5_lb_per_ac": year.p2o5_heaviest_lb_per_ac,
        "year.n_whole_field_lb_per_ac": year.n_lb_per_ac,
        "year.p2o5_whole_field_lb_per_ac": year.p2o5_lb_per_ac,
        "year.fertilizer_n_lb_per_ac": year.fertilizer_n_lb_per_ac,
        "year.load_count": year.load_count,
        "year.first_load_on": year.first_load_on,
        "year.actual_totals": _recorded(year.n_lb_per_ac is not None),
        "year.yield_actual": _recorded(year.has_harvest),
    }


def _recorded(present: object) -> str:
    return "recorded" if present else "not_recorded"
