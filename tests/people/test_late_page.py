"""The page on which the owner decides what came late for a filed period."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from farmrecords.history import clock
from farmrecords.loads.models import Fertilizer
from farmrecords.people.models import LateRecord
from tests.people.world import NOW, World

pytestmark = pytest.mark.django_db
URL = reverse("late_records", args=["here"])


@pytest.fixture(autouse=True)
def _day():
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def world() -> World:
    return World()


def decide(world: World, viewer: str = "owner", **values: Any) -> Any:
    data = {
        "decision": "accept", "chosen": f"{world.late.pk}:1", "reason_text": "It was spread",
    } | values  # fmt: skip
    return world.client(viewer).post(URL, data)


def row(world: World) -> Fertilizer:
    return Fertilizer.objects.get(operation=world.farm)


def test_the_page_says_what_waits_and_offers_the_owner_alone_the_decision(world):
    owner, office = (world.client(name).get(URL).content.decode() for name in ("owner", "office"))
    for text in (owner, office):
        assert "1 record waits" in text
        assert "2022-05-01" in text
        assert "product: urea" in text
        assert "2022-01-01 – 2022-12-31" in text
    assert "Count the marked ones" in owner
    assert "Count the marked ones" not in office
    assert "The owner decides on them." in office


def test_what_came_late_outside_a_grant_is_not_shown(world):
    assert "Nothing waits." in world.client("inspector").get(URL).content.decode()


def test_an_accepted_record_counts_and_a_refused_one_does_not(world):
    assert row(world).voided
    assert decide(world).status_code == 302
    assert not row(world).voided
    assert "Nothing waits." in world.client("owner").get(URL).content.decode()


def test_a_refused_record_stays_out(world):
    assert decide(world, decision="refuse").status_code == 302
    assert row(world).voided
    assert LateRecord.objects.get(pk=world.late.pk).state == "refused"


@pytest.mark.parametrize(
    ("values", "status", "words"),
    [
        ({"reason_text": " "}, 422, "Say why"),
        ({"chosen": []}, 422, "Mark the lines"),
        ({"chosen": "nothing:1"}, 422, "out of date"),
        ({"decision": "perhaps"}, 400, ""),
    ],
)
def test_a_decision_that_says_too_little_writes_nothing(world, values, status, words):
    before = world.heads()
    answer = decide(world, **values)
    assert answer.status_code == status
    assert words in answer.content.decode()
    assert world.heads() == before


def test_an_old_page_and_a_record_of_another_farm_decide_nothing(world):
    before = world.heads()
    assert decide(world, chosen=f"{world.late.pk}:9").status_code == 409
    assert decide(world, chosen=f"{world.their_late.pk}:1").status_code == 422
    assert world.heads() == before
