"""The yearly calculation of the report: 40 CFR 122.42(e)(5) and a case worked by hand."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.farm.models import StatementOfNone
from farmrecords.findings.spreadable import spreadable_in
from farmrecords.loads.limits import crop_year_days
from farmrecords.loads.models import Fertilizer
from farmrecords.loads.year import field_year
from farmrecords.people.models import Permit
from farmrecords.plan.models import PlannedCrop, PlanVersion
from farmrecords.report.content import build
from tests import builders as make

pytestmark = pytest.mark.django_db

FIRST, LAST = dt.date(2025, 1, 1), dt.date(2025, 12, 31)
SPREAD = dt.date(2025, 4, 20)


class Case:
    """By hand: 40 ac, 8.53 lb N and 18 lb P2O5 a ton, sampled 2024-05-02, limit 160 lb."""

    def __init__(self, approach="linear", boundary=None, **crop):
        self.operation = make.make_operation()
        if approach != "linear":
            make.amend(Permit.objects.get(operation=self.operation), approach=approach)
        acres = {} if boundary else {"stated_ac": Decimal(40)}
        self.field = make.make_field(self.operation, boundary=boundary, **acres)
        self.stack = make.make_storage(self.operation, form="solid", shape="stack")
        plan = PlanVersion(
            operation=self.operation, from_on=make.FIRST_DAY, label="P", approach=approach
        )
        self.plan = make.save(plan)
        told = {"n_limit_lb_per_ac": Decimal(160), "p2o5_limit_lb_per_ac": Decimal(50)} | crop
        make.save(
            PlannedCrop(
                operation=self.operation, plan=self.plan, field=self.field, crop_year=2025,
                crop="corn", **told,
            )
        )  # fmt: skip

    def test_of(self, sampled_on):
        results = [
            {"analyte": name, "value": value, "unit": "lb/ton", "basis": "as_is"}
            for name, value in (("total_n", "8.53"), ("p2o5", "18"))
        ]
        return make.make_manure_test(self.stack, sampled_on, results=results)

    def load(self, day=SPREAD, sampled_on=dt.date(2024, 5, 2), **values):
        test = self.test_of(sampled_on)
        told = {"amount_text": "10", "amount_unit": "ton", "amount_kind": "lb"}
        told |= {"amount_milli": 20_000_000, "rate_test": test, "content_test": test}
        return make.make_load(self.field, self.stack, day, **(told | values))

    def fertilizer(self, day, n="10", p2o5="0"):
        make.save(
            Fertilizer(
                operation=self.operation, field=self.field, spread_on=day, crop_year=2025,
                product="starter", n_lb_per_ac=Decimal(n), p2o5_lb_per_ac=Decimal(p2o5),
            )
        )  # fmt: skip

    def none(self, first, last, field=None):
        make.save(
            StatementOfNone(
                operation=self.operation, subject="fertilizer", field=field, from_on=first,
                to_on=last, stated_on=LAST, looked_how="asked",
                stated_by=make.make_member(self.operation, "office").person,
            )
        )  # fmt: skip

    @property
    def report(self):
        return build(self.operation, FIRST, LAST)

    @property
    def row(self):
        (row,) = self.report.fields[0].maximum
        return row


def test_the_linear_calculation_of_the_worked_case():
    case = Case()
    case.load()
    case.fertilizer(dt.date(2025, 5, 1))  # a linear limit is for manure alone
    assert case.row.amount.words == "750.29 tons"  # by hand
    assert case.row.set_by == "N"


def test_the_linear_calculation_on_a_field_limited_by_phosphorus():
    case = Case(is_p_limited=True)
    case.load()
    assert (case.row.amount.words, case.row.set_by) == ("111.11 tons", "P2O5")  # by hand


def narrative():
    case = Case("narrative", n_credit_lb_per_ac=Decimal(70))  # legume 40 and soil N 30
    case.load()
    return case


def test_the_narrative_calculation_of_the_worked_case():
    case = narrative()
    case.fertilizer(dt.date(2025, 5, 1))  # starter 10
    # By hand: 160 - 40 - 10 - 30 = 80; 80 / 8.53 = 9.3787 ton/ac; x 40 = 375.15 ton
    assert (case.row.per_ac.words, case.row.amount.words) == ("9.38 tons/ac", "375.15 tons")
    (inputs,) = case.report.narrative.inputs
    assert inputs.n_limit.words == "160.0 lb/ac"
    assert inputs.n_credit.words == "70.0 lb/ac"
    assert inputs.fertilizer_n.words == "10.0 lb/ac"
    assert inputs.n_for_manure.words == "80.0 lb/ac"


def test_fertilizer_of_the_crop_year_counts_although_it_was_spread_before_the_period():
    case = Case("narrative", n_credit_lb_per_ac=Decimal(40))
    case.fertilizer(dt.date(2024, 10, 15), n="70")
    test = case.test_of(dt.date(2024, 5, 2))
    test = make.amend(
        test, results=[{"analyte": "total_n", "value": "25", "unit": "lb/ton", "basis": "as_is"}]
    )
    case.load(rate_test=test, content_test=test)
    # (160 - 40 - 70) / 25 = 2 units per acre (derived)
    assert case.row.per_ac.words == "2.00 tons/ac"
    assert case.report.narrative.fertilizer == ()  # the list is that of the period


def test_a_statement_of_none_has_to_cover_the_crop_year_so_far():
    case = narrative()
    begins = crop_year_days(2025)[0]
    assert case.row.missing == ("No fertilizer is entered, and nobody stated that there was none.",)
    case.none(dt.date(2015, 1, 1), dt.date(2015, 12, 31))
    case.none(begins + dt.timedelta(days=1), LAST)
    case.none(begins, LAST, make.make_field(case.operation))
    assert case.row.amount.value is None
    case.none(begins, LAST, case.field)
    # (160 - 70) / 8.53 x 40
    assert case.row.amount.words == "422.04 tons"


def test_a_statement_about_a_field_is_told_in_the_narrative_part():
    case = narrative()
    other = make.make_field(case.operation, boundary=None, stated_ac=Decimal(5))
    make.make_load(other, case.stack, SPREAD)
    case.none(FIRST, LAST, case.field)
    part = case.report.narrative
    assert [made.about for made in part.fertilizer_statements] == [str(case.field)]
    assert part.fertilizer_words.endswith(f"there was none: {other}.")


@pytest.mark.parametrize(
    ("spread_on", "is_told"),
    [
        (dt.date(2025, 4, 20), True),  # twelve months: valid
        (dt.date(2025, 5, 2), True),  # twelve months to the day
        (dt.date(2025, 5, 3), False),  # twelve months: invalid
    ],
)
def test_the_manure_test_may_be_twelve_months_old_when_the_manure_is_applied(spread_on, is_told):
    case = Case()
    case.load(spread_on)
    assert case.row.amount.is_known is is_told
    if not is_told:
        assert "within 12 months before" in case.row.missing[0]


def test_a_test_taken_after_the_application_gives_no_maximum():
    case = Case()
    case.load(SPREAD, sampled_on=SPREAD + dt.timedelta(days=1))
    assert case.row.amount.value is None


def test_the_newest_test_that_was_young_enough_is_taken():
    case = Case()
    case.load()
    newer = make.make_manure_test(case.stack, dt.date(2025, 9, 1))
    case.load(dt.date(2025, 10, 1), rate_test=newer, content_test=newer)
    assert case.row.test.endswith("2025-09-01")


def test_permit_and_plan_that_differ_leave_the_approach_and_the_maximum_open():
    case = Case()
    case.load()
    make.amend(case.plan, approach="narrative")
    report = case.report
    assert report.cover.approach == (
        "cannot tell: the permit names the linear approach, the plan the narrative rate approach"
    )
    assert report.narrative is not None
    (row,) = report.fields[0].maximum
    assert "different rate approaches" in row.missing[0]


def test_ground_kept_free_is_not_in_the_acres_of_the_maximum():
    case = Case(boundary=make.SQUARE)
    case.load()
    whole = case.report.fields[0].field_ac.value
    assert case.row.spreadable_ac.value == whole
    brook = {"type": "LineString", "coordinates": [[-89.5, 42.99], [-89.5, 43.01]]}
    make.make_feature(case.operation, "stream_perennial", brook, name="Mill Brook")
    row = case.row
    # 40 CFR 412.4(c)(5): 100 ft along the west side of a field 1,312 ft from south to north
    # (0.0036 degrees of latitude at 43 degrees): 1,312 x 100 / 43,560 = 3.01 ac
    assert whole - row.spreadable_ac.value == pytest.approx(Decimal("3.0"), abs=Decimal("0.1"))
    # 160 / 8.53 tons on each of them
    assert float(row.amount.value) == pytest.approx(
        160 / 8.53 * float(row.spreadable_ac.value), rel=2e-3
    )
    assert "the ground that 1 feature closes" in row.acres_from


def test_what_is_left_is_the_maximum_less_what_went_on():
    # 40 CFR 122.42(e)(5): remaining = amount_max - already applied, amount_max = R_max x spreadable
    case = Case(boundary=make.SQUARE)
    brook = {"type": "LineString", "coordinates": [[-89.5, 42.99], [-89.5, 43.01]]}
    make.make_feature(case.operation, "stream_perennial", brook)
    case.load()
    year = field_year(case.field, 2025)
    acres = {kind: ground.acres for kind, ground in spreadable_in(year, SPREAD).items()}
    (left,) = year.left_over(acres)
    assert left.amount_milli / 2_000_000 == pytest.approx(
        float(case.row.amount.value) - 10, abs=0.01
    )
