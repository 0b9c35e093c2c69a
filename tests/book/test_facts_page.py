"""Facts that the rules ask of a field or load have a page, and are judged once entered."""

from __future__ import annotations

import pytest

from farmrecords.farm.models import FieldVersion
from farmrecords.findings.asked import TOLD, asked_facts
from farmrecords.findings.judging import of_field_year, of_load
from farmrecords.findings.rulebooks import rulebook
from farmrecords.loads.models import Load
from farmrecords.rules.vocabulary import TERMS
from tests import builders
from tests.book.desk import Desk

STATES = ("us-vt", "us-ia", "us-md", "us-wi", "us-mn", "us-oh", "us-pa")


@pytest.fixture
def wisconsin(db: None) -> Desk:
    desk = Desk()
    row = desk.operation.jurisdictions.get()
    builders.amend(row, stack=["us", "us-wi"])
    return desk


def version_of(desk: Desk) -> FieldVersion:
    return FieldVersion.objects.get(field=desk.field)


# NR 151.075(6): no manure on less than 2 ft of soil over Silurian bedrock.
def test_bedrock_entered_on_the_page_is_judged(wisconsin: Desk) -> None:
    load = wisconsin.enter()
    before = {one.rule_id: one.outcome for one in of_load(load)}
    assert before["WI-H-4"] == "cannot_tell"
    sent = wisconsin.form_as_shown("field_facts", wisconsin.field.pk) | {
        "bedrock": "silurian",
        "bedrock_depth_ft": "1.50",
        "reason_text": "soil survey",
    }
    answer = wisconsin.post("field_facts", wisconsin.field.pk, **sent)
    assert answer.status_code == 302
    assert version_of(wisconsin).further == {"bedrock": "silurian", "bedrock_depth_ft": "1.5"}
    after = {one.rule_id: one.outcome for one in of_load(Load.objects.get(pk=load.pk))}
    assert after["WI-H-4"] == "not_met"


def test_facts_of_a_load_are_recorded_with_a_reason_and_shown_again(wisconsin: Desk) -> None:
    load = wisconsin.enter()
    assert "Facts that the rules ask for" in wisconsin.get("load", load.pk)
    sent = wisconsin.form_as_shown("load_facts", load.pk) | {"topdressed_forage": "no"}
    refused = wisconsin.post("load_facts", load.pk, **sent)
    assert refused.status_code == 200
    answer = wisconsin.post("load_facts", load.pk, **sent, reason_text="asked the driver")
    assert answer.status_code == 302
    held = Load.objects.get(pk=load.pk)
    assert held.further == {"topdressed_forage": False}
    assert held.rev == load.rev + 1
    assert wisconsin.form_as_shown("load_facts", load.pk)["topdressed_forage"] == "no"


def test_a_fact_made_open_again_is_not_known_again(wisconsin: Desk) -> None:
    builders.amend(version_of(wisconsin), further={"bedrock": "silurian"})
    sent = wisconsin.form_as_shown("field_facts", wisconsin.field.pk)
    assert sent["bedrock"] == "silurian"
    del sent["bedrock"]
    wisconsin.post("field_facts", wisconsin.field.pk, **sent, reason_text="mistaken")
    assert version_of(wisconsin).further == {}


def test_a_form_opened_before_another_change_is_refused_with_both_versions(
    wisconsin: Desk,
) -> None:
    sent = wisconsin.form_as_shown("field_facts", wisconsin.field.pk)
    builders.amend(version_of(wisconsin), further={"bedrock": "karst"})
    sent |= {"bedrock": "silurian", "reason_text": "survey"}
    answer = wisconsin.post("field_facts", wisconsin.field.pk, **sent)
    assert answer.status_code == 200
    assert answer.context["conflict"]
    assert version_of(wisconsin).further == {"bedrock": "karst"}


def test_a_planner_does_not_enter_facts(db: None) -> None:
    desk = Desk(role="planner")
    answer = desk.client.get(desk.url("field_facts", desk.field.pk))
    assert answer.status_code in (403, 404)


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("kind", ["field", "load", "feature", "plan", "operation"])
def test_what_is_offered_is_in_the_vocabulary_and_told_by_nobody_else(
    state: str, kind: str
) -> None:
    names = asked_facts(rulebook(), ("us", state), kind)
    assert set(names) <= set(TERMS)
    assert not set(names) & TOLD
    assert all(name.startswith(f"{kind}.") for name in names)


def test_every_fact_said_to_be_told_elsewhere_is_one_of_the_vocabulary() -> None:
    assert set(TERMS) >= TOLD


# 567 IAC 65.111: manure N within what the crop uses binds who must have a plan.
def test_facts_of_the_plan_and_the_operation_are_entered_and_judged(db: None) -> None:
    desk = Desk()
    builders.amend(desk.operation.jurisdictions.get(), stack=["us", "us-ia"])
    crop = builders.make_planned_crop(builders.make_plan(desk.operation), desk.field, 2026)
    page = desk.get("field_facts", desk.field.pk)
    assert desk.url("plan_facts", crop.pk) in page
    assert desk.url("operation_facts") in page
    sent = desk.form_as_shown("plan_facts", crop.pk) | {"crop_n_need_lb_per_ac": "140"}
    desk.post("plan_facts", crop.pk, **sent, reason_text="plan, page 4")
    crop.refresh_from_db()
    assert crop.further == {"crop_n_need_lb_per_ac": "140"}
    sent = desk.form_as_shown("operation_facts") | {"plan_duty": "yes"}
    desk.post("operation_facts", **sent, reason_text="letter of the agency")
    assert desk.operation.permits.get().further == {"plan_duty": True}
    desk.enter()
    found = {one.rule_id: one for one in of_field_year(desk.field, 2026)}
    assert "plan.crop_n_need_lb_per_ac" not in found["IA-N-1"].missing


def test_a_planner_does_not_enter_facts_of_a_feature(db: None) -> None:
    desk = Desk(role="planner")
    place = {"type": "Point", "coordinates": [-89.4, 43.0]}
    feature = builders.make_feature(desk.operation, "well_drinking", place)
    assert desk.client.get(desk.url("feature_facts", feature.pk)).status_code == 404


def test_facts_of_a_feature_are_entered_on_their_own_page(wisconsin: Desk) -> None:
    line = {"type": "LineString", "coordinates": [[-89.4, 43.0], [-89.4, 43.01]]}
    feature = builders.make_feature(wisconsin.operation, "lake", line)
    assert wisconsin.url("feature_facts", feature.pk) in wisconsin.get(
        "field_facts", wisconsin.field.pk
    )
    sent = wisconsin.form_as_shown("feature_facts", feature.pk)
    assert "distance_ft" not in sent
    sent |= {"upslope_of_load": "yes", "reason_text": "survey"}
    assert wisconsin.post("feature_facts", feature.pk, **sent).status_code == 302
    feature.refresh_from_db()
    assert feature.further == {"upslope_of_load": True}
