"""A field's year equals the sum over its loads; what does not count changes nothing."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from farmrecords.loads import amounts, entry, nutrients
from farmrecords.loads.entry import PartDraft
from farmrecords.loads.models import Fertilizer
from farmrecords.loads.year import field_year, operation_years, years_of
from farmrecords.people.models import ClosedPeriod
from tests import builders
from tests.loads.farm import Farm

pytestmark = pytest.mark.django_db
ACRES = 40.290596


@pytest.fixture
def farm():
    farm = Farm()
    builders.make_manure_test(farm.pit, dt.date(2026, 3, 1))
    return farm


def test_the_year_is_the_sum_of_its_loads(farm):
    farm.record()
    farm.record(amount_text="3500")
    farm.record(parts=[PartDraft(farm.field, "1000", "gal"), PartDraft(farm.other)])
    year = field_year(farm.field, 2026)
    assert year.gal_milli == 11_000_000  # 6,500 + 3,500 + 1,000 gal
    assert year.load_count == 3
    # 25 lb N and 12 lb P2O5 per 1,000 gal (builders): 275 and 132 lb on 40.290596 ac
    assert year.total.n_lb == pytest.approx(275)
    assert year.n_lb_per_ac == pytest.approx(275 / ACRES, rel=1e-6)
    assert year.p2o5_lb_per_ac == pytest.approx(132 / ACRES, rel=1e-6)
    assert field_year(farm.other, 2026).gal_milli == 5_500_000


def test_pounds_of_the_year_are_the_pounds_of_the_loads(farm):
    loads = [farm.record(amount_text=text) for text in ("6500", "1234.567", "0.001")]
    by_load = [part.n_lb for load in loads for part in nutrients.of_load(load)]
    assert field_year(farm.field, 2026).manure.n_lb == pytest.approx(sum(by_load), rel=1e-12)


def test_a_voided_load_leaves_the_year(farm):
    load = farm.record()
    farm.record(amount_text="1000")
    assert field_year(farm.field, 2026).gal_milli == 7_500_000
    entry.void_load(farm.seat, load, base_rev=1, reason_text="Entered twice")
    year = field_year(farm.field, 2026)
    assert (year.gal_milli, year.load_count) == (1_000_000, 1)
    assert year.total.n_lb == pytest.approx(25)


def test_a_waiting_load_does_not_count(farm):
    builders.save(
        ClosedPeriod(
            operation=farm.operation, from_on=dt.date(2026, 1, 1), to_on=dt.date(2026, 4, 20)
        )
    )
    load = farm.record()
    assert field_year(farm.field, 2026).load_count == 0
    owner = builders.make_seat(farm.operation, "owner")
    entry.decide_waiting(owner, load, True, "It was spread", base_rev=load.rev)
    assert field_year(farm.field, 2026).gal_milli == 6_500_000


def test_the_stored_crop_year_decides(farm):
    farm.record(crop_year=2027)
    assert field_year(farm.field, 2026).load_count == 0
    assert field_year(farm.field, 2027).load_count == 1
    assert operation_years(farm.operation) == [2027]


@pytest.mark.parametrize(("until", "count"), [(19, 0), (20, 1), (21, 1)])
def test_until_includes_its_day(farm, until, count):
    farm.record()
    assert field_year(farm.field, 2026, until=dt.date(2026, 4, until)).load_count == count


def test_another_farms_manure_counts_on_the_field(farm):
    farm.record(origin="other_farm", draws=[])
    assert field_year(farm.field, 2026).gal_milli == 6_500_000


def test_one_untested_load_makes_the_pounds_unknown_and_says_why(farm):
    farm.record()
    farm.record(content_test=None)
    year = field_year(farm.field, 2026)
    assert year.total.n_lb is None
    assert year.n_lb_per_ac is None
    assert year.gal_milli == 13_000_000
    assert (year.untested, len(year.missing)) == (1, 1)


def test_twice_over_the_same_noted_acres_counts_twice_on_them(farm):
    for _n in range(2):
        farm.record(parts=[PartDraft(farm.field, area_ac="2")])
    year = field_year(farm.field, 2026)
    # 2 x 162.5 lb N laid over the 4 ac they covered together (no ground known): 81.25 lb/ac
    assert year.n_heaviest_lb_per_ac == pytest.approx(81.25)
    assert year.covered_ac == 4.0


def test_fertilizer_is_part_of_the_total(farm):
    farm.record()
    builders.save(
        Fertilizer(
            operation=farm.operation, field=farm.field, spread_on=dt.date(2026, 5, 10),
            crop_year=2026, product="starter", n_lb_per_ac=Decimal(20), p2o5_lb_per_ac=Decimal(30),
        )
    )  # fmt: skip
    year = field_year(farm.field, 2026)
    assert year.n_lb_per_ac == pytest.approx(162.5 / ACRES + 20, rel=1e-6)
    assert year.fertilizer_n_lb_per_ac == 20


def test_what_is_left_follows_nitrogen_and_on_a_field_limited_by_p_the_smaller(farm):
    # 40 CFR 122.42(e)(5): R_max = min(R_N, R_P if the field is P-limited else R_N)
    plan = builders.make_plan(farm.operation)
    crop = builders.make_planned_crop(plan, farm.field, 2026, n_lb="160", p2o5_lb="30")
    for _n in range(2):
        farm.record()
    (left,) = field_year(farm.field, 2026).left
    # N: 160 x 40.290596 - 2 x 162.5 = 6,121.5 lb; at 25 lb per 1,000 gal: 244,860 gal
    assert left.limited_by == "N"
    assert left.amount_milli / 1000 == pytest.approx(244_860, abs=0.5)
    builders.amend(crop, is_p_limited=True)
    (left,) = field_year(farm.field, 2026).left
    # P2O5: 30 x 40.290596 - 2 x 78 = 1,052.72 lb; at 12 lb per 1,000 gal: 87,726 gal
    assert left.limited_by == "P2O5"
    assert left.amount_milli / 1000 == pytest.approx(87_726.5, abs=0.5)
    assert left.loads == pytest.approx(87_726.5 / 6500, abs=0.001)
    assert left.shown == amounts.shown(left.amount_milli, "gal")


def test_over_the_limit_nothing_is_left(farm):
    plan = builders.make_plan(farm.operation)
    builders.make_planned_crop(plan, farm.field, 2026, n_lb="1", p2o5_lb="80")
    farm.record()
    assert field_year(farm.field, 2026).left[0].amount_milli == 0


def test_without_a_plan_what_is_left_cannot_be_told(farm):
    farm.record()
    (left,) = field_year(farm.field, 2026).left
    assert left.amount_milli is None
    assert "no crop" in left.shown


def test_the_list_of_years_equals_each_year_and_asks_no_more_for_more_fields(farm):
    farm.record()
    farm.record(parts=[PartDraft(farm.field, "1000", "gal"), PartDraft(farm.other)])

    def asked():
        with CaptureQueriesContext(connection) as caught:
            years = years_of(farm.operation, 2026)
        return len(caught), years

    before, years = asked()
    for field in (farm.field, farm.other):
        single = field_year(field, 2026)
        assert years[field.pk].gal_milli == single.gal_milli
        assert years[field.pk].total == single.total
        assert years[field.pk].left == single.left
    for _n in range(3):
        field = builders.make_field(farm.operation)
        farm.record(parts=[PartDraft(field)])
    asked()  # the new boundaries made the kept facts stale; they are worked out again once
    assert asked()[0] == before


def test_the_worksheet_shows_the_figures_of_the_year(farm):
    farm.record(parts=[PartDraft(farm.field, area_ac="2")])
    farm.record()
    year = field_year(farm.field, 2026)
    sheet = year.worksheet()
    per_ac = sheet.outputs["per_ac"]
    told = per_ac["n_lb"] if isinstance(per_ac, dict) else per_ac.n_lb
    assert told == pytest.approx(year.n_lb_per_ac, rel=1e-12)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    total=st.integers(1, 10**9),
    acres=st.lists(st.integers(1, 99_999), min_size=1, max_size=6),
)
def test_shares_by_acres_add_up_to_the_load_exactly(farm, total, acres):
    from farmrecords.calculations.units import parse_amount
    from farmrecords.loads import shares

    draft = farm.draft(parts=[PartDraft(farm.field, area_ac=Decimal(n) / 1000) for n in acres])
    amount = parse_amount(amounts.plain(total), "gal")
    try:
        found = shares.part_amounts(draft, amount, None)
    except entry.EntryProblem:
        assert total < 10 * sum(acres)  # a share of nothing is refused, not rounded up
        return
    assert sum(found) == total
    whole = sum(acres)
    assert all(abs(share - total * n / whole) < 1 for share, n in zip(found, acres, strict=True))


@pytest.mark.parametrize(
    ("milli", "kind", "text"),
    [
        (6_500_000, "gal", "6,500 gal"),
        (16_260_000, "lb", "8.13 tons"),
        (2_000_000, "lb", "1.00 ton"),
        (2_166_667, "gal", "2,166.7 gal"),
        (0, "gal", "0 gal"),
    ],
)
def test_amounts_are_shown_in_gallons_and_tons(milli, kind, text):
    assert amounts.shown(milli, kind) == text
