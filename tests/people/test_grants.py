"""What a grant opens: its periods, what they rest on, and nothing of other years."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from farmrecords.history import clock
from farmrecords.loads.models import Load
from farmrecords.measurements.models import Calibration
from farmrecords.people.access import records, seats_of
from farmrecords.plan.models import PhosphorusRisk, PlannedCrop
from farmrecords.report.periods import periods_of
from tests import builders
from tests.people.world import GRANT, NOW, World

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
SPRING = dt.date(2026, 1, 1), dt.date(2026, 3, 31)
SUMMER = dt.date(2026, 4, 1), dt.date(2026, 8, 31)
AUTUMN = dt.date(2026, 10, 1), dt.date(2026, 12, 31)


@pytest.fixture(autouse=True)
def _day():
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def world() -> World:
    return World()


def seat(world: World, name: str = "inspector") -> Any:
    (found,) = [s for s in seats_of(world.people[name]) if s.operation == world.farm]
    return found


def seen(world: World, model: Any, name: str = "inspector") -> set[Any]:
    return set(records(seat(world, name), model))


def crop(world: World, plan: Any, year: int) -> PlannedCrop:
    return builders.make_planned_crop(plan, world.field, year)


def test_a_grant_shows_the_crops_of_its_years_in_the_plans_in_force_in_it(world):
    old = builders.make_plan(world.farm, dt.date(2021, 1, 1))
    with builders.write.change(by=builders.actor(), channel="web") as change:
        first = {"to_on": GRANT[0] - DAY}
        change.amend(world.crop.plan, base_rev=1, values=first, reason_code="replaced")
        change.amend(old, base_rev=1, values={"to_on": GRANT[0] - DAY}, reason_code="replaced")
    now = builders.make_plan(world.farm, GRANT[0])
    inside = crop(world, now, 2026)
    outside = [crop(world, old, 2025), crop(world, now, 2025), crop(world, now, 2027)]
    assert seen(world, PlannedCrop) == {inside}
    assert seen(world, PlannedCrop, "office") == {inside, world.crop, *outside}
    world.load("office", dt.date(2026, 4, 20), crop_year=2027)
    assert seen(world, PlannedCrop) == {inside, outside[2]}


def test_a_grant_shows_the_phosphorus_risk_of_its_years(world):
    def risk(year: int) -> PhosphorusRisk:
        return builders.save(
            PhosphorusRisk(
                operation=world.farm, field=world.field, crop_year=year, procedure="VT",
                evaluated_on=dt.date(2024, 11, 1),
            )
        )  # fmt: skip

    risks = {year: risk(year) for year in (2025, 2026, 2027)}
    assert seen(world, PhosphorusRisk) == {risks[2026]}
    assert seen(world, PhosphorusRisk, "owner") == set(risks.values())


def test_a_grant_shows_the_calibrations_its_loads_rest_on(world):
    used, idle = (builders.make_spreader(world.farm) for _ in range(2))
    world.load("office", dt.date(2026, 4, 20), spreader=used)

    def calibrated(spreader: Any, day: dt.date, **values: Any) -> Calibration:
        stated = {"load_text": "6000", "load_unit": "gal", "width_ft": Decimal(30)} | values
        return builders.save(
            Calibration(
                operation=world.farm, spreader=spreader, calibrated_on=day, method="weighed",
                **stated,
            )
        )  # fmt: skip

    calibrated(used, dt.date(2022, 5, 1))
    width = calibrated(used, dt.date(2024, 5, 1))
    load = calibrated(used, GRANT[0] - DAY, width_ft=None)
    within = calibrated(used, GRANT[0])
    calibrated(idle, dt.date(2025, 5, 1))
    assert seen(world, Calibration) == {width, load, within}


def inspector_with(world: World, *periods: tuple[dt.date, dt.date]) -> Any:
    member = builders.make_member(world.farm, "inspector")
    for period in periods:
        builders.make_grant(member, *period)
    return next(s for s in seats_of(member.person))


def test_grants_that_touch_are_one_period(world):
    assert inspector_with(world, SPRING, SUMMER).periods == ((SPRING[0], SUMMER[1]),)
    apart = (SUMMER[0] + DAY, SUMMER[1])
    assert inspector_with(world, apart, SPRING).periods == (SPRING, apart)
    assert inspector_with(world, GRANT, SUMMER).periods == (GRANT,)


def test_two_separate_grants_give_two_periods_of_a_year(world):
    found = inspector_with(world, AUTUMN, SPRING)
    assert found.narrowed_periods(*GRANT) == [SPRING, AUTUMN]
    # on 22 April the autumn has not begun
    assert found.narrowed_period(*GRANT) == SPRING
    assert found.narrowed_period(dt.date(2026, 7, 1), GRANT[1]) == AUTUMN
    assert found.narrowed_period(*SUMMER) is None
    with clock.standing_at(dt.datetime(2026, 11, 2, 12, tzinfo=dt.UTC)):
        (later,) = seats_of(found.person)
    assert later.narrowed_period(*GRANT) == AUTUMN
    shown = [(c.first, c.last) for c in periods_of(found) if c.first.year == 2026]
    assert shown == [AUTUMN, SPRING]


@pytest.mark.parametrize("roles", [("inspector", "inspector"), ("planner", "inspector")])
def test_two_memberships_of_one_person_open_the_periods_of_both(world, roles):
    person = builders.make_person()
    for n, (role, period) in enumerate(zip(roles, (SPRING, SUMMER), strict=True)):
        member = builders.save(
            builders.Membership(
                operation=world.farm, person=person, role=role,
                from_on=builders.FIRST_DAY + n * DAY,
            )
        )  # fmt: skip
        builders.make_grant(member, *period)
    (found,) = seats_of(person)
    assert (found.role, found.periods) == (roles[0], ((SPRING[0], SUMMER[1]),))
    assert {world.crew_today, world.crew_20_days} <= set(records(found, Load))
    assert world.outside not in records(found, Load)
