"""A corrected list of loads proposes amendments row by row; what was changed by hand stays."""

from __future__ import annotations

import datetime as dt

import pytest

from farmrecords.history import clock, write
from farmrecords.intake import service
from farmrecords.loads import occasions
from farmrecords.loads.models import Load
from tests.intake.test_loads import HEAD, ROWS, Farm

pytestmark = pytest.mark.django_db
CORRECTED = HEAD + ROWS.replace("6500", "6400").replace("5850.5", "5900")


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)):
        yield


@pytest.fixture
def farm():
    return Farm()


def gallons() -> list[int]:
    rows = Load.objects.filter(voided=False).order_by("started_at", "amount_milli")
    return [load.amount_milli // 1000 for load in rows]


def asked(incoming):
    return service.questions_of(incoming)


def test_each_row_is_asked_about_and_amended_alone(farm):
    farm.bring(HEAD + ROWS)
    other = farm.take_in(CORRECTED)
    first, second = asked(other)
    assert "6,500 gal" in first.asked
    assert "6400" in first.asked
    service.answer(farm.seat, other, {first.key: "amend", second.key: "leave"}, other.rev)
    farm.confirm(other)
    assert gallons() == [6400, 5850]
    assert Load.objects.count() == 2
    assert {load.rev for load in Load.objects.all()} == {1, 2}


def test_an_undone_correction_sets_the_loads_back(farm):
    farm.bring(HEAD + ROWS)
    other = farm.take_in(CORRECTED)
    service.answer(farm.seat, other, {q.key: "amend" for q in asked(other)}, other.rev)
    farm.confirm(other)
    assert gallons() == [6400, 5900]
    service.undo(farm.seat, other, other.rev, "The first list was right.")
    assert gallons() == [6500, 5850]


def test_a_load_changed_by_hand_is_not_offered_to_be_amended(farm):
    farm.bring(HEAD + ROWS)
    load = Load.objects.order_by("started_at").first()
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(load, base_rev=1, values={"note": "seen by the owner"},
                     reason_code="amend", reason_text="A note.")  # fmt: skip
    other = farm.take_in(CORRECTED)
    by_hand, as_imported = asked(other)
    assert [choice.value for choice in by_hand.choices] == ["leave", "add"]
    assert [choice.value for choice in as_imported.choices] == ["leave", "amend", "add"]
    service.answer(farm.seat, other, {q.key: "amend" for q in asked(other)}, other.rev)
    farm.confirm(other)
    assert gallons() == [6500, 5900]


def test_the_corrected_list_again_changes_nothing(farm):
    farm.bring(HEAD + ROWS)
    other = farm.take_in(CORRECTED)
    service.answer(farm.seat, other, {q.key: "amend" for q in asked(other)}, other.rev)
    farm.confirm(other)
    again = farm.take_in(CORRECTED)
    assert asked(again) == []
    assert again.report["new"] == 0
    assert gallons() == [6400, 5900]
    assert Load.objects.count() == 2


def test_many_rows_are_asked_about_together(farm, monkeypatch):
    monkeypatch.setattr(occasions, "ONE_BY_ONE", 1)
    farm.bring(HEAD + ROWS)
    other = farm.take_in(CORRECTED)
    assert [question.key for question in asked(other)] == ["occasion"]
    service.answer(farm.seat, other, {"occasion": "amend"}, other.rev)
    farm.confirm(other)
    assert gallons() == [6400, 5900]
