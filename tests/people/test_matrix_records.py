"""Who may write which kind of record on the common pages, and what planners reach by it."""

from __future__ import annotations

import pytest
from django.urls import reverse

from farmrecords.book.record_kinds import KINDS
from farmrecords.history import clock
from farmrecords.plan.models import PlannedCrop
from tests.people.matrix_records import WHO
from tests.people.world import NOW, VIEWERS, World

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day():
    with clock.standing_at(NOW):
        yield


def test_every_kind_has_its_rows():
    assert set(WHO) == set(KINDS)


def test_an_empty_form_is_answered_to_those_alone_who_may_write():
    world = World()
    before = world.heads()
    wrong = []
    for viewer in VIEWERS:
        client = world.client(viewer)
        for kind, (_see, write) in WHO.items():
            allowed = 200 if viewer in write else 302 if viewer == "anonymous" else 404
            given = client.post(reverse("enter_record", args=["here", kind]), {}).status_code
            if given != allowed:
                wrong.append(f"{viewer}, {kind}: {given}, not {allowed}")
    assert not wrong
    assert world.heads() == before


@pytest.mark.parametrize("viewer", ["crew", "hauler", "planner", "inspector", "office_elsewhere"])
@pytest.mark.parametrize("page", ["amend_record", "void_record"])
def test_a_record_is_changed_by_the_farms_own_office_alone(viewer, page):
    world = World()
    before = world.heads()
    sent = {"revision": "1", "reason_text": "so", "name": "other"}
    url = reverse(page, args=["here", "storages", world.pit.pk])
    assert world.client(viewer).post(url, sent).status_code == 404
    assert world.heads() == before


def test_a_planner_enters_a_crop_of_the_plan_and_changes_no_record_of_the_farm():
    world = World()
    sent = {
        "plan": str(world.crop.plan.pk), "field": str(world.field.pk), "crop_year": "2026",
        "crop": "hay", "n_counts": "total",
    }  # fmt: skip
    client = world.client("planner")
    answer = client.post(reverse("enter_record", args=["here", "crops"]), sent)
    assert answer.status_code == 302
    made = PlannedCrop.objects.get(crop="hay")
    assert answer["Location"].endswith(f"/crops/{made.pk}/")
    page = client.get(reverse("record_page", args=["here", "fields", world.field.pk]))
    assert b"/amend/" not in page.content
    theirs = reverse("amend_record", args=["here", "crops", world.crop.pk])
    assert client.get(theirs).status_code == 404
    assert client.post(theirs, sent | {"revision": "1", "reason_text": "so"}).status_code == 404
    own = reverse("amend_record", args=["here", "crops", made.pk])
    corrected = sent | {"crop": "clover", "revision": "1", "reason_text": "misread"}
    assert client.post(own, corrected).status_code == 302
    made.refresh_from_db()
    assert made.crop == "clover"
