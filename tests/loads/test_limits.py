"""Which limit of the plan binds and what it leaves for manure (40 CFR 122.42(e)(5))."""

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.farm.models import StatementOfNone
from farmrecords.loads.limits import crop_year_days
from farmrecords.loads.models import Fertilizer
from farmrecords.loads.year import field_year
from farmrecords.people.models import Permit
from farmrecords.plan.models import PlannedCrop, PlanVersion
from tests import builders

pytestmark = pytest.mark.django_db
LATE = dt.date(2025, 12, 1)


class Case:
    """By hand, Montana's step 5: 40 ac, 8.53 lb N and 18 lb P2O5 a ton, limits 160 and 50 lb/ac."""

    def __init__(self, approach, **crop):
        self.operation = builders.make_operation()
        if approach != "linear":
            self.set_approach(approach)
        self.field = builders.make_field(self.operation, boundary=None, stated_ac=Decimal("40.0"))
        self.stack = builders.make_storage(self.operation, form="solid")
        results = [
            {"analyte": name, "value": value, "unit": "lb/ton", "basis": "as_is"}
            for name, value in (("total_n", "8.53"), ("p2o5", "18"))
        ]
        builders.make_manure_test(self.stack, dt.date(2024, 5, 2), results=results)
        self.plan = PlanVersion(
            operation=self.operation, from_on=builders.FIRST_DAY, label="P", approach=approach
        )
        builders.save(self.plan)
        self.crop(crop="corn", **crop)

    def set_approach(self, approach):
        builders.amend(Permit.objects.get(operation=self.operation), approach=approach)

    def crop(self, **values):
        told = {"n_limit_lb_per_ac": Decimal(160), "p2o5_limit_lb_per_ac": Decimal(50)} | values
        builders.save(
            PlannedCrop(
                operation=self.operation, plan=self.plan, field=self.field, crop_year=2025, **told
            )
        )

    def starter(self, day=dt.date(2024, 10, 5), n="10", p2o5="0"):
        builders.save(
            Fertilizer(
                operation=self.operation, field=self.field, spread_on=day, crop_year=2025,
                product="starter", n_lb_per_ac=Decimal(n), p2o5_lb_per_ac=Decimal(p2o5),
            )
        )  # fmt: skip

    def none(self, first, last, field=None):
        builders.save(
            StatementOfNone(
                operation=self.operation, subject="fertilizer", field=field, from_on=first,
                to_on=last, stated_on=LATE, looked_how="Asked the dealer",
                stated_by=builders.make_member(self.operation, "office").person,
            )
        )  # fmt: skip

    @property
    def year(self):
        return field_year(self.field, 2025, until=LATE)

    @property
    def left(self):
        (left,) = self.year.left
        return left

    @property
    def left_tons(self):
        return self.left.amount_milli / 2_000_000


def test_a_linear_limit_is_for_manure_alone_whatever_fertilizer_was_spread():
    case = Case("linear")
    case.starter()
    assert case.left_tons == pytest.approx(750.29, abs=0.005)  # by hand
    assert case.left.limited_by == "N"
    assert case.year.terms.p2o5.binds is False


def test_phosphorus_binds_on_a_field_that_the_plan_limits_by_it():
    case = Case("linear", is_p_limited=True)
    assert case.left_tons == pytest.approx(111.11, abs=0.005)  # by hand
    assert case.left.limited_by == "P2O5"
    assert [term.nutrient for term in case.year.terms.binding] == ["N", "P2O5"]


def test_a_narrative_limit_is_less_credits_and_fertilizer_of_the_crop_year():
    # By hand: legume 40 and soil N 30 as credits, starter 10: 80 lb/ac are left for manure
    case = Case("narrative", n_credit_lb_per_ac=Decimal(70))
    case.starter()
    assert case.year.terms.n.manure_lb_per_ac == pytest.approx(80)
    assert case.left_tons == pytest.approx(375.15, abs=0.005)


def test_under_the_narrative_approach_fertilizer_phosphate_comes_off_too():
    case = Case("narrative", n_credit_lb_per_ac=Decimal(70), is_p_limited=True)
    case.starter(p2o5="14")
    # (50 - 14) / 18 = 2 tons/ac on 40 ac, below (160 - 70 - 10) / 8.53
    assert case.left_tons == pytest.approx(80.0)
    assert case.left.limited_by == "P2O5"


@pytest.mark.parametrize("whole_farm", [True, False])
def test_no_fertilizer_needs_a_statement_for_the_crop_year_so_far(whole_farm):
    case = Case("narrative", n_credit_lb_per_ac=Decimal(70))
    first, _last = crop_year_days(2025)
    assert "nobody stated" in case.left.why
    field = None if whole_farm else case.field
    case.none(dt.date(2015, 1, 1), dt.date(2015, 12, 31), field)  # an old year says nothing
    case.none(first + dt.timedelta(days=1), LATE, field)  # a day short at the begin
    case.none(first, LATE - dt.timedelta(days=1), field)  # a day short at the end
    case.none(first, LATE, builders.make_field(case.operation))  # another field
    assert "nobody stated" in case.left.why
    case.none(first, LATE, field)
    assert case.left_tons == pytest.approx(90 / 8.53 * 40, abs=0.005)


def test_a_statement_without_a_last_day_reaches_to_the_day_it_was_made():
    case = Case("narrative", n_credit_lb_per_ac=Decimal(70))
    case.none(None, None)
    assert case.left.why == ""
    assert "nobody stated" in field_year(
        case.field, 2025, until=LATE + dt.timedelta(days=1)
    ).left[0].why  # fmt: skip


def test_nothing_is_said_when_permit_and_plan_name_different_approaches():
    case = Case("linear")
    case.set_approach("narrative")
    assert case.left.amount_milli is None
    assert "different rate approaches" in case.left.why
    case.set_approach("none")  # the permit names none: the plan's holds
    assert case.left_tons == pytest.approx(750.29, abs=0.005)


def test_credits_that_are_not_stated_are_not_nothing():
    case = Case("narrative")
    case.starter()
    assert "N credits" in case.left.why


def test_crops_that_count_n_in_different_ways_leave_it_open():
    case = Case("linear")
    case.crop(crop="rye", n_counts="available")
    assert "some count total N" in case.left.why
    assert Case("linear", n_counts="available").left.amount_milli is None


def test_a_phosphate_limit_is_needed_only_where_it_binds():
    assert Case("linear", p2o5_limit_lb_per_ac=None).left_tons == pytest.approx(750.29, abs=0.005)
    limited = Case("linear", p2o5_limit_lb_per_ac=None, is_p_limited=True)
    assert "no P2O5 limit" in limited.left.why
