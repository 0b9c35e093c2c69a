"""A load goes through the page into the record, and every page then shows the same figures."""

from __future__ import annotations

import datetime as dt

import pytest

from farmrecords.findings.judging import of_load
from farmrecords.history.read import history_of
from farmrecords.loads.models import Load
from farmrecords.people.models import ClosedPeriod
from tests import builders
from tests.book.desk import TODAY, words_of

pytestmark = pytest.mark.django_db

# 6,500 gal of 25 lb N, 12 lb P2O5 and 20 lb K2O per 1,000 gal (tests/builders.py):
# 162.5 lb, 78.0 lb and 130.0 lb. The field has 40.290596 ac (pyproj and geographiclib):
# 162.5 / 40.290596 = 4.03 lb N/ac, 78 / 40.290596 = 1.94 lb P2O5/ac.


def test_what_was_entered_stands_in_the_record_as_typed(desk):
    load = desk.enter()
    assert (load.amount_text, load.amount_unit, load.amount_milli) == ("6,500", "gal", 6_500_000)
    assert load.started_at == dt.datetime(2026, 4, 22, 13, 30, tzinfo=dt.UTC)
    assert (load.local_day, load.status, load.method) == (TODAY, "counted", "surface")
    assert [part.field for part in load.parts.all()] == [desk.field]
    assert [draw.storage for draw in load.draws.all()] == [desk.pit]
    assert [entry.channel for entry in history_of(load)] == ["web"]


def test_every_page_shows_the_same_figures(desk):
    load = desk.enter(field_ac_1="2.5")
    year = desk.get("field_year", desk.field.pk, 2026)
    page = desk.get("load", load.pk)
    for text in (page, year, desk.get("loads"), desk.get("start"), desk.get("fields")):
        assert "6,500 gal" in text
    assert "162.5" in page
    assert "78.0" in page
    assert "130.0" in page
    assert "2,600 gal/ac" in page  # 6,500 gal over the 2.5 ac noted
    for text in (year, desk.get("fields")):
        assert ">4.0<" in text
        assert ">1.9<" in text
    assert "65.0" in year  # 162.5 lb N on the 2.5 ac most heavily covered
    report = desk.get("report_period", "2026-01-01", "2026-12-31")
    assert "6,500" in report


def test_a_void_load_is_struck_out_and_gone_from_every_total(desk):
    load = desk.enter()
    kept = desk.enter(started="2026-04-22T10:30", ended="", amount_text="1000")
    assert "7,500 gal" in desk.get("fields")
    answer = desk.post("void_load", load.pk, revision="1", reason_text="entered twice")
    assert answer.status_code == 302
    for text in (desk.get("fields"), desk.get("field_year", desk.field.pk, 2026)):
        assert "7,500 gal" not in text
        assert "1,000 gal" in text
    report = desk.get("report_period", "2026-01-01", "2026-12-31")
    assert "7,500" not in report
    assert '<tr class="void">' in desk.get("loads")
    page = desk.get("load", load.pk)
    assert "This load is void" in page
    assert "entered twice" in page
    assert "This load is void" not in desk.get("load", kept.pk)


def test_a_breach_is_recorded_and_judged_never_refused(desk):
    # Vermont forbids spreading from 15 December to 1 April (Required Agricultural Practices 6.06).
    load = desk.enter(started="2026-01-20T10:00", ended="", ground="frozen")
    assert load.status == "counted"
    outcomes = {one.rule_id: one.outcome for one in of_load(load)}
    assert outcomes["VT-W-1"] == "not_met"
    page = desk.get("load", load.pk)
    note = page[page.index('id="finding-VT-W-1"') :]
    assert '<span class="word">not met</span>' in note[: note.index("</section>")]
    april = desk.enter(started="2026-04-02T10:00", ended="")
    assert "VT-W-1" not in {one.rule_id for one in of_load(april) if one.outcome == "not_met"}


def refused(desk, *words, at="", **values):
    """The page again with plain words at the entry; nothing written."""
    before, count = desk.head(), Load.objects.count()
    answer = desk.post("enter_load", **desk.form(**values))
    assert answer.status_code == 200
    text = words_of(answer)
    for word in words:
        assert word in text, answer.context["form"].errors
    if at:
        assert at in answer.context["form"].errors
    assert (desk.head(), Load.objects.count()) == (before, count)
    return answer


@pytest.mark.parametrize(
    ("values", "at", "words"),
    [
        ({"amount_text": "-5"}, "amount_text", ["'-5'", "below zero"]),
        ({"amount_text": "NaN"}, "amount_text", ["'NaN'", "not a number"]),
        ({"amount_text": "99999999999"}, "amount_text", ["99999999999", "Check the number"]),
        ({"amount_text": ""}, "amount_text", ["No amount was given"]),
        ({"amount_unit": ""}, "amount_unit", ["“Unit” is not chosen", "Choose one"]),
        ({"amount_unit": "barrels"}, "amount_unit", ["“barrels” is not on the list", "Choose one"]),
        ({"ended": "2026-04-22T09:29"}, "ended", ["2026-04-22 09:29", "2026-04-22 09:30"]),
        ({"started": "yesterday"}, "started", ["yesterday", "2026-04-22 14:05"]),
        ({"started": "2027-04-22T09:30", "ended": ""}, "started", ["2027-04-22", "future"]),
        ({"started": "2026-03-08T02:30", "ended": ""}, "started", ["did not exist", "an hour"]),
        ({"started": "2025-11-02T01:30", "ended": ""}, "started", ["came twice", "second"]),
        ({"incorporated": "2026-04-22T08:00"}, "incorporated", ["before the load began"]),
        ({"field_1": ""}, "field_1", ["“Field” is not chosen", "Choose one"]),
        (
            {"field_1": "11111111-1111-4111-8111-111111111111"},
            "field_1",
            ["no longer, on the list", "Choose one that is"],
        ),
        ({"field_1": "x"}, "field_1", ["“x” is not on the list", "Choose one"]),
        ({"started": ""}, "started", ["“Start” is empty", "2026-04-22 14:05"]),
        ({"snow_in": "deep"}, "snow_in", ["“deep” is no number", "12.5"]),
        ({"residue_pct": "3.5"}, "residue_pct", ["“3.5” is no whole number", "12"]),
        ({"note": "x" * 251}, "note", ["251 characters were given and 250 fit"]),
        ({"field_ac_1": "-1"}, "field_ac_1", ["-1 is less than 0", "Enter 0 or more"]),
        ({"snow_in": "-1"}, "snow_in", ["-1 is less than 0", "Enter 0 or more"]),
        ({"residue_pct": "101"}, "residue_pct", ["101 is more than 100", "Enter 100 or less"]),
        ({"crop_year": "2031"}, "crop_year", ["2031", "harvested"]),
        ({"method": "thrown"}, "method", ["thrown"]),
    ],
)
def test_what_cannot_be_kept_is_said_at_its_entry_and_saves_nothing(desk, values, at, words):
    refused(desk, *words, at=at, **values)


def test_two_fields_without_their_shares_are_asked_for(desk):
    refused(desk, "nothing says how much on which", at="field_1", field_2=str(desk.other.pk))


def test_shares_that_do_not_add_up_are_refused(desk):
    refused(
        desk, at="field_1", field_amount_1="4000", field_2=str(desk.other.pk), field_amount_2="3000"
    )


def test_two_fields_share_a_load_exactly(desk):
    load = desk.enter(field_amount_1="4,000.5", field_2=str(desk.other.pk))
    assert [part.amount_milli for part in load.parts.all()] == [4_000_500, 2_499_500]


@pytest.mark.parametrize(("choice", "hour_utc"), [("first", 5), ("second", 6)])
def test_the_hour_that_came_twice_is_told_apart(desk, choice, hour_utc):
    # Clocks went back on 2 November 2025 (15 U.S.C. 260a).
    load = desk.enter(started="2025-11-02T01:30", ended="", started_choice=choice)
    assert load.started_at == dt.datetime(2025, 11, 2, hour_utc, 30, tzinfo=dt.UTC)


def test_an_end_in_the_hour_that_came_twice_can_be_told_too(desk):
    load = desk.enter(started="2025-11-02T00:50", ended="2025-11-02T01:10", ended_choice="second")
    assert load.ended_at - load.started_at == dt.timedelta(minutes=80)


def test_an_absurd_amount_is_kept_with_a_doubt(desk):
    # More than ten times the rated 6,000 gal.
    answer = desk.client.post(desk.url("enter_load"), desk.form(amount_text="60001"), follow=True)
    assert "10 times" in words_of(answer)
    assert Load.objects.get().amount_milli == 60_001_000


def test_a_load_of_a_filed_period_is_kept_as_waiting_and_counts_nowhere(desk):
    builders.save(
        ClosedPeriod(
            operation=desk.operation, from_on=dt.date(2025, 1, 1), to_on=dt.date(2025, 12, 31)
        )
    )
    load = desk.enter(started="2025-12-31T09:30", ended="")
    assert load.status == "waiting"
    assert "waits for a decision" in desk.get("load", load.pk)
    assert "6,500" not in desk.get("field_year", desk.field.pk, 2025)
    assert "1 load waits for a decision" in desk.get("start")


def test_the_office_says_whose_load_it_was(desk):
    driver = builders.make_person("driver")
    builders.make_member(desk.operation, "crew", driver)
    assert desk.enter(person=str(driver.pk)).person == driver
    named = desk.enter(started="2026-04-22T10:30", ended="", driver_name="Ben from next door")
    assert (named.person, named.driver_name) == (None, "Ben from next door")


def test_a_stranger_to_the_farm_cannot_be_named_as_driver(desk):
    refused(desk, at="person", person=str(builders.make_person("stranger").pk))


def test_a_load_from_paper_says_so(desk):
    load = desk.enter(from_paper="on")
    assert [entry.channel for entry in history_of(load)] == ["paper"]
    assert "from paper" in desk.get("load", load.pk)
