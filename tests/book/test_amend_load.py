"""Amending, voiding and deciding: with a reason, at a revision, both versions staying visible."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.history import clock, write
from farmrecords.loads.models import Load, LoadDraw, LoadPart
from farmrecords.people.models import ClosedPeriod
from tests import builders
from tests.book.desk import NOW, TODAY, Desk, words_of

pytestmark = pytest.mark.django_db
WHY = {"reason_text": "read the wrong line"}


def later(minutes):
    return clock.standing_at(NOW + dt.timedelta(minutes=minutes))


def amend(desk, load, **changed):
    """Send the amendment form back with some entries changed."""
    form = desk.form_as_shown("amend_load", load.pk) | WHY | changed
    return desk.post("amend_load", load.pk, **form)


def test_an_amendment_changes_the_record_and_keeps_both_versions_in_sight(desk):
    load = desk.enter()
    assert amend(desk, load, amount_text="6,400").status_code == 302
    load.refresh_from_db()
    assert (load.rev, load.amount_milli) == (2, 6_400_000)
    page = desk.get("load", load.pk)
    assert "<del>6,500</del>" in page
    assert "<ins>6,400</ins>" in page
    assert "read the wrong line" in page
    assert "6,400 gal" in desk.get("fields")


def test_an_amendment_without_a_reason_is_refused(desk):
    load = desk.enter()
    before = desk.head()
    answer = amend(desk, load, amount_text="6,400", reason_text=" ")
    assert answer.status_code == 200
    assert answer.context["reason"].errors == {"reason_text": ["“Reason” is empty. Fill it in."]}
    assert desk.head() == before


def test_an_amendment_of_nothing_is_refused(desk):
    load = desk.enter()
    before = desk.head()
    answer = amend(desk, load)
    assert answer.status_code == 200
    assert answer.context["form"].non_field_errors()
    assert desk.head() == before


def test_a_second_writer_sees_both_versions_and_writes_nothing(desk):
    load = desk.enter()
    mine = desk.form_as_shown("amend_load", load.pk) | WHY | {"amount_text": "6,100"}
    amend(desk, load, amount_text="6,400", method="injected")
    before = desk.head()
    answer = desk.post("amend_load", load.pk, **mine)
    text = words_of(answer)
    assert "Somebody amended this after you opened it" in text
    assert "<td>Amount</td><td>6,400</td><td>6,100</td>" in text
    assert "<td>Method</td><td>injected</td><td>on the surface</td>" in text
    assert desk.head() == before
    assert answer.context["rev"] == 2
    again = desk.post("amend_load", load.pk, **(mine | {"revision": "2"}))
    assert again.status_code == 302
    load.refresh_from_db()
    assert (load.rev, load.amount_text) == (3, "6,100")


@pytest.mark.parametrize("revision", [None, "", "x", "-1", "999999999999"])
def test_a_form_that_does_not_say_its_revision_writes_nothing(desk, revision):
    load = desk.enter()
    before = desk.head()
    form = desk.form_as_shown("amend_load", load.pk) | WHY | {"amount_text": "6,400"}
    form.pop("revision")
    desk.post("amend_load", load.pk, **form | ({} if revision is None else {"revision": revision}))
    desk.post("void_load", load.pk, **WHY | ({} if revision is None else {"revision": revision}))
    assert desk.head() == before


def test_what_the_form_does_not_ask_stays_as_it_was(desk):
    load = Load(
        operation=desk.operation, local_day=TODAY, method="surface", measured_by="truck_scale",
        amount_text="8.13", amount_unit="ton", amount_milli=16_260_000, amount_kind="lb",
        crop_year=2026, started_at=NOW, started_offset_min=-240, ticket_number="T-77",
        carried_in_milli=2_000_000, carried_out_milli=1_000_000, person=desk.person,
    )  # fmt: skip
    heap = builders.make_storage(desk.operation, form="solid")
    parts = [
        LoadPart(field=field, number=n, amount_milli=milli, area_ac=ac, track_sha256=track)
        for n, (field, milli, ac, track) in enumerate(
            [
                (desk.field, 10_000_000, Decimal("1.25"), ""),
                (desk.other, 6_260_000, None, "a" * 64),
            ],
            1,
        )
    ]
    draw = LoadDraw(storage=heap, number=1, amount_milli=15_260_000)
    builders.save(load, {"parts": parts, "draws": [draw]})
    assert amend(desk, load, note="rain at noon").status_code == 302
    load.refresh_from_db()
    assert (load.note, load.rev) == ("rain at noon", 2)
    assert (load.ticket_number, load.person) == ("T-77", desk.person)
    assert (load.carried_in_milli, load.carried_out_milli) == (2_000_000, 1_000_000)
    assert [(p.field, p.amount_milli, p.area_ac, p.track_sha256) for p in load.parts.all()] == [
        (desk.field, 10_000_000, Decimal("1.250"), ""),
        (desk.other, 6_260_000, None, "a" * 64),
    ]
    assert [(d.storage, d.amount_milli) for d in load.draws.all()] == [(heap, 15_260_000)]


def test_a_load_on_more_fields_than_the_form_begins_with_keeps_them_all(desk):
    fields = [builders.make_field(desk.operation) for _n in range(5)]
    load = Load(
        operation=desk.operation, local_day=TODAY, method="surface", measured_by="meter",
        amount_text="18.9", amount_unit="m3", amount_milli=4_992_852, amount_kind="gal",
        crop_year=2026, started_at=NOW, started_offset_min=-240,
    )  # fmt: skip
    # 18.9 m3 = 4,992.852 gal (1 gal = 3.785411784 L)
    milli = [1_000_000, 1_000_000, 1_000_000, 1_000_000, 992_852]
    parts = [
        LoadPart(field=field, number=n, amount_milli=share)
        for n, (field, share) in enumerate(zip(fields, milli, strict=True), 1)
    ]
    draw = LoadDraw(storage=desk.pit, number=1, amount_milli=4_992_852)
    builders.save(load, {"parts": parts, "draws": [draw]})
    answer = amend(desk, load, note="five fields")
    assert answer.status_code == 302, answer.context["form"].errors
    load.refresh_from_db()
    assert [part.amount_milli for part in load.parts.all()] == milli


def test_the_second_half_past_one_stays_the_second(desk):
    load = desk.enter(started="2025-11-02T01:30", ended="", started_choice="second")
    assert amend(desk, load, note="late night").status_code == 302
    before = load.started_at
    load.refresh_from_db()
    assert (load.started_at, load.note) == (before, "late night")


def test_a_load_on_a_field_given_up_since_can_still_be_amended(desk):
    load = desk.enter()
    from farmrecords.history import write

    with write.change(by=builders.actor(), channel="web") as change:
        change.amend(
            desk.field, base_rev=1, values={"ended_on": TODAY, "ended_how": "given_up"},
            reason_code="correction", reason_text="lease ended",
        )  # fmt: skip
    assert amend(desk, load, note="checked").status_code == 302


def test_voiding_needs_a_reason_and_the_revision_that_was_seen(desk):
    load = desk.enter()
    assert desk.post("void_load", load.pk, revision="1").status_code == 200
    amend(desk, load, amount_text="6,400")
    answer = desk.post("void_load", load.pk, revision="1", reason_text="twice")
    assert "Somebody amended this after you opened it" in words_of(answer)
    assert "6,400" in words_of(answer)
    assert answer.context["rev"] == 2
    load.refresh_from_db()
    assert not load.voided
    assert desk.post("void_load", load.pk, revision="2", reason_text="twice").status_code == 302
    assert desk.client.get(desk.url("void_load", load.pk)).status_code == 404
    assert desk.client.get(desk.url("amend_load", load.pk)).status_code == 404


@pytest.fixture
def signatory(db):
    desk = Desk("owner")
    builders.save(
        ClosedPeriod(
            operation=desk.operation, from_on=dt.date(2025, 1, 1), to_on=dt.date(2025, 12, 31)
        )
    )
    return desk


def test_the_signatory_lets_a_waiting_load_count(signatory):
    load = signatory.enter(started="2025-10-10T09:30", ended="")
    answer = signatory.post(
        "decide_waiting", load.pk, decision="accept", reason_text="found late", revision="1"
    )
    assert answer.status_code == 302
    load.refresh_from_db()
    assert (load.status, load.voided) == ("counted", False)
    assert "6,500 gal" in signatory.get("field_year", signatory.field.pk, 2025)
    assert signatory.client.get(signatory.url("decide_waiting", load.pk)).status_code == 404


def test_the_signatory_refuses_a_waiting_load_and_it_stays_in_sight(signatory):
    load = signatory.enter(started="2025-10-10T09:30", ended="")
    signatory.post(
        "decide_waiting", load.pk, decision="refuse", reason_text="not ours", revision="1"
    )
    load.refresh_from_db()
    assert load.voided
    assert "not ours" in signatory.get("load", load.pk)


def test_a_decision_on_an_older_version_writes_nothing_and_shows_what_changed(signatory):
    load = signatory.enter(started="2025-10-10T09:30", ended="")
    assert amend(signatory, load, note="ran twice").status_code == 302
    before = signatory.head()
    answer = signatory.post(
        "decide_waiting", load.pk, decision="accept", reason_text="found late", revision="1"
    )
    assert "Somebody amended this after you opened it" in words_of(answer)
    assert "ran twice" in words_of(answer)
    assert signatory.head() == before


def test_a_form_refused_for_another_reason_keeps_the_revision_it_was_opened_at(desk):
    """Otherwise the second try would overwrite a version its writer has never seen."""
    load = desk.enter()
    mine = desk.form_as_shown("amend_load", load.pk) | WHY | {"amount_text": "a lot"}
    amend(desk, load, amount_text="6,400")
    answer = desk.post("amend_load", load.pk, **mine)
    assert answer.status_code == 200
    assert answer.context["rev"] == 1
    before = desk.head()
    assert desk.post("amend_load", load.pk, **mine | {"amount_text": "6,100"}).status_code == 200
    assert desk.head() == before


@pytest.mark.parametrize("decision", [None, "", "maybe"])
def test_a_decision_that_is_none_writes_nothing(signatory, decision):
    load = signatory.enter(started="2025-10-10T09:30", ended="")
    before = signatory.head()
    data = WHY if decision is None else WHY | {"decision": decision}
    assert signatory.post("decide_waiting", load.pk, **data).status_code == 400
    assert signatory.head() == before


def test_a_counted_load_of_a_filed_period_stands(signatory):
    load = builders.make_load(signatory.field, signatory.pit, dt.date(2025, 10, 10))
    accepted = {"decision": "accept", "revision": "1"}
    assert signatory.post("decide_waiting", load.pk, **WHY, **accepted).status_code == 302
    load.refresh_from_db()
    assert (load.status, load.rev) == ("counted", 2)
    before = signatory.head()
    answer = amend(signatory, load, amount_text="6400")
    assert "reopen the period" in words_of(answer)
    answer = signatory.post("void_load", load.pk, revision="2", reason_text="twice")
    assert "reopen the period" in words_of(answer)
    assert signatory.head() == before


def test_a_load_reads_at_a_past_moment_as_it_read_then(desk):
    load = desk.enter()
    with later(60):
        amend(desk, load, amount_text="6,400")
    with later(120):
        then = desk.get("load", load.pk, as_of="2026-04-22T12:30")  # half an hour after entry
        assert "6,500 gal" in then
        assert "6,400" not in then
        assert "revision 1" in then
        after = desk.get("load", load.pk, as_of="2026-04-22T13:30")
        assert "6,400 gal" in after
        assert "revision 2" in after


def distance_to_the_well(desk, load, moment):
    answer = desk.client.get(desk.url("load", load.pk), {"as_of": moment})
    (part,) = answer.context["parts"]
    assert "40.29" in words_of(answer)  # the check square of the data formats reference, 3.1
    return part["facts"]["distances"][0]["distance_ft"]


def test_acres_and_distances_at_a_past_moment_are_those_of_the_land_as_recorded_then(desk):
    near, farther = ({"type": "Point", "coordinates": [lon, 43.001]} for lon in (-89.4949, -89.494))
    with later(0):
        well = builders.make_feature(desk.operation, "well_drinking", near)
        load = desk.enter()
    with later(60), write.change(by=builders.actor(), channel="web") as change:
        change.amend(well, base_rev=1, values={"geometry": farther}, reason_code="correction")
    with later(120):
        then = distance_to_the_well(desk, load, "2026-04-22T12:30")
        after = distance_to_the_well(desk, load, "2026-04-22T13:30")
    assert after > then + 200


@pytest.mark.parametrize("moment", ["2026-04-22T11:59", "yesterday", "2026-02-31T10:00"])
def test_before_it_existed_or_at_no_moment_there_is_no_such_page(desk, moment):
    load = desk.enter()
    answer = desk.client.get(desk.url("load", load.pk), {"as_of": moment})
    assert answer.status_code == 404
