"""What the rules may look at for one field in one crop year."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from farmrecords.calculations.nutrients import Applied
from farmrecords.findings.load_facts import COVERED, field_facts, operation_facts
from farmrecords.findings.surroundings import Surroundings
from farmrecords.findings.years_together import sums_of_years
from farmrecords.loads.limits import Term, Terms, limits_of, terms_of
from farmrecords.loads.year import FieldYear
from farmrecords.plan.models import PlannedCrop
from farmrecords.rules.facts import Facts


def year_facts(around: Surroundings, year: FieldYear, on: dt.date) -> Facts:
    """The facts of a field's crop year as they stood at the end of the day."""
    permit = around.permit(on)
    crops = around.planned(year.field.pk, year.crop_year, on)
    limits = limits_of(around.plan(on), crops, permit)
    terms = terms_of(limits, year.fertilizers, year.no_fertilizer, lambda: year.residual)
    values: dict[str, Any] = operation_facts(permit)
    values |= field_facts(around, year.field.pk, year.crop_year, on)
    if around.plan(on) is not None:
        values |= _plan(crops, terms)
    values |= _applied(year)
    values |= _available(year)
    values |= sums_of_years(around, year, around.stack(year.field, on))
    values |= _counted(year, terms, limits.n_counts)
    known = {name: value for name, value in values.items() if value is not None}
    return Facts(known)


def _plan(crops: Sequence[PlannedCrop], terms: Terms) -> dict[str, Any]:
    return {
        "plan.n_basis": terms.n.counts or None,
        "load.field_in_plan": bool(crops),
        "year.yield_expected": _recorded(crops and all(crop.yield_goal for crop in crops)),
        "year.rate_basis": _recorded(crops and all(crop.rate_basis for crop in crops)),
        "year.planned_totals": _recorded(
            crops and all(crop.n_limit_lb_per_ac is not None for crop in crops)
        ),
    }


def _is_placed(year: FieldYear) -> bool:
    """Whether the ground of every load is known; a mean of the whole field hides what lay where."""
    return all(row.facts.get("covered_from") in COVERED for row in year.parts)


def _applied(year: FieldYear) -> dict[str, Any]:
    """Pounds per acre, unknown as soon as one load of the year has no test or no acres.

    Where the ground of a load is not known only the mean of the whole field stands, which the
    most heavily covered ground is never below.
    """
    placed = _is_placed(year)
    heaviest = year.heaviest if placed else Applied(None, None, None)
    manure = year.manure_heaviest if placed else Applied(None, None, None)
    return {
        "year.n_lb_per_ac": heaviest.n_lb,
        "year.p2o5_lb_per_ac": heaviest.p2o5_lb,
        "year.n_whole_field_lb_per_ac": year.n_lb_per_ac,
        "year.p2o5_whole_field_lb_per_ac": year.p2o5_lb_per_ac,
        "year.manure_n_lb_per_ac": manure.n_lb,
        "year.manure_n_whole_field_lb_per_ac": year.manure_per_ac.n_lb,
        # Held only against "none at all", which any ground shows.
        "year.manure_p2o5_lb_per_ac": manure.p2o5_lb if placed else year.manure_per_ac.p2o5_lb,
        "year.fertilizer_n_lb_per_ac": year.fertilizer_n_lb_per_ac,
        "year.load_count": year.load_count,
        "year.first_load_on": year.first_load_on,
        "year.max_test_sampled_on": _oldest_rate_test(year),
        "year.actual_totals": _recorded(year.n_lb_per_ac is not None),
        "year.yield_actual": _recorded(year.has_harvest),
    }


def _oldest_rate_test(year: FieldYear) -> dt.date | None:
    """The earliest sampling behind the year's rates; unknown while one load names no test."""
    tests = [load.rate_test for load in year.loads]
    days = [test.sampled_on for test in tests if test is not None]
    return min(days) if days and len(days) == len(tests) else None


def _available(year: FieldYear) -> dict[str, Any]:
    """Available N of the year's manure, with carry-over and fertilizer; read factors alone."""
    if not (_is_placed(year) and year.is_available_firm):
        return {}
    first = year.available_heaviest_lb_per_ac
    carried = year.residual.lb_per_ac if year.residual.evidence == "read" else None
    known = bool(year.fertilizers) or year.no_fertilizer
    total = None
    if first is not None and carried is not None and known:
        total = first + carried + year.fertilizer_n_lb_per_ac
    return {"year.first_year_manure_n_lb_per_ac": first, "year.total_n_lb_per_ac": total}


def _counted(year: FieldYear, terms: Terms, n_counts: str) -> dict[str, Any]:
    """Pounds per acre as each limit of the plan counts them: manure alone, or all sources.

    An N limit in available pounds is held against available pounds, and only where every factor
    behind them was read in its source; a limit in both kinds is held against nothing.
    """
    placed, mean = _is_placed(year), year.manure_per_ac
    heaviest = year.manure_heaviest if placed else Applied(None, None, None)
    values: dict[str, Any] = {}
    if n_counts == "total":
        values |= _of_term("n", terms.n, heaviest.n_lb, mean.n_lb)
    elif n_counts == "available" and _is_available_firm(year, terms.n):
        available = year.available_heaviest_lb_per_ac if placed else None
        values |= _of_term("n", terms.n, available, year.available_n_lb_per_ac)
    return values | _of_term("p2o5", terms.p2o5, heaviest.p2o5_lb, mean.p2o5_lb)


def _is_available_firm(year: FieldYear, term: Term) -> bool:
    residual_counts = term.counts == "all_sources" and term.elsewhere_lb_per_ac is not None
    return year.is_available_firm and (not residual_counts or year.residual.evidence == "read")


def _of_term(
    name: str, term: Term, heaviest: float | None, mean: float | None
) -> dict[str, float | None]:
    """The pounds under one limit, and what they are at least: the manure over the whole field."""
    elsewhere = term.elsewhere_lb_per_ac if term.counts else None
    counted = None if heaviest is None or elsewhere is None else heaviest + elsewhere
    least = None if mean is None else mean + (elsewhere or 0.0)
    return {
        f"year.{name}_counted_lb_per_ac": counted,
        f"year.{name}_counted_whole_field_lb_per_ac": least,
    }


def _recorded(present: object) -> str:
    return "recorded" if present else "not_recorded"
