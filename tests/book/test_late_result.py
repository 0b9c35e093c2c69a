"""A result that came after the loads: proposed for each, amended where a person says so."""

from __future__ import annotations

import datetime as dt

import pytest

from tests import builders
from tests.book.desk import Desk

pytestmark = pytest.mark.django_db


@pytest.fixture
def late(desk: Desk):
    """A load on the default test, then a test sampled on the load's own day."""
    load = desk.enter()
    return load, builders.make_manure_test(desk.pit, dt.date(2026, 4, 22))


def test_marked_loads_are_amended_with_the_reason(desk, late):
    load, test = late
    assert "Amend the marked loads" in desk.get("late_result", test.pk)
    answer = desk.post(
        "late_result", test.pk, chosen=f"{load.pk}:{load.rev}", reason_text="Result came late"
    )
    assert answer.status_code == 302
    load.refresh_from_db()
    assert (load.content_test, load.rev) == (test, 2)
    assert "No load would change." in desk.get("late_result", test.pk)


@pytest.mark.parametrize("values", [{"reason_text": "x"}, {"chosen": "x:1", "reason_text": "x"},
                                    {"reason_text": " "}])  # fmt: skip
def test_nothing_marked_an_old_page_or_no_reason_writes_nothing(desk, late, values):
    load, test = late
    before = desk.head()
    chosen = values if values["reason_text"] == "x" else {"chosen": f"{load.pk}:1", **values}
    assert desk.post("late_result", test.pk, **chosen).status_code == 422
    assert desk.head() == before
