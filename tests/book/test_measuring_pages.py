"""Levels and laboratory sheets through the pages: of today, with reason, with units."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.measurements.models import ManureTest, StorageLevel
from tests import builders
from tests.book.desk import NOW, TODAY, words_of

pytestmark = pytest.mark.django_db


def level(desk, **data):
    return desk.post("enter_level", desk.pit.pk, **data)


def test_a_level_is_of_today_by_the_clock_of_the_server(desk):
    assert level(desk, reading_ft="4.25", note="by the staff gauge").status_code == 302
    row = StorageLevel.objects.get()
    assert (row.read_on, row.read_at, row.reading_ft) == (TODAY, NOW, Decimal("4.25"))
    assert (row.read_by, row.missed) == (desk.person, False)
    assert "4.25" in desk.get("storage", desk.pit.pk)
    assert "4.25" in desk.get("storages")


def test_no_other_day_can_be_named(desk):
    level(desk, reading_ft="4", read_on="2026-04-01", read_at="2026-04-01T10:00", read_by="x")
    assert StorageLevel.objects.get().read_on == TODAY


def test_a_missed_reading_is_recorded_with_its_reason(desk):
    assert level(desk, missed="on", note="gauge under ice").status_code == 302
    row = StorageLevel.objects.get()
    assert (row.missed, row.reading_ft, row.note) == (True, None, "gauge under ice")
    assert "the level of 2026-04-22 was missed" in desk.get("start")


@pytest.mark.parametrize(
    ("data", "at", "words"),
    [
        ({"missed": "on"}, "note", "Say why the reading was missed"),
        ({"missed": "on", "note": "  "}, "note", "Say why the reading was missed"),
        ({}, "reading_ft", "Enter the reading"),
        ({"missed": "on", "note": "ice", "reading_ft": "3"}, "missed", "has no number"),
        ({"reading_ft": "10.01"}, "reading_ft", "more than the storage is deep"),
        ({"reading_ft": "-1"}, "reading_ft", "is less than 0. Enter 0 or more"),
        ({"reading_ft": "NaN"}, "reading_ft", "is no number. Enter digits alone"),
        ({"reading_ft": "four"}, "reading_ft", "is no number. Enter digits alone"),
    ],
)
def test_a_level_that_is_none_is_said_at_its_entry_and_saves_nothing(desk, data, at, words):
    before = desk.head()
    answer = level(desk, **data)
    assert answer.status_code == 200
    assert words in str(answer.context["form"].errors[at])
    assert words in words_of(answer)
    assert desk.head() == before


def test_a_level_at_the_very_top_is_kept(desk):
    assert level(desk, reading_ft="10").status_code == 302  # the builders' pit is 10 ft deep


def sheet(desk, **values):
    return {
        "storage": str(desk.pit.pk), "form": "liquid", "sampled_on": "2026-04-01",
        "basis": "as_is", "value_total_n": "25.4", "unit_total_n": "lb/1000 gal",
    } | values  # fmt: skip


def test_a_sheet_is_kept_as_it_was_reported(desk):
    known = set(ManureTest.objects.values_list("pk", flat=True))
    form = sheet(desk, value_p="0.05", unit_p="%", value_solids_pct="6.2", laboratory="Hill Lab")
    answer = desk.post("enter_manure_test", **form)
    assert answer.status_code == 302, answer.context["form"].errors
    test = ManureTest.objects.exclude(pk__in=known).get()
    assert test.results == [
        {"analyte": "total_n", "value": "25.4", "unit": "lb/1000 gal", "basis": "as_is"},
        {"analyte": "p", "value": "0.05", "unit": "%", "basis": "as_is"},
        {"analyte": "solids_pct", "value": "6.2", "unit": "%", "basis": "as_is"},
    ]
    assert test.sampled_on == dt.date(2026, 4, 1)
    page = desk.get("manure_test", test.pk)
    assert "25.4" in page
    assert "Hill Lab" in page
    assert "25.4 lb/1000 gal" in desk.get("tests")


@pytest.mark.parametrize(
    ("values", "at", "words"),
    [
        ({"unit_total_n": ""}, "unit_total_n", "25.4 has no unit"),
        ({"value_p2o5": "12"}, "unit_p2o5", "12 has no unit"),
        ({"unit_total_n": "stones"}, "unit_total_n", "stones"),
        ({"sampled_on": ""}, "sampled_on", "is empty. Enter the day as"),
        ({"sampled_on": "2026-02-30"}, "sampled_on", "“2026-02-30” is no day"),
        ({"storage": ""}, "storage", "is not chosen. Choose one"),
    ],
)
def test_a_sheet_that_is_not_whole_is_said_at_its_entry_and_saves_nothing(desk, values, at, words):
    before = desk.head()
    answer = desk.post("enter_manure_test", **sheet(desk, **values))
    assert answer.status_code == 200
    assert words in str(answer.context["form"].errors[at])
    assert desk.head() == before


@pytest.mark.parametrize("value", ["-3", "NaN", "1e400", "twelve", "Infinity"])
def test_a_figure_that_is_no_amount_is_refused(desk, value):
    before = desk.head()
    answer = desk.post("enter_manure_test", **sheet(desk, value_total_n=value))
    assert answer.status_code == 200
    assert value in words_of(answer)
    assert answer.context["form"].errors
    assert desk.head() == before


def test_a_figure_like_a_mistake_of_units_asks_and_may_stand(desk):
    """4.37 where the test before had 10 lb P2O5 per 1,000 gal: a factor of 2.29."""
    given = {"value_p2o5": "10", "unit_p2o5": "lb/1000 gal"}
    assert desk.post("enter_manure_test", **sheet(desk, **given)).status_code == 302
    before = desk.head()
    given |= {"value_p2o5": "4.37", "sampled_on": "2026-04-10"}
    answer = desk.post("enter_manure_test", **sheet(desk, **given))
    assert answer.status_code == 200
    words = words_of(answer)
    assert "P2O5 comes to 4.37 and was 10 in the test of 2026-04-01, a factor near 2.29" in words
    assert 'type="checkbox" name="stands_so"' in answer.content.decode()
    assert desk.head() == before
    kept = desk.post("enter_manure_test", **sheet(desk, **given, stands_so="on"))
    assert kept.status_code == 302


def test_a_figure_like_the_earlier_one_asks_nothing(desk):
    given = {"value_p2o5": "10", "unit_p2o5": "lb/1000 gal"}
    assert desk.post("enter_manure_test", **sheet(desk, **given)).status_code == 302
    given |= {"value_p2o5": "12", "sampled_on": "2026-04-10"}
    assert desk.post("enter_manure_test", **sheet(desk, **given)).status_code == 302


def test_a_sheet_sampled_in_the_future_is_refused(desk):
    before = desk.head()
    answer = desk.post("enter_manure_test", **sheet(desk, sampled_on="2026-04-23"))
    assert answer.status_code == 200
    assert desk.head() == before


def test_a_storage_of_another_farm_cannot_be_named(desk):
    theirs = builders.make_storage(builders.make_operation("there"))
    before = desk.head()
    answer = desk.post("enter_manure_test", **sheet(desk, storage=str(theirs.pk)))
    assert "storage" in answer.context["form"].errors
    assert desk.head() == before
