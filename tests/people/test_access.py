"""The only door to a record: narrowing for crew and haulers, period grants, the strongest role."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.http import Http404
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from farmrecords.farm.models import Field, FieldVersion, Spreader, Storage
from farmrecords.history import clock
from farmrecords.loads.models import Load, Stop
from farmrecords.measurements.models import ManureTest, SoilTest
from farmrecords.people.access import RIGHTS, record, records, seat_for, seated, seats_of
from farmrecords.people.models import Grant, Membership
from farmrecords.plan.models import Job
from tests import builders
from tests.people.world import NOW, TODAY, World, nobody, void

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def _day():
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def world() -> World:
    return World()


def seat(world: World, name: str) -> Any:
    return seat_for(world.people[name], "here")


def seen(world: World, name: str, model: Any) -> set[Any]:
    return set(records(seat(world, name), model))


def test_crew_sees_the_fields_of_the_jobs_around_today(world):
    assert seen(world, "crew", Field) == {world.field}
    assert {v.field for v in seen(world, "crew", FieldVersion)} == {world.field}


# The reach of a job, 14 days back and ahead, is common practice of this book, without a source.
@pytest.mark.parametrize(("days", "is_seen"), [(14, True), (15, False), (-14, True), (-15, False)])
def test_a_job_two_weeks_away_opens_its_fields_and_one_day_more_does_not(world, days, is_seen):
    on = TODAY + dt.timedelta(days=days)
    builders.save(
        Job(
            operation=world.farm,
            membership=world.members["crew"],
            first_on=on,
            last_on=on,
            field_ids=[str(world.far_field.pk)],
        )
    )
    assert (world.far_field in seen(world, "crew", Field)) is is_seen


# The table of roles: own loads today and the last 14 days.
@pytest.mark.parametrize(("days", "is_seen"), [(0, True), (14, True), (15, False)])
def test_crew_sees_own_loads_of_fourteen_days(world, days, is_seen):
    load = world.load("crew", TODAY - dt.timedelta(days=days))
    assert (load in seen(world, "crew", Load)) is is_seen


def test_crew_sees_nobody_elses_load(world):
    assert {load.person.username for load in seen(world, "crew", Load)} == {"crew"}


def test_crew_sees_every_storage_and_a_hauler_that_of_the_job(world):
    other = builders.make_storage(world.farm)
    assert seen(world, "crew", Storage) == {world.pit, other}
    assert seen(world, "hauler", Storage) == {world.pit}


@pytest.mark.parametrize("model", [ManureTest, SoilTest, Membership, Grant])
@pytest.mark.parametrize("name", ["crew", "hauler"])
def test_a_class_nobody_opened_to_the_crew_is_closed(world, model, name):
    builders.make_soil_test(world.field, TODAY)
    assert seen(world, name, model) == set()


# What each role sees of these classes at its own farm: something (True), or nothing at all.
OF_BOTH_FARMS = {
    Load: {"crew", "hauler", "office", "owner", "planner", "inspector"},
    Field: {"crew", "hauler", "office", "owner", "planner", "inspector"},
    Storage: {"crew", "hauler", "office", "owner", "planner", "inspector"},
    Spreader: {"crew", "hauler", "office", "owner", "planner", "inspector"},
    ManureTest: {"office", "owner", "planner", "inspector"},
    Membership: {"office", "owner", "planner", "inspector"},
    Stop: {"crew", "hauler", "office", "owner", "planner", "inspector"},
}


@pytest.mark.parametrize("model", OF_BOTH_FARMS)
@pytest.mark.parametrize("name", ["crew", "hauler", "office", "owner", "planner", "inspector"])
def test_no_role_sees_a_record_of_another_operation(world, model, name):
    for farm, person in (
        (world.farm, world.people[name]), (world.theirs, world.people["office_elsewhere"]),
    ):  # fmt: skip
        builders.make_spreader(farm)
        builders.save(
            Stop(operation=farm, stopped_at=NOW, stopped_on=TODAY, reason="rain", person=person)
        )
    owners = {row.operation_id for row in model.objects.all()}
    assert owners == {world.farm.pk, world.theirs.pk}  # there is something to leak
    expected = {world.farm.pk} if name in OF_BOTH_FARMS[model] else set()
    assert {row.operation_id for row in seen(world, name, model)} == expected


def test_office_and_owner_see_everything_of_the_farm(world):
    for name in ("office", "owner"):
        assert seen(world, name, Load) == set(Load.objects.filter(operation=world.farm))


def test_a_period_grant_covers_the_tests_its_loads_rest_on(world):
    tests = seen(world, "inspector", ManureTest)
    assert world.test_rested_on in tests  # sampled before the grant, used by a load in it
    assert world.test in tests
    assert world.test_outside not in tests


def test_a_period_grant_covers_the_soil_tests_of_the_fields_its_loads_went_to(world):
    before = builders.make_soil_test(world.field, dt.date(2021, 10, 1))
    elsewhere = builders.make_soil_test(builders.make_field(world.farm), dt.date(2021, 10, 1))
    assert before in seen(world, "inspector", SoilTest)
    assert elsewhere not in seen(world, "inspector", SoilTest)


def test_a_period_grant_covers_the_boundary_in_force_in_it(world):
    assert {v.field for v in seen(world, "inspector", FieldVersion)} == {
        world.field,
        world.far_field,
    }


def test_a_record_outside_raises_what_a_missing_one_raises(world):
    inspector = seat(world, "inspector")
    for pk in (world.outside.pk, world.their_load.pk, nobody(), "no id", "", None):
        with pytest.raises(Http404):
            record(inspector, Load, pk)


def test_the_strongest_of_several_roles_is_taken(world):
    person = world.people["crew"]
    for role, taken in (("hauler", "hauler"), ("inspector", "hauler"), ("office", "office"),
                        ("owner", "owner")):  # fmt: skip
        builders.make_member(world.farm, role, person)
        assert seat_for(person, "here").role == taken


def test_a_person_has_one_seat_at_each_operation(world):
    builders.make_member(world.theirs, "hauler", world.people["office"])
    found = [(s.operation.slug, s.role) for s in seats_of(world.people["office"])]
    assert found == [("elsewhere", "hauler"), ("here", "office")]


@pytest.mark.parametrize(
    ("from_on", "to_on", "is_open"),
    [
        (TODAY, None, True),
        (TODAY + DAY, None, False),
        (TODAY - DAY, TODAY, True),
        (TODAY - DAY, TODAY - DAY, False),
    ],
)
def test_a_membership_counts_from_its_first_day_to_its_last(world, from_on, to_on, is_open):
    person = builders.make_person()
    builders.save(
        Membership(operation=world.farm, person=person, role="office", from_on=from_on, to_on=to_on)
    )
    assert bool(seats_of(person)) is is_open


def test_the_day_of_a_membership_is_that_of_the_farms_clock(world):
    person = builders.make_person()
    builders.save(
        Membership(
            operation=world.farm, person=person, role="office",
            from_on=dt.date(2020, 1, 1), to_on=TODAY,
        )
    )  # fmt: skip
    # 22 April ends at 04:00 UTC of the 23rd in New York (UTC-4 in April).
    with clock.standing_at(dt.datetime(2026, 4, 23, 3, 59, tzinfo=dt.UTC)):
        assert seats_of(person)
    with clock.standing_at(dt.datetime(2026, 4, 23, 4, 0, tzinfo=dt.UTC)):
        assert not seats_of(person)


def test_a_right_nobody_was_given_is_refused_to_everybody(world):
    assert all(not seat(world, name).may("rewrite the log") for name in ("owner", "office", "crew"))

    @seated("rewrite the log")
    def view(request: Any, seat: Any) -> Any:
        raise AssertionError("reached")

    request = type("R", (), {"user": world.people["owner"]})()
    with pytest.raises(Http404):
        view(request, "here")


def test_planner_and_inspector_write_no_record_of_what_was_done():
    # The table of roles: create, amend and void are closed to both; nothing is written.
    for action in ("enter_load", "enter_level", "enter_measurement", "amend_load", "amend", "void",
                   "import", "decide_waiting", "file", "grant"):  # fmt: skip
        assert not RIGHTS[action] & {"planner", "inspector"}, action


FIRST = dt.date(2024, 1, 1)
SPREAD = [FIRST + dt.timedelta(days=73 * n) for n in range(16)]  # loads over three years
days = st.integers(0, 1200)
grants = st.lists(
    st.tuples(days, days, st.sampled_from([None, -1, 0, 1]), st.booleans()), max_size=4
)


@pytest.fixture
def hauled() -> Any:
    farm = builders.make_operation("hauled")
    field, pit = builders.make_field(farm), builders.make_storage(farm)
    for day in SPREAD:
        builders.make_load(field, pit, day)
    return farm


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(grants=grants)
def test_what_a_grant_shows_is_what_its_days_say(hauled, grants):
    member = builders.make_member(hauled, "inspector")
    expected: set[dt.date] = set()
    is_open = False
    for a, b, ends, is_void in grants:
        first, last = (FIRST + dt.timedelta(days=n) for n in sorted((a, b)))
        grant = builders.save(
            Grant(
                membership=member,
                operation=hauled,
                period_from_on=first,
                period_to_on=last,
                ends_on=None if ends is None else TODAY + dt.timedelta(days=ends),
            )
        )
        if is_void:
            void(grant)
        elif ends != -1:
            is_open = True
            expected |= {day for day in SPREAD if first <= day <= last}
    seats = seats_of(member.person)
    assert bool(seats) is is_open
    if is_open:
        assert {load.local_day for load in records(seats[0], Load)} == expected
        assert all(seats[0].sees_day(day) is (day in expected) for day in SPREAD)
