"""Each written situation gives the findings it expects; each rule has its situations."""

import pytest

from farmrecords.rules.cases import Case, differences
from tests.rules.written import cases, rulebook


@pytest.mark.parametrize("case", cases(), ids=lambda case: f"{case.path}: {case.title}")
def test_the_situation_gives_what_it_expects(case: Case) -> None:
    assert differences(case, case.found(rulebook())) == []


def test_each_situation_expects_something() -> None:
    assert [case.path for case in cases() if not case.expected] == []


def test_each_situation_names_rules_that_exist() -> None:
    known = {rule.id for rule in rulebook().rules}
    wrong = {
        expected.rule
        for case in cases()
        for expected in case.expected
        if expected.rule not in known
    }
    assert wrong == set()


# Outcomes that a rule cannot have: the text that would settle it was not read, or a record
# that is there cannot be stated to be absent (a day, a method).
NEVER = {
    "MD-W-1-FERTILIZER": {"not_met"},
    "PA-H-1": {"met"},
    "US-F33": {"not_met"},
    "US-F40": {"not_met"},
}


def _outcomes_by_rule() -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for case in cases():
        for expected in case.expected:
            found.setdefault(expected.rule, set()).add(expected.outcome)
    return found


def test_each_rule_has_situations() -> None:
    """A memory row needs one (cannot tell); any other both sides and a missing fact."""
    found = _outcomes_by_rule()
    lacking = {}
    for rule in rulebook().rules:
        need = {"met", "cannot_tell"}
        need.add("notice" if rule.severity == "advise" else "not_met")
        status = max(
            (rule.status, *(value.status for value in rule.values)),
            key=("read", "secondary", "memory").index,
        )
        if status == "memory" or rule.check == "undetermined":
            need = {"cannot_tell"}
        missing = need - found.get(rule.id, set()) - NEVER.get(rule.id, set())
        if missing:
            lacking[rule.id] = sorted(missing)
    assert lacking == {}


def test_situations_lie_where_their_rule_lies() -> None:
    sections = {rule.section.path for rule in rulebook().rules}
    places = {case.path.split(" case ")[0].rsplit("/", 1)[0] for case in cases()}
    assert places - sections - {"scenarios"} == set()
