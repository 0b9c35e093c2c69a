"""Results of the yearly calculation of the largest amount to apply, field by field.

Linear approach: 122.42(e)(5)(i)(B), the limits of the plan against the test. Narrative rate
approach: (e)(5)(ii)(D), the limits less credits and fertilizer against the test. Which limit binds
and what it counts stands in `loads.limits`. Where an input is missing the row says which.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from farmrecords.calculations.manure_test import ManureTestError
from farmrecords.calculations.maximum import amount_per_ac, maximum_per_ac, on_acres
from farmrecords.calculations.nutrients import NutrientError
from farmrecords.calculations.rate_terms import is_recent_test
from farmrecords.calculations.units import UnitError
from farmrecords.farm.models import Field
from farmrecords.findings.rulebooks import rulebook
from farmrecords.findings.spreadable import Spreadable
from farmrecords.history import clock
from farmrecords.loads.limits import Limits, Terms, crop_year_days, limits_of, terms_of
from farmrecords.loads.models import LoadPart
from farmrecords.loads.nutrients import content_of
from farmrecords.loads.year_figures import FieldYear
from farmrecords.measurements.models import ManureTest
from farmrecords.report.amounts import FORM_OF_KIND, PLACES, UNITS, amount_figure
from farmrecords.report.figures import figure
from farmrecords.report.model import MaximumRow
from farmrecords.report.rows import Rows
from farmrecords.report.tests_used import test_words

AGE_RULE = "US-F11-TEST"


def limits_for(rows: Rows, field: Field, crop_year: int) -> Limits:
    """The limits of the plan version in force on the last day of the period."""
    crops = rows.plan.crops.all() if rows.plan else ()
    mine = [row for row in crops if row.field_id == field.pk and row.crop_year == crop_year]
    return limits_of(rows.plan, mine, rows.permit)


def terms_for(rows: Rows, field: Field, crop_year: int) -> Terms:
    """What those limits leave for manure, with the fertilizer of the whole crop year so far."""
    first, last = crop_year_days(crop_year)
    today = clock.today(rows.operation.time_zone)
    days = first, max(first, min(last, rows.last_on, today))
    stated = rows.statement_about("fertilizer", field, days)
    passes = rows.fertilizers_of(field, crop_year)
    return terms_of(
        limits_for(rows, field, crop_year),
        passes,
        stated is not None,
        lambda: rows.residual_of(field, crop_year),
    )


def maximum_rows(
    rows: Rows, year: FieldYear, spreadable: dict[str, Spreadable]
) -> tuple[MaximumRow, ...]:
    """One row for each crop year and form of manure that the field took in the period.

    `spreadable` tells the acres by kind of amount ("gal", "lb").
    """
    keys = sorted({(load.crop_year, load.amount_kind) for load in year.loads})
    return tuple(_row(rows, year, crop_year, kind, spreadable[kind]) for crop_year, kind in keys)


def _row(rows: Rows, year: FieldYear, crop_year: int, kind: str, ground: Spreadable) -> MaximumRow:
    mine = [
        row.part for row in year.parts
        if row.load.crop_year == crop_year and row.load.amount_kind == kind
    ]  # fmt: skip
    limits = limits_for(rows, year.field, crop_year)
    terms = terms_for(rows, year.field, crop_year)
    test, missing = _test(rows, mine, FORM_OF_KIND[kind])
    per_ac, set_by = None, ""
    if test is not None and not missing:
        per_ac, set_by, missing = _largest(rows, terms, test, mine)
    if ground.acres is None:
        missing = (*missing, "No acres of the field are known.")
    whole = None if per_ac is None or ground.acres is None else on_acres(per_ac, ground.acres)
    unit, lacking = UNITS[kind], " ".join(missing)
    return MaximumRow(
        crop_year=crop_year,
        crop=limits.names or "not in the plan",
        plan=rows.plan.label if rows.plan else "",
        n_limit=figure(limits.n_lb_per_ac, "lb/ac", 1, missing="the plan states none"),
        p2o5_limit=figure(limits.p2o5_lb_per_ac, "lb/ac", 1, missing="the plan states none"),
        counts=_counts(limits),
        test=test_words(test) or f"no {FORM_OF_KIND[kind]} manure test is named",
        amount=figure(whole, unit, PLACES[kind], missing=lacking),
        per_ac=figure(per_ac, f"{unit}/ac", 1 if kind == "gal" else 2, missing=lacking),
        set_by=set_by,
        applied=amount_figure(sum(part.amount_milli for part in mine), kind),
        spreadable_ac=figure(ground.acres, "ac", 1, missing="acres of the field"),
        acres_from=ground.words,
        missing=missing,
    )


def _counts(limits: Limits) -> str:
    """Whether the N limit counts total or available nitrogen."""
    kinds = {str(crop.get_n_counts_display()) for crop in limits.crops}
    return " and ".join(sorted(kinds))


def _test(
    rows: Rows, parts: Sequence[LoadPart], form: str
) -> tuple[ManureTest | None, tuple[str, ...]]:
    """The most recent test young enough for the load it stands for, and what is missing.

    A load stands on the test its rate was set from, else on the one that says what was in it.
    """
    named = [
        (test, part.load.local_day) for part in parts
        if (test := part.load.rate_test or part.load.content_test) is not None
    ]  # fmt: skip
    if not named:
        return None, ("No manure test is named with a load.",)
    months = most_months(rows)
    young = [test for test, on in named if is_recent_test(test.sampled_on, on, months)]
    test = max(young or [t for t, _on in named], key=lambda t: (t.sampled_on, str(t.pk)))
    if not young:
        words = f"No manure test taken within {months} months before the application is named."
        return test, (words,)
    if test.form != form:
        return test, (f"The test named is not one of {form} manure.",)
    return test, ()


def most_months(rows: Rows) -> int:
    """How old a test may be when the manure is applied, by the rule in force on the last day."""
    value = rulebook().rule(AGE_RULE).on(rows.last_on).plain["longest"]
    if value.unit != "month" or not isinstance(value.value, Decimal):
        raise ValueError(f"Rule {AGE_RULE} gives its span in {value.unit}; months are expected.")
    return int(value.value)


def _largest(
    rows: Rows, terms: Terms, test: ManureTest, parts: Sequence[LoadPart]
) -> tuple[float | None, str, tuple[str, ...]]:
    """Gallons or tons per acre, which nutrient sets them, and what is missing.

    Under a limit of available N the loads may differ in what they keep of it: the one that gives
    the most N a unit decides, so that no load of the year goes over.
    """
    if terms.why:
        return None, "", (terms.why,)
    try:
        content = content_of(test)
        if terms.n.measures == "available":
            shares = [rows.nitrogen.as_spread(p.load, p.amount_milli, test) for p in parts]
            lacking = tuple(dict.fromkeys(share.why for share in shares if share.why))
            if lacking:
                return None, "", lacking
            each = [share.found.available_n for share in shares if share.found]
            content = replace(content, total_n=max(each))
        most = maximum_per_ac(
            content,
            terms.n.limit_lb_per_ac,
            terms.p2o5.limit_lb_per_ac,
            bool(terms.p2o5.binds),
            terms.n.elsewhere_lb_per_ac or 0.0,
            terms.p2o5.elsewhere_lb_per_ac or 0.0,
        )
    except (ManureTestError, NutrientError, UnitError) as trouble:
        return None, "", (str(trouble),)
    return amount_per_ac(most.units_per_ac, content.form), most.set_by, ()
