"""Rules on pages: coverage with reasons, confirming, texts by fingerprint, drafts."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from farmrecords.findings.judging import of_load
from farmrecords.findings.models import RuleConfirmation
from farmrecords.findings.rulebooks import note_rulebook, rulebook
from farmrecords.rules.rulebook import DATA
from tests.book.desk import Desk, words_of

RULE = "VT-W-2"  # Vermont RAP 6.05, read in a secondary source


def test_coverage_counts_by_status_and_gives_the_reason_of_what_is_left_out(desk: Desk) -> None:
    page = desk.get("coverage")
    coverage = rulebook().coverage["us-vt"]
    left_out = [row for row in coverage.rows if row.state == "not_encoded"]
    assert left_out
    for row in left_out:
        assert row.row in page
        assert row.why in page
    assert f'<td class="num">{coverage.counts()["not_encoded"]}</td>' in page


def test_a_confirmation_is_recorded_by_person_document_and_day(desk: Desk) -> None:
    assert "Confirm against the official text" in desk.get("rule", RULE)
    fingerprint = rulebook().rule(RULE).fingerprint
    answer = desk.post(
        "confirm_rule", RULE, document="the rule as adopted", confirmed_on="2026-04-20",
        fingerprint=fingerprint,
    )  # fmt: skip
    assert answer.status_code == 302
    made = RuleConfirmation.objects.get()
    assert made.rule_fingerprint == fingerprint
    assert str(desk.person) in made.confirmed_by
    assert "the rule as adopted" in desk.get("rule", RULE)
    load = desk.enter(ground="frozen")
    firm = {one.rule_id: one.standing for one in of_load(load)}
    assert firm[RULE] == "firm"
    desk.post("void_confirmation", made.pk, revision="1", reason_text="the wrong edition")
    assert {one.rule_id: one.standing for one in of_load(load)}[RULE] == "to_confirm"


@pytest.mark.parametrize("seen", [{"fingerprint": "0" * 64}, {}], ids=["another", "none"])
def test_a_text_that_is_not_the_one_on_the_open_page_is_not_confirmed(
    desk: Desk, seen: dict[str, str]
) -> None:
    answer = desk.post(
        "confirm_rule", RULE, document="the rule as adopted", confirmed_on="2026-04-20", **seen
    )
    assert answer.status_code == 200
    assert "Read it again" in words_of(answer)
    assert answer.context["fingerprint"] == rulebook().rule(RULE).fingerprint
    assert not RuleConfirmation.objects.exists()


def test_a_day_to_come_is_no_day_of_confirming(desk: Desk) -> None:
    answer = desk.post("confirm_rule", RULE, document="the rule", confirmed_on="2026-04-23")
    assert "confirmed_on" in answer.context["form"].errors


def test_a_noted_rulebook_stays_readable_by_its_fingerprint(desk: Desk) -> None:
    note_rulebook(desk.operation)
    fingerprint = rulebook().fingerprint
    assert fingerprint in desk.get("coverage")
    page = desk.get("rules_text", fingerprint)
    assert rulebook().rule("US-SB-1").section.path in page
    assert 'id = "US-SB-1"' in page


def test_without_the_setting_no_draft_is_offered(desk: Desk) -> None:
    assert "FARMRECORDS_DRAFT_RULES" in desk.get("draft_rules")


def test_a_draft_lists_every_finding_that_would_change(
    desk: Desk, settings: Any, tmp_path: Path
) -> None:
    shutil.copytree(DATA, tmp_path / "stricter")
    file = tmp_path / "stricter" / "us-vt" / "winter.toml"
    text = file.read_text(encoding="utf-8")
    assert f'id = "{RULE}"' in text
    file.write_text(text.replace('title = "Frozen, saturated', 'title = "Draft: frozen, saturated')
                    .replace("6.05", "6.05 (draft)"), encoding="utf-8")  # fmt: skip
    settings.FARMRECORDS_DRAFT_RULES = str(tmp_path)
    desk.enter(ground="frozen")
    assert "Nothing would change" in desk.get("draft_rules", draft="stricter", year="2026")
    shutil.rmtree(tmp_path / "stricter" / "us-vt")
    page = desk.get("draft_rules", draft="stricter", year="2026")
    assert RULE in page
    assert "no finding" in page


@pytest.mark.parametrize("name", ["../../..", "nothing"])
def test_a_draft_that_is_not_offered_cannot_be_named(
    desk: Desk, settings: Any, tmp_path: Path, name: str
) -> None:
    (tmp_path / "one").mkdir()
    settings.FARMRECORDS_DRAFT_RULES = str(tmp_path)
    desk.enter()
    answer = desk.client.get(desk.url("draft_rules"), {"draft": name, "year": "2026"})
    assert "draft" in answer.context["form"].errors


def test_a_draft_that_cannot_be_read_says_why(desk: Desk, settings: Any, tmp_path: Path) -> None:
    (tmp_path / "broken" / "us").mkdir(parents=True)
    (tmp_path / "broken" / "us" / "index.toml").write_text("title = ", encoding="utf-8")
    settings.FARMRECORDS_DRAFT_RULES = str(tmp_path)
    desk.enter()
    answer = desk.client.get(desk.url("draft_rules"), {"draft": "broken", "year": "2026"})
    assert answer.status_code == 200
    assert "index.toml" in str(answer.context["form"].errors)


def test_may_i_spread_answers_for_each_field_by_word(desk: Desk) -> None:
    page = desk.get(
        "may_i_spread", storage=str(desk.pit.pk), method="surface", amount_text="6,500",
        amount_unit="gal", on="2027-01-15", ground="dry",
    )  # fmt: skip
    assert str(desk.field) in page
    assert "6 V.S.A. 4816(a)" in page
    assert page.count('<span class="word">closed</span>') >= 2


def test_may_i_spread_says_what_is_wrong_with_the_question(desk: Desk) -> None:
    answer = desk.client.get(
        desk.url("may_i_spread"),
        {"storage": str(desk.pit.pk), "method": "surface", "amount_text": "some",
         "amount_unit": "ton", "on": "2030-01-15", "ground": "dry"},
    )  # fmt: skip
    assert {"amount_text", "on"} <= set(answer.context["form"].errors)
    assert answer.context["answers"] is None
