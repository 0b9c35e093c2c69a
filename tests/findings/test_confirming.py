"""A rule of a secondary source: counted apart until confirmed, firm then, lapsing with its text."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from farmrecords.findings import index, judging
from farmrecords.findings.confirming import confirmations_of, is_to_confirm, new_confirmation
from farmrecords.findings.judging import Judge, counts, of_load
from farmrecords.findings.rulebooks import rulebook
from farmrecords.rules.rulebook import make_rulebook
from tests import builders
from tests.findings.conftest import DAY, Farm

RULE = "VT-W-2"  # Vermont RAP 6.05, read in a secondary source


def standing(findings: list[Any]) -> str:
    return next(one.standing for one in findings if one.rule_id == RULE)


def confirm(farm: Farm) -> Any:
    seat = builders.make_seat(farm.operation)
    rule = rulebook().rule(RULE)
    return builders.save(new_confirmation(seat, rule, "the rule as adopted", DAY))


def test_the_finding_is_firm_once_the_rule_is_confirmed(farm: Farm) -> None:
    load = farm.load(ground="frozen")
    assert standing(of_load(load)) == "to_confirm"
    apart = counts(of_load(load))
    confirm(farm)
    assert standing(of_load(load)) == "firm"
    after = counts(of_load(load))
    assert after["to_confirm"] == apart["to_confirm"] - 1
    assert after["not_met"] == apart["not_met"] + 1


def test_the_index_counts_apart_what_is_to_confirm_and_goes_stale_with_a_confirmation(
    farm: Farm,
) -> None:
    farm.load(ground="frozen")
    index.refresh(farm.operation)
    before = index.counts(farm.operation, DAY, DAY)
    confirm(farm)
    index.refresh(farm.operation)
    after = index.counts(farm.operation, DAY, DAY)
    assert after["to_confirm"] == before["to_confirm"] - 1
    assert after["not_met"] == before["not_met"] + 1


def test_a_confirmation_lapses_when_the_text_of_the_rule_changes(
    farm: Farm, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = confirm(farm)
    book = rulebook()
    rules = [
        dataclasses.replace(rule, fingerprint="f" * 64) if rule.id == RULE else rule
        for rule in book.rules
    ]
    other = make_rulebook(rules, book.sections, book.coverage)
    load = farm.load(ground="frozen")
    assert standing(Judge(farm.operation, other).load(load)) == "to_confirm"
    assert confirmations_of(farm.operation, other.rule(RULE)) == [(made, "lapsed")]
    assert confirmations_of(farm.operation, book.rule(RULE)) == [(made, "stands")]


def test_only_a_rule_of_a_secondary_source_can_be_confirmed() -> None:
    statuses = {"read": False, "secondary": True, "memory": False}
    seen = set()
    for rule in rulebook().rules:
        if {value.status for value in rule.values} <= {rule.status}:
            assert is_to_confirm(rule) is statuses[rule.status], rule.id
            seen.add(rule.status)
    assert seen == set(statuses)


def test_a_confirmation_of_one_farm_says_nothing_for_another(farm: Farm) -> None:
    confirm(farm)
    other = builders.make_operation("elsewhere")
    field = builders.make_field(other)
    load = builders.make_load(field, builders.make_storage(other), DAY, ground="frozen")
    assert standing(judging.of_load(load)) == "to_confirm"
