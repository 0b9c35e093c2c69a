"""Each written situation gives the findings it expects; each rule has its situations."""

from collections.abc import Sequence
from datetime import timedelta

import pytest

from farmrecords.rules.cases import Case, differences
from farmrecords.rules.model import Rule
from tests.rules.mutants import situations
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
    "MD-W-1-FERTILIZER": {"not met"},
    "PA-H-1": {"met"},
    "US-F33": {"not met"},
    "US-F40": {"not met"},
}
A_DAY = timedelta(days=1)


def kinds_of(rule: Rule, found: Sequence[Case]) -> set[str]:
    """The kinds of situation among those that expect something of a rule."""
    spoken = [case for case in found if case.expected[0].outcome != "none"]
    silent = [case for case in found if case.expected[0].outcome == "none"]
    outcomes = {case.expected[0].outcome for case in found}
    missing = any(case.expected[0].missing for case in found)
    return {
        word
        for word, there in {
            "before it began": any(case.on == rule.from_on - A_DAY for case in silent),
            "first day": any(case.on == rule.from_on for case in spoken),
            "last day": any(case.on == rule.until_on for case in spoken),
            "after it ended": any(
                rule.until_on is not None and case.on == rule.until_on + A_DAY for case in silent
            ),
            "met": "met" in outcomes,
            "not met": bool(outcomes & {"not_met", "notice"}),
            "cannot tell": "cannot_tell" in outcomes,
            "fact missing": missing,
        }.items()
        if there
    }


def kinds_asked(rule: Rule) -> set[str]:
    """The kinds a rule needs: a memory row one (cannot tell), any other all."""
    if rule.weakest_status == "memory":
        return {"cannot tell"}
    days = {"before it began", "first day"}
    if rule.until_on is not None:
        days |= {"last day", "after it ended"}
    if rule.check == "undetermined":
        return days | {"cannot tell"}
    return days | {"met", "not met", "cannot tell", "fact missing"}


def test_each_rule_has_every_kind_of_situation() -> None:
    lacking = {}
    for rule in rulebook().rules:
        has = kinds_of(rule, situations().get(rule.id, ()))
        missing = kinds_asked(rule) - has - NEVER.get(rule.id, set())
        if missing:
            lacking[rule.id] = sorted(missing)
    assert lacking == {}


def test_a_rule_with_one_kind_of_situation_alone_is_found_out() -> None:
    rule = rulebook().rule("IA-W-1")
    alone = [case for case in situations()["IA-W-1"] if case.expected[0].outcome == "not_met"]

    assert kinds_asked(rule) - kinds_of(rule, alone[:1]) == {
        "before it began", "first day", "met", "cannot tell", "fact missing",
    }  # fmt: skip


def test_situations_lie_where_their_rule_lies() -> None:
    sections = {rule.section.path for rule in rulebook().rules}
    places = {case.path.split(" case ")[0].rsplit("/", 1)[0] for case in cases()}
    assert places - sections - {"scenarios"} == set()
