"""A rule declares every fact it reads, so that the same facts need not be judged twice."""

from collections.abc import Mapping
from datetime import date
from typing import Any

import pytest

from farmrecords.rules.facts import Facts, Value
from farmrecords.rules.judge import judge, judge_rule
from farmrecords.rules.reads import facts_read
from tests.rules.written import by_file, rulebook


class Watched(Facts):
    """Facts that note which of them were asked for."""

    def __init__(self, facts: Facts, asked: set[str]) -> None:
        super().__init__(facts.values_by_name, facts.features)
        object.__setattr__(self, "asked", asked)

    def get(self, name: str, default: Any = None) -> Value:
        self.asked.add(name)  # type: ignore[attr-defined]
        return super().get(name)

    def derived(self, name: str, value: Value) -> Facts:
        changed: Mapping[str, Any] = {**self.values_by_name, name: value}
        return Watched(Facts(changed, self.features), self.asked)  # type: ignore[attr-defined]


@pytest.mark.parametrize("path", sorted(by_file()))
def test_no_rule_reads_a_fact_it_does_not_declare(path: str) -> None:
    for case in by_file()[path]:
        for standing in rulebook().for_stack(case.stack, case.on, case.subject):
            declared = facts_read(standing.rule)
            if declared is None:
                continue
            asked: set[str] = set()
            judge_rule(standing, Watched(case.facts, asked))
            hidden = asked - set(declared) - {"material.form_here"}
            assert hidden == set(), (standing.rule.id, case.title)


@pytest.mark.parametrize("path", sorted(by_file()))
def test_a_remembered_finding_says_what_a_fresh_one_says(path: str) -> None:
    for case in by_file()[path]:
        once = judge(rulebook(), case.stack, case.facts, case.on, case.subject)
        fresh = [
            judge_rule(standing, case.facts)[0]
            for standing in rulebook().for_stack(case.stack, case.on, case.subject)
        ]
        said = [(item.rule_id, item.outcome, item.sentence, item.missing) for item in once]
        assert said == [
            (item.rule_id, item.outcome, item.sentence, item.missing)
            for item in fresh
            if item is not None
        ]


def test_a_changed_fact_is_judged_anew() -> None:
    facts = Facts({"load.in_road_ditch": True})
    on = date(2024, 6, 20)

    def outcome(facts: Facts) -> str:
        found = judge(rulebook(), ("us-mn",), facts, on, "load")
        return next(item.outcome for item in found if item.rule_id == "MN-SB-7")

    assert outcome(facts) == "not_met"
    assert outcome(facts.changed(load__in_road_ditch=False)) == "met"
    assert outcome(facts.without("load.in_road_ditch")) == "cannot_tell"
    assert outcome(facts) == "not_met"
