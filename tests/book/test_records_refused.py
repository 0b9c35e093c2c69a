"""What the common pages do not take: each refusal names the value and the remedy, at its entry."""

from __future__ import annotations

import pytest

from farmrecords.people.models import ClosedPeriod, LateRecord, Membership, Person
from tests import builders
from tests.book.desk import TODAY, Desk
from tests.book.test_records_pages import enter, post, refused

# Kind, entries as sent, where it is refused, and words that must stand there.
REFUSED = [
    ("transfers", {"amount_text": "18O,000"}, "amount_text", "18O,000"),
    ("transfers", {"amount_text": "0"}, "amount_text", "more than zero"),
    ("transfers", {"amount_text": "-5"}, "amount_text", "leave the sign out"),
    ("transfers", {"amount_unit": "acre"}, "amount_unit", "acre"),
    ("transfers", {"moved_on": "2026-04-23"}, "moved_on", "has not come yet"),
    ("transfers", {"moved_on": "yesterday"}, "moved_on", "yesterday"),
    ("fertilizer", {"n_lb_per_ac": "-1"}, "n_lb_per_ac", "-1"),
    ("fertilizer", {"n_lb_per_ac": "NaN"}, "n_lb_per_ac", "NaN"),
    ("fertilizer", {"product": ""}, "product", "Product"),
    ("harvests", {"yield_amount": "six"}, "yield_amount", "six"),
    ("statements", {"to_on": "2025-12-31"}, "to_on", "2026-01-01"),
    ("statements", {"looked_how": " "}, "looked_how", "looked"),
    ("soil-tests", {"value_soil_p": "low"}, "value_soil_p", "low"),
    ("soil-tests", {"depth_in": "0"}, "depth_in", "more than zero"),
    ("soil-tests", {"analysed_on": "2026-03-31"}, "analysed_on", "2026-04-01"),
    ("soil-tests", {"value_soil_p": "", "value_soil_ph": ""}, "__all__", "at least one"),
    ("inspections", {"inspected_on": "2026-04-21"}, "inspected_on", "2026-04-21"),
    ("inspections", {"missed": "on", "found": ""}, "found", "why"),
    ("inspections", {"missed": "on", "inspected_on": "2026-04-23"}, "inspected_on", "2026-04-23"),
    ("deficiencies", {"corrected_on": "2026-04-19", "correction": "filled"}, "corrected_on",
     "2026-04-20"),
    ("deficiencies", {"corrected_on": "2026-04-21"}, "correction", "what was done"),
    ("discharges", {"volume_text": "a lot"}, "volume_text", "a lot"),
    ("discharges", {"happened_at": "2026-04-19T06:10"}, "happened_at", "2026-04-19 06:10"),
    ("discharges", {"told_at": "2026-04-20T06:00", "written_on": "2026-04-01"}, "written_on",
     "2026-04-20"),
    ("calibrations", {"load_unit": ""}, "load_unit", "5,600"),
    ("calibrations", {"load_text": "", "load_unit": "", "width_ft": ""}, "load_text", "or both"),
    ("calibrations", {"width_ft": "0"}, "width_ft", "more than zero"),
    ("fields", {"ended_on": "2026-02-28", "ended_how": "given_up"}, "ended_on", "2026-03-01"),
    ("fields", {"ended_on": "2026-04-01"}, "ended_how", "both"),
    ("fields", {"stated_ac": "0"}, "stated_ac", "more than zero"),
    ("field-facts", {"slope_pct": "200.1"}, "slope_pct", "200.1"),
    ("features", {"corners": "44.1 N, 73.2 W\n44.2, -73.2"}, "corners", "Line 1"),
    ("features", {"corners": "144.1, -73.2\n44.2, -73.2"}, "corners", "Latitude comes first"),
    ("features", {"corners": "nan, -73.2\n44.2, -73.2"}, "corners", "not a place on earth"),
    ("features", {"corners": "44.1, -73.2"}, "corners", "1 corners"),
    ("features", {"shape": "area",
                  "corners": "44.1, -73.1\n44.2, -73.2\n44.2, -73.1\n44.1, -73.2"},
     "corners", "crosses"),
    ("storages", {"depth_ft": "0"}, "depth_ft", "more than zero"),
    ("storages", {"shape": "stage_table", "table": "1 1000"}, "table", "two lines"),
    ("storages", {"shape": "stage_table", "table": "2 1000\n1 2000"}, "table", "Line 2"),
    ("storages", {"shape": "stage_table", "table": "2 much\n3 2000"}, "table", "Line 1"),
    ("spreaders", {"rated_load_unit": ""}, "rated_load_unit", "6,000"),
    ("animals", {"name": ""}, "name", "Name"),
    ("animal-counts", {"roof_head": "-3"}, "roof_head", "-3"),
    ("plans", {"document": ""}, "document", "document"),
    ("plans", {"to_on": "2026-03-31"}, "to_on", "2026-04-01"),
    ("crops", {"n_limit_lb_per_ac": "-0.1"}, "n_limit_lb_per_ac", "-0.1"),
    ("people", {"password": "12345"}, "password", "12"),
    ("people", {"display_name": ""}, "display_name", "luis"),
    ("people", {"sign_in": "a b"}, "sign_in", ""),
    ("people", {"role": "owner"}, "role", "owner"),
    ("grants", {"period_to_on": "2025-12-31"}, "period_to_on", "2026-01-01"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "sent", "name", "words"), REFUSED)
def test_a_refusal_stands_at_its_entry(
    desk: Desk, kind: str, sent: dict[str, str], name: str, words: str
) -> None:
    errors = refused(desk, kind, **sent)
    assert name in errors, errors
    assert words in " ".join(errors[name]), errors[name]


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        ("harvests", "harvested_on"),
        ("fields", "number"),
        ("field-facts", "from_on"),
        ("storages", "name"),
        ("spreaders", "name"),
        ("animal-counts", "counted_on"),
        ("plans", "from_on"),
        ("crops", "crop"),
    ],
)
def test_what_may_stand_once_is_refused_the_second_time(desk: Desk, kind: str, name: str) -> None:
    enter(desk, kind)
    errors = refused(desk, kind)
    assert list(errors) == [name]
    assert "already" in errors[name][0]
    assert "%(" not in errors[name][0]


def test_a_role_held_already_is_refused(desk: Desk) -> None:
    enter(desk, "people")
    errors = refused(desk, "people", display_name="", password="")
    assert "already" in errors["from_on"][0]


def test_the_account_of_a_new_person_stands_only_with_the_access(desk: Desk) -> None:
    refused(desk, "people", to_on="2026-03-01")
    assert not Person.objects.filter(username="luis").exists()
    row = enter(desk, "people")
    assert row.person.username == "luis"
    assert row.person.check_password("eight-tall-poplars")
    assert row.person.language == "es"


def test_a_known_person_keeps_name_and_password(desk: Desk) -> None:
    known = builders.make_person("luis", display_name="Luis A.")
    row = enter(desk, "people", password="another-long-password")
    assert row.person == known
    known.refresh_from_db()
    assert known.display_name == "Luis A."
    assert not known.check_password("another-long-password")


def test_nobody_takes_back_the_own_access(desk: Desk) -> None:
    own = Membership.objects.get(person=desk.person)
    assert "another person" in desk.get("record_page", "people", own.pk)
    answer = post(desk, "void_record", "people", own.pk, revision="1", reason_text="why not")
    assert answer.status_code == 404
    own.refresh_from_db()
    assert not own.voided


def test_an_owner_enters_an_owner(db: None) -> None:
    owner = Desk("owner")
    assert enter(owner, "people", role="owner").role == "owner"


def test_a_role_is_not_changed_by_an_amendment(desk: Desk) -> None:
    row = enter(desk, "people")
    sent = desk.form_as_shown("amend_record", "people", row.pk)
    post(desk, "amend_record", "people", row.pk, **sent | {"role": "owner", "reason_text": "so"})
    row.refresh_from_db()
    assert row.role == "crew"


def test_a_grant_is_for_a_planner_or_inspector_of_this_farm(desk: Desk) -> None:
    elsewhere = builders.make_member(builders.make_operation("elsewhere"), "planner")
    own = Membership.objects.get(person=desk.person)
    for member in (elsewhere, own):
        assert "membership" in refused(desk, "grants", membership=str(member.pk))


def test_a_field_of_another_farm_cannot_be_named(desk: Desk) -> None:
    theirs = builders.make_field(builders.make_operation("elsewhere"))
    assert "field" in refused(desk, "fertilizer", field=str(theirs.pk))


def test_a_missed_inspection_of_another_day_is_recorded_and_never_filled_in(desk: Desk) -> None:
    row = enter(desk, "inspections", missed="on", inspected_on="2026-04-15", found="ill")
    sent = desk.form_as_shown("amend_record", "inspections", row.pk)
    del sent["missed"]
    answer = post(
        desk, "amend_record", "inspections", row.pk, **sent | {"reason_text": "was there"}
    )
    assert answer.status_code == 200
    assert "inspected_on" in answer.context["form"].errors
    row.refresh_from_db()
    assert row.missed


def test_what_is_late_for_a_filed_period_is_kept_and_waits(desk: Desk) -> None:
    days = {"from_on": TODAY.replace(month=1, day=1), "to_on": TODAY}
    builders.save(ClosedPeriod(operation=desk.operation, **days))
    row = enter(desk, "fertilizer")
    assert row.voided
    late = LateRecord.objects.get(record=row.pk)
    assert late.state == "waiting"
    assert "waits for the owner" in desk.get("register", "fertilizer")


@pytest.mark.parametrize("page", ["amend_record", "void_record"])
def test_what_stands_in_a_filed_period_is_not_changed(desk: Desk, page: str) -> None:
    row = enter(desk, "fertilizer")
    sent = desk.form_as_shown("amend_record", "fertilizer", row.pk)
    days = {"from_on": TODAY.replace(month=1, day=1), "to_on": TODAY}
    builders.save(ClosedPeriod(operation=desk.operation, **days))
    answer = post(
        desk, page, "fertilizer", row.pk, **sent | {"n_lb_per_ac": "31", "reason_text": "a slip"}
    )
    assert answer.status_code == 200
    assert "filed period" in answer.content.decode()
    row.refresh_from_db()
    assert (row.rev, row.voided) == (1, False)
