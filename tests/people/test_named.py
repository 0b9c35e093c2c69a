"""A record may name only people who have, or once had, a part in its operation."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from farmrecords.history import clock, write
from farmrecords.loads.models import Load, Stop
from farmrecords.people.models import Membership, Operation, Person
from tests import builders
from tests.people.world import NOW, TODAY, void

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> Any:
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def here() -> Operation:
    return builders.make_operation("here")


@pytest.fixture
def stranger() -> Person:
    """Somebody who works on another farm."""
    return builders.make_member(builders.make_operation("there"), "crew").person


def driven_by(here: Operation, person: Person | None) -> Load:
    field, pit = builders.make_field(here), builders.make_storage(here)
    return builders.make_load(field, pit, TODAY, person=person)


def test_a_driver_of_another_farm_is_refused_like_one_who_does_not_exist(here, stranger):
    with pytest.raises(ValidationError) as refused:
        driven_by(here, stranger)
    assert set(refused.value.message_dict) == {"person"}
    assert stranger.display_name not in str(refused.value)
    assert not Load.objects.exists()


def test_a_load_is_not_amended_to_a_driver_of_another_farm(here, stranger):
    load = driven_by(here, None)
    with pytest.raises(ValidationError):
        builders.amend(load, person=stranger)
    assert Load.objects.get().person is None


def test_among_many_rows_the_one_that_names_a_stranger_is_told(here, stranger):
    own = builders.make_member(here, "crew").person
    stops = [
        Stop(operation=here, stopped_at=NOW, stopped_on=TODAY, reason="rain", person=person)
        for person in (own, stranger)
    ]
    with (
        pytest.raises(ValidationError) as refused,
        write.change(by=builders.actor(), channel="import") as change,
    ):
        change.create_many([(stop, {}) for stop in stops])
    assert refused.value.row_index == 1
    assert not Stop.objects.exists()


@pytest.mark.parametrize("is_void", [False, True])
def test_who_once_had_a_part_may_be_named(here, is_void):
    member = builders.make_member(here, "crew")
    if is_void:
        void(member)
    else:
        builders.amend(member, to_on=TODAY - dt.timedelta(days=30))
    assert driven_by(here, member.person).person == member.person


def test_who_joins_in_the_same_change_may_be_named(here):
    person = builders.make_person("new")
    stop = Stop(operation=here, stopped_at=NOW, stopped_on=TODAY, reason="rain", person=person)
    with write.change(by=builders.actor(), channel="web") as change:
        change.create(Membership(operation=here, person=person, role="crew", from_on=TODAY))
        change.create(stop)
    assert Stop.objects.get().person == person
