"""The content of the report against the regulation's list and against sums over the loads."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from farmrecords.farm.models import AnimalCount, AnimalGroup
from farmrecords.history import write
from farmrecords.people.access import seat_for
from farmrecords.people.models import Permit
from farmrecords.plan.models import PlanVersion
from farmrecords.report.content import NothingToSee, build
from tests import builders as make
from tests.report.making import FIRST, LAST, six_loads, stated_field

pytestmark = pytest.mark.django_db

# 40 CFR 122.42(e)(4)(i) [read], the thirteen types in the order of the rule.
THIRTEEN = [
    "beef_cattle", "broilers", "layers", "swine_ge55", "swine_lt55", "dairy_mature",
    "dairy_heifers", "veal", "sheep", "horses", "ducks", "turkeys", "other",
]  # fmt: skip


@pytest.fixture
def operation():
    return make.make_operation()


@pytest.fixture
def storage(operation):
    return make.make_storage(operation, "Long tank")


def test_six_loads_add_up_as_in_the_example_of_the_federal_page(operation, storage):
    six_loads(operation, storage)
    report = build(operation, FIRST, LAST)
    (field,) = report.fields
    # constructed, by hand: 25,200 gal; 2,652.6 gal/ac; 66.32 lb N/ac; 31.83 lb P2O5/ac
    assert field.applied[0].amount.words == "25,200 gal"
    assert field.applied[0].per_field_ac.words == "2,652.6 gal/ac"
    assert field.nutrients.n_lb_per_ac.value == Decimal("66.32")
    assert field.nutrients.p2o5_lb_per_ac.value == Decimal("31.83")
    assert field.nutrients.p_lb_per_ac.value == Decimal("13.89")  # with 2.2914, same section
    assert sum(row.amount.exact for row in field.loads) == field.totals[0].amount.exact == 25200


def test_a_voided_load_counts_nowhere(operation, storage):
    six_loads(operation, storage)
    load = operation.loads.order_by("local_day").first()
    with write.change(by=make.actor(), channel="web") as change:
        change.void(load, base_rev=load.rev, reason_code="entry_error", reason_text="twice")
    report = build(operation, FIRST, LAST)
    assert report.fields[0].totals[0].amount.exact == 21000  # 5 x 4,200
    assert report.generated.liquid_left.exact == 21000
    assert len(report.fields[0].loads) == 5


def test_the_thirteen_types_stand_in_the_order_of_the_rule(operation):
    report = build(operation, FIRST, LAST)
    assert [row.kind for row in report.animals.rows] == THIRTEEN
    assert report.animals.basis


def test_a_type_without_a_group_is_not_said_to_be_zero(operation):
    report = build(operation, FIRST, LAST)
    assert {row.open_head for row in report.animals.rows} == {None}


def test_animals_are_split_by_open_and_roof_at_the_latest_count_within_the_period(operation):
    group = make.save(AnimalGroup(operation=operation, name="Cows", kind="dairy_mature"))
    for day, head in ((dt.date(2026, 2, 1), 800), (LAST, 820), (dt.date(2027, 1, 1), 900)):
        make.save(
            AnimalCount(
                operation=operation, group=group, counted_on=day, open_head=7, roof_head=head
            )
        )
    row = build(operation, FIRST, LAST).animals.rows[THIRTEEN.index("dairy_mature")]
    assert (row.open_head.value, row.roof_head.value) == (7, 820)


def test_a_group_without_a_count_makes_its_type_unknown(operation):
    make.save(AnimalGroup(operation=operation, name="Heifer barn", kind="dairy_heifers"))
    row = build(operation, FIRST, LAST).animals.rows[THIRTEEN.index("dairy_heifers")]
    assert row.open_head.value is None
    assert "Heifer barn" in row.open_head.missing


def test_acres_used_count_each_field_once_and_leave_out_fields_without_loads(operation, storage):
    six_loads(operation, storage)
    other = stated_field(operation, "20")
    make.make_load(other, storage, dt.date(2026, 5, 1), area_ac=Decimal("1.5"))
    stated_field(operation, "100")
    used = build(operation, FIRST, LAST).acres_used
    assert used.field_count == 2
    assert used.field_acres.value == Decimal("29.5")  # 9.5 + 20
    assert used.covered_acres.value == Decimal("11.0")  # whole first field, 1.5 ac noted
    assert used.acres == used.field_acres


@pytest.mark.parametrize(
    ("control", "acres"), [("owned", 29), ("rented", 29), ("leased", 29), ("other", 9)]
)
def test_land_counts_as_used_when_owned_rented_or_leased(operation, storage, control, acres):
    # 40 CFR 122.23(b)(3) [read]: under control, whether owned, rented or leased
    make.make_load(stated_field(operation, "9"), storage)
    other = stated_field(operation, "20", control=control)
    make.make_load(other, storage)
    report = build(operation, FIRST, LAST)
    assert report.acres_used.acres.value == acres
    named = [f"{field.number} {field.name}" for field in report.fields if acres == 9][1:]
    assert list(report.acres_used.not_controlled) == named
    assert len(report.fields) == 2


def test_the_setting_of_the_operation_decides_which_acres_are_reported(storage):
    operation = make.make_operation(area_reported="covered")
    tank = make.make_storage(operation)
    make.make_load(stated_field(operation, "20"), tank, area_ac=Decimal("1.5"))
    used = build(operation, FIRST, LAST).acres_used
    assert used.acres.value == Decimal("1.5")
    assert used.field_acres.value == Decimal("20.0")


def test_manure_that_another_farm_put_on_a_field_is_not_in_this_report(operation, storage):
    make.make_load(stated_field(operation), storage, origin="other_farm", origin_name="Next door")
    report = build(operation, FIRST, LAST)
    assert report.fields == ()
    assert report.acres_used.field_count == 0


def test_acres_in_the_plan_are_those_of_its_fields(operation):
    plan = make.make_plan(operation)
    for acres in ("9.5", "20"):
        make.make_planned_crop(plan, stated_field(operation, acres), 2026)
    stated_field(operation, "100")
    part = build(operation, FIRST, LAST).acres_in_plan
    assert (part.acres.value, part.field_count) == (Decimal("29.5"), 2)


def test_a_field_used_outside_the_plan_is_named(operation, storage):
    make.make_plan(operation)
    field = six_loads(operation, storage)
    assert build(operation, FIRST, LAST).acres_used.outside_plan == (str(field),)


@pytest.mark.parametrize(
    ("entered", "answer"), [(True, "yes"), (False, "no"), (None, "cannot tell")]
)
def test_the_planner_statement_says_what_is_entered(operation, entered, answer):
    make.save(
        PlanVersion(
            operation=operation,
            from_on=FIRST,
            label="Plan",
            by_certified_planner=entered,
            planner_name="A Planner",
        )
    )
    part = build(operation, FIRST, LAST).planner
    assert part.answer == answer
    assert part.planner == "A Planner"


def test_without_a_plan_the_planner_statement_cannot_be_told(operation):
    assert build(operation, FIRST, LAST).planner.answer == "cannot tell"


def test_the_largest_amount_follows_from_the_limit_and_the_test(operation, storage):
    field = six_loads(operation, storage)
    make.make_planned_crop(make.make_plan(operation), field, 2026, n_lb="160", p2o5_lb="80")
    (row,) = build(operation, FIRST, LAST).fields[0].maximum
    # 160 lb/ac / 25 lb per 1,000 gal = 6,400 gal/ac; x 9.5 ac = 60,800 gal [derived, (e)(5)]
    assert (row.per_ac.words, row.amount.words, row.set_by) == ("6,400.0 gal/ac", "60,800 gal", "N")
    assert row.applied.words == "25,200 gal"


def test_the_largest_amount_names_what_is_missing(operation, storage):
    make.make_load(stated_field(operation), storage)
    (row,) = build(operation, FIRST, LAST).fields[0].maximum
    assert row.amount.value is None
    assert row.missing == ("No manure test is named with a load.",)


def test_a_linear_filer_is_not_asked_for_soil_tests_and_fertilizer(operation):
    assert build(operation, FIRST, LAST).narrative is None


def test_a_narrative_filer_shows_soil_tests_of_the_period(operation):
    make.save(
        Permit(
            operation=operation,
            from_on=FIRST,
            size_class="large",
            approach="narrative",
            period_kind="calendar",
        )
    )
    field = stated_field(operation)
    make.make_soil_test(field, dt.date(2026, 3, 3), "31")
    make.make_soil_test(field, dt.date(2025, 12, 31))
    part = build(operation, FIRST, LAST).narrative
    assert [row.reported[0].value for row in part.soil_tests] == ["31"]
    assert part.fertilizer_words.startswith("Cannot tell")


def test_an_inspector_sees_the_days_of_the_grant_alone(operation, storage):
    six_loads(operation, storage)
    membership = make.make_member(operation, "inspector")
    make.make_grant(membership, dt.date(2026, 4, 12), dt.date(2026, 4, 13))
    seat = seat_for(membership.person, operation.slug)
    report = build(operation, FIRST, LAST, seat=seat)
    assert (report.cover.first_on, report.cover.last_on) == (
        dt.date(2026, 4, 12),
        dt.date(2026, 4, 13),
    )
    assert report.fields[0].totals[0].amount.exact == 8400  # 2 x 4,200
    assert not report.cover.is_whole_period
    with pytest.raises(NothingToSee):
        build(operation, dt.date(2025, 1, 1), dt.date(2025, 12, 31), seat=seat)


def test_the_number_of_queries_does_not_grow_with_the_loads(operation, storage):
    six_loads(operation, storage)
    build(operation, FIRST, LAST)
    with CaptureQueriesContext(connection) as few:
        build(operation, FIRST, LAST)
    six_loads(operation, storage)
    six_loads(operation, storage)
    build(operation, FIRST, LAST)
    with CaptureQueriesContext(connection) as many:
        build(operation, FIRST, LAST)
    assert len(many) == len(few)


def test_fields_stand_by_number_as_a_person_counts(operation, storage):
    for number in ("10", "2", "12B", "12A"):
        field = make.make_field(operation, number, boundary=None, stated_ac=Decimal(5))
        make.make_load(field, storage)
    report = build(operation, FIRST, LAST)
    assert [field.number for field in report.fields] == ["2", "10", "12A", "12B"]


def test_counts_of_findings_are_those_of_the_rules(operation, storage):
    six_loads(operation, storage)
    found = build(operation, FIRST, LAST).findings
    assert found.rules
    rows = [row for rule in found.rules for row in (*rule.not_met, *rule.cannot_tell)]
    counted = found.firm.not_met + found.firm.cannot_tell
    counted += found.to_confirm.not_met + found.to_confirm.cannot_tell
    assert sum(row.count for row in rows) == counted
    met = sum(rule.met for rule in found.rules)
    assert met == found.firm.met + found.to_confirm.met


def test_the_map_holds_the_boundary_in_feet_and_the_zone_the_rules_ask_for(operation, storage):
    field = make.make_field(operation)
    brook = {"type": "LineString", "coordinates": [[-89.5001, 42.999], [-89.5001, 43.005]]}
    make.make_feature(operation, "stream_perennial", brook, name="Mill Brook")
    make.make_load(field, storage)
    land = build(operation, FIRST, LAST).fields[0].land
    # 0.005 degrees of longitude at 43 degrees are 1,337.6 ft on WGS84 (definition): 669 each way
    assert {abs(x) for x, _y in land.boundary[0][0]} <= {668, 669}
    assert [mark.label for mark in land.landmarks] == ["Mill Brook"]
    # 40 CFR 412.4(c)(5): 100 ft from down-gradient surface waters [read]
    assert [zone.label for zone in land.zones] == ["Mill Brook: 100 ft"]
