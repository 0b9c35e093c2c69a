"""Permit conditions through the pages: entered, amended, taken back, judged."""

from __future__ import annotations

import datetime as dt
from typing import Any

from farmrecords.findings.judging import of_load
from farmrecords.plan.models import PermitCondition
from tests import builders
from tests.book.desk import Desk


def form(**values: Any) -> dict[str, Any]:
    return {
        "kind": "cap",
        "text": "No more than 1,000 gal/ac",
        "from_on": "2026-01-01",
        "document": "permit of 2026",
        "citation": "part 4.2",
        "value": "1000",
        "unit": "gal/ac",
    } | values


def test_a_condition_is_entered_listed_and_judged(desk: Desk) -> None:
    answer = desk.post("enter_condition", **form())
    assert answer.status_code == 302
    made = PermitCondition.objects.get()
    assert (made.kind, made.citation, made.operation) == ("cap", "part 4.2", desk.operation)
    assert "No more than 1,000 gal/ac" in desk.get("permit")
    load = desk.enter(field_ac_1="4")
    over = {one.rule_id: one for one in of_load(load)}[f"{made.layer}-1"]
    assert over.outcome == "not_met"  # 6,500 gal on 4 ac are 1,625 gal/ac
    page = desk.get("load", load.pk)
    note = page[page.index(f'id="finding-{made.layer}-1"') :]
    note = note[: note.index("</section>")]
    assert '<span class="word">not met</span>' in note
    assert "1625" in note.replace(",", "")
    assert "part 4.2" in note
    within = desk.enter(started="2026-04-22T10:30", ended="", field_ac_1="6.5")  # 1,000 gal/ac
    assert "not_met" not in {o.outcome for o in of_load(within) if o.rule_id == over.rule_id}
    assert "No more than 1,000 gal/ac" in desk.get("coverage")
    assert "permit of 2026" in desk.get("rule", f"{made.layer}-1")


def test_what_the_kind_lacks_is_said_at_its_place_and_nothing_is_recorded(desk: Desk) -> None:
    answer = desk.post("enter_condition", **form(value="", unit=""))
    assert answer.status_code == 200
    assert set(answer.context["form"].errors) == {"value", "unit"}
    assert not PermitCondition.objects.exists()


def test_a_time_of_notice_is_one_of_the_farms_clock(desk: Desk) -> None:
    answer = desk.post(
        "enter_condition",
        **form(kind="emergency", paper="emergency_notice", noticed_at="2026-01-20T09:05",
               value="", unit=""),
    )  # fmt: skip
    assert answer.status_code == 302
    made = PermitCondition.objects.get()
    assert made.noticed_at is not None
    assert made.noticed_at.isoformat() == "2026-01-20T14:05:00+00:00"  # 9:05 in New York


def test_an_amendment_shows_before_and_now_with_its_reason(desk: Desk) -> None:
    desk.post("enter_condition", **form())
    made = PermitCondition.objects.get()
    sent = desk.form_as_shown("amend_condition", made.pk)
    answer = desk.post(
        "amend_condition", made.pk, **sent | {"value": "900", "reason_text": "a slip"}
    )
    assert answer.status_code == 302
    page = desk.get("permit_condition", made.pk)
    assert "a slip" in page
    assert "<del>1000" in page
    assert "<ins>900" in page


def test_an_untouched_amendment_is_nothing_to_amend(desk: Desk) -> None:
    desk.post("enter_condition", **form())
    made = PermitCondition.objects.get()
    before = desk.head()
    sent = desk.form_as_shown("amend_condition", made.pk)
    answer = desk.post("amend_condition", made.pk, **sent | {"reason_text": "no reason"})
    assert answer.status_code == 200
    assert "nothing to amend" in str(answer.context["form"].errors)
    assert desk.head() == before


def test_an_amendment_keeps_a_unit_that_the_form_does_not_offer(desk: Desk) -> None:
    made = builders.make_condition(
        desk.operation,
        kind="emergency",
        value="30000",
        unit="gal",
        paper="emergency_notice",
        noticed_at=dt.datetime(2026, 1, 20, 14, 5, tzinfo=dt.UTC),
    )
    assert "30,000 gal" in desk.get("permit_condition", made.pk)
    sent = desk.form_as_shown("amend_condition", made.pk)
    assert sent["unit"] == "gal"
    change = {"document": "approval of 2026", "reason_text": "the paper's name"}
    assert desk.post("amend_condition", made.pk, **sent | change).status_code == 302
    made.refresh_from_db()
    assert (made.unit, made.document) == ("gal", "approval of 2026")


def test_two_amendments_of_one_revision_do_not_overwrite_each_other(desk: Desk) -> None:
    desk.post("enter_condition", **form())
    made = PermitCondition.objects.get()
    sent = desk.form_as_shown("amend_condition", made.pk) | {"reason_text": "a slip"}
    assert desk.post("amend_condition", made.pk, **sent | {"value": "900"}).status_code == 302
    answer = desk.post("amend_condition", made.pk, **sent | {"value": "800"})
    assert answer.status_code == 200
    made.refresh_from_db()
    assert made.value == 900


def test_a_void_condition_stays_listed_struck_out_and_judges_nothing(desk: Desk) -> None:
    desk.post("enter_condition", **form())
    made = PermitCondition.objects.get()
    answer = desk.post("void_condition", made.pk, revision="1", reason_text="another farm's")
    assert answer.status_code == 302
    assert "<del>No more than 1,000 gal/ac</del>" in desk.get("permit")
    load = desk.enter()
    assert "No more than 1,000 gal/ac" not in desk.get("load", load.pk)
    assert desk.client.get(desk.url("amend_condition", made.pk)).status_code == 404


def test_a_crew_member_sees_no_permit(db: None) -> None:
    crew = Desk("crew")
    builders.make_condition(crew.operation)
    assert crew.client.get(crew.url("permit")).status_code == 404


def test_a_planner_corrects_what_the_planner_entered_and_nothing_of_the_farm(desk: Desk) -> None:
    """A planner adds to a farm's plan and permit and never edits the farm's records."""
    theirs = builders.make_condition(desk.operation)
    planner = builders.make_person("paula")
    seat = builders.make_member(desk.operation, "planner", planner)
    builders.make_grant(seat, dt.date(2026, 1, 1), dt.date(2026, 12, 31))
    desk.client.force_login(planner)
    assert desk.post("enter_condition", **form(citation="part 9")).status_code == 302
    own = PermitCondition.objects.get(citation="part 9")
    why = {"revision": "1", "reason_text": "misread"}
    for name in ("amend_condition", "void_condition"):
        assert desk.client.get(desk.url(name, theirs.pk)).status_code == 404
        assert desk.post(name, theirs.pk, **form(value="900") | why).status_code == 404
    assert "Amend" not in desk.get("permit_condition", theirs.pk).split("<main")[1]
    assert desk.post("amend_condition", own.pk, **form(value="900") | why).status_code == 302
    own.refresh_from_db()
    assert (own.rev, own.value) == (2, 900)
