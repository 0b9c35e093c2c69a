"""Results of the yearly calculation of the largest amount to apply, field by field.

Linear approach: 122.42(e)(5)(i)(B), the limits of the plan against the test. Narrative rate
approach: (e)(5)(ii)(D), the limits less credits and fertilizer against the test. Where an input is
missing the row says which.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from farmrecords.calculations.manure_test import ManureTestError
from farmrecords.calculations.maximum import amount_per_ac, maximum_per_ac, on_acres
from farmrecords.calculations.nutrients import NutrientError
from farmrecords.calculations.units import UnitError
from farmrecords.farm.models import Field
from farmrecords.loads.models import LoadPart
from farmrecords.loads.nutrients import content_of
from farmrecords.loads.year_figures import FieldYear
from farmrecords.measurements.models import ManureTest
from farmrecords.plan.models import PlannedCrop
from farmrecords.report.amounts import FORM_OF_KIND, UNITS, amount_figure
from farmrecords.report.figures import Figure, figure
from farmrecords.report.model import MaximumRow
from farmrecords.report.rows import Rows
from farmrecords.report.tests_used import test_words

PLACES = {"gal": 0, "lb": 2}


@dataclass(frozen=True)
class Limits:
    """The plan's limits for a field and crop year, its crops taken together."""

    crops: tuple[PlannedCrop, ...]

    def total(self, column: str) -> Decimal | None:
        """The sum of one limit over the crops; None as soon as one crop states none."""
        values = [getattr(crop, column) for crop in self.crops]
        return sum(values, Decimal(0)) if values and None not in values else None

    @property
    def names(self) -> str:
        """The crops, named together."""
        return ", ".join(crop.crop for crop in self.crops)

    @property
    def is_p_limited(self) -> bool:
        """Whether phosphorus limits the field."""
        return any(crop.is_p_limited for crop in self.crops)

    @property
    def counts(self) -> str:
        """Whether the N limit counts total or available nitrogen."""
        kinds = {str(crop.get_n_counts_display()) for crop in self.crops}
        return " and ".join(sorted(kinds))


def limits_of(rows: Rows, field: Field, crop_year: int) -> Limits:
    """The limits of the plan version in force on the last day of the period."""
    crops = rows.plan.crops.all() if rows.plan else ()
    return Limits(tuple(c for c in crops if c.field_id == field.pk and c.crop_year == crop_year))


def maximum_rows(rows: Rows, year: FieldYear) -> tuple[MaximumRow, ...]:
    """One row for each crop year and form of manure that the field took in the period."""
    keys = sorted({(load.crop_year, load.amount_kind) for load in year.loads})
    return tuple(_row(rows, year, crop_year, kind) for crop_year, kind in keys)


def _row(rows: Rows, year: FieldYear, crop_year: int, kind: str) -> MaximumRow:
    field = year.field
    mine = [
        row.part for row in year.parts
        if row.load.crop_year == crop_year and row.load.amount_kind == kind
    ]  # fmt: skip
    limits = limits_of(rows, field, crop_year)
    test = _test(mine)
    per_ac, set_by, missing = _largest(rows, field, crop_year, limits, test)
    if test is not None and test.form != FORM_OF_KIND[kind]:
        per_ac, set_by, missing = None, "", (f"a {FORM_OF_KIND[kind]} manure test",)
    if not year.acres:
        missing = (*missing, "acres of the field")
    whole = None if per_ac is None or not year.acres else on_acres(per_ac, float(year.acres))
    unit = UNITS[kind]
    lacking = "; ".join(missing)
    return MaximumRow(
        crop_year=crop_year,
        crop=limits.names or "not in the plan",
        plan=rows.plan.label if rows.plan else "",
        n_limit=_limit(limits, "n_limit_lb_per_ac"),
        p2o5_limit=_limit(limits, "p2o5_limit_lb_per_ac"),
        counts=limits.counts,
        test=test_words(test) or f"no {FORM_OF_KIND[kind]} manure test is named",
        amount=figure(whole, unit, PLACES[kind], missing=lacking),
        per_ac=figure(per_ac, f"{unit}/ac", 1 if kind == "gal" else 2, missing=lacking),
        set_by=set_by,
        applied=amount_figure(sum(part.amount_milli for part in mine), kind),
        missing=missing,
    )


def _limit(limits: Limits, column: str) -> Figure:
    return figure(limits.total(column), "lb/ac", 1, missing="the plan states none")


def _test(parts: Sequence[LoadPart]) -> ManureTest | None:
    """The most recent test that a rate was set from, else the one that says what was in it."""
    tests = [part.load.rate_test or part.load.content_test for part in parts]
    return max((t for t in tests if t), key=lambda t: (t.sampled_on, str(t.pk)), default=None)


def _largest(
    rows: Rows, field: Field, crop_year: int, limits: Limits, test: ManureTest | None
) -> tuple[float | None, str, tuple[str, ...]]:
    """Gallons or tons per acre, which nutrient sets them, and what is missing."""
    if test is None:
        return None, "", ("a manure test",)
    if not limits.crops:
        return None, "", ("limits: the plan has no crop for this field and crop year",)
    if any(crop.n_counts == "available" for crop in limits.crops):
        return None, "", ("the share of N that is available, by the state's method",)
    elsewhere = _elsewhere(rows, field, crop_year, limits)
    if isinstance(elsewhere, str):
        return None, "", (elsewhere,)
    try:
        content = content_of(test)
        most = maximum_per_ac(
            content,
            _number(limits.total("n_limit_lb_per_ac")),
            _number(limits.total("p2o5_limit_lb_per_ac")),
            limits.is_p_limited,
            *elsewhere,
        )
    except (ManureTestError, NutrientError, UnitError) as trouble:
        return None, "", (str(trouble),)
    return amount_per_ac(most.units_per_ac, content.form), most.set_by, ()


def _elsewhere(
    rows: Rows, field: Field, crop_year: int, limits: Limits
) -> tuple[float, float] | str:
    """Pounds of N and P2O5 per acre from elsewhere; or what is missing to know them.

    A linear limit is for manure alone; a narrative limit is for all sources together.
    """
    if rows.plan is None or rows.plan.approach == "linear":
        return 0.0, 0.0
    credits = limits.total("n_credit_lb_per_ac")
    if credits is None:
        return "N credits of the crop"
    passes = [
        row for row in rows.fertilizers if row.field_id == field.pk and row.crop_year == crop_year
    ]
    if not passes and not _no_fertilizer(rows, field):
        return "fertilizer: none is entered, and nobody stated that there was none"
    n = credits + sum((row.n_lb_per_ac for row in passes), Decimal(0))
    return float(n), float(sum((row.p2o5_lb_per_ac for row in passes), Decimal(0)))


def _no_fertilizer(rows: Rows, field: Field) -> bool:
    if rows.statement_about("fertilizer"):
        return True
    return any(s.subject == "fertilizer" and s.field_id == field.pk for s in rows.statements)


def _number(value: Any) -> float | None:
    return None if value is None else float(value)
