"""No number, day, comparator or bundle of a rule changes without a situation that notices.

This is what "at the number", "just over", "exempt" and "alternative taken" come to: with each of
them changed or left out, some written situation must give another answer than it expects.
"""

import pytest

from farmrecords.rules.model import Rule
from tests.rules.mutants import mutants, noticed, raw_rules, unnoticed
from tests.rules.written import rulebook

# Changes that change no answer, and why.
TWO_CLASSES = "both classes allow rates by nitrogen"
OPEN_DAY = "within it the other calendar leaves the day open all the same"
THE_SEASON = "the season itself covers that day"
STILL_OPEN = "the open wording alone leaves it open, and the sure days hold by the first way"
SAME_ANSWER = {
    ("IA-P-1", "very_low_to: 1 as 0.9"): TWO_CLASSES,
    ("IA-P-1", "very_low_to: 1 as 1.1"): TWO_CLASSES,
    ("VT-P-1", "low_below: 30.5 as 29.89"): TWO_CLASSES,
    ("VT-P-1", "low_below: 30.5 as 31.11"): TWO_CLASSES,
    ("IA-T-1", "fall_perhaps: ends inside as unclear"): OPEN_DAY,
    ("MD-W-2", "fall_perhaps: ends inside as unclear"): OPEN_DAY,
    ("PA-W-3", "fall_perhaps: ends inside as unclear"): OPEN_DAY,
    ("PA-W-3-MMP", "fall_perhaps: ends inside as unclear"): OPEN_DAY,
    ("WI-N-2", "fall_perhaps: ends inside as unclear"): OPEN_DAY,
    ("IA-T-1", "applies_any.1.when.0: without load.day"): STILL_OPEN,
    ("MD-W-2", "applies_any.1.when.0: without load.day"): STILL_OPEN,
    ("PA-W-3", "applies_any.1.when.0: without load.day"): STILL_OPEN,
    ("PA-W-3-MMP", "applies_any.1.when.0: without load.day"): STILL_OPEN,
    ("WI-N-2", "applies_any.1.when.0: without load.day"): STILL_OPEN,
    ("MN-W-4", "barred.1.when.1: without material.form"): "a liquid's slope is barred sooner",
    ("PA-H-1", "without combine"): "the least is what an unnamed way means",
    ("MD-W-1-FERTILIZER", "season: ends last_unclear as inside"): "its exceptions were not read",
    ("VT-W-1-OTHER", "autumn: last 12-15 as 12-16"): THE_SEASON,
    ("VT-W-1-OTHER", "spring: first 04-01 as 03-31"): THE_SEASON,
    ("OH-R-DEPTH", "any.1.when.0.more_than: more_than"): "at the number the first way holds",
    ("US-F27", "without applies: deficiency.open_days"): "not known is cannot tell either way",
    ("US-F31-ORAL", "without applies: discharge.recorded"): "not known is cannot tell either way",
    ("US-F31-WRITTEN", "without applies: discharge.recorded"): "as for the oral notice",
    ("WI-H-6", "without applies: load.days_since_last"): "not known is cannot tell either way",
}

JUDGED = [rule for rule in rulebook().rules if rule.weakest_status != "memory"]


@pytest.mark.parametrize("rule", JUDGED, ids=lambda rule: str(rule.id))
def test_each_change_of_a_rule_is_noticed(rule: Rule) -> None:
    left = [words for words in unnoticed(rule) if (rule.id, words) not in SAME_ANSWER]
    assert left == []


def test_each_change_that_changes_nothing_is_one_there_is() -> None:
    made = {(rule.id, words) for rule in JUDGED for words, _ in mutants(rule)}
    assert set(SAME_ANSWER) - made == set()


def test_a_rule_as_it_stands_is_what_its_situations_expect() -> None:
    assert [rule.id for rule in rulebook().rules if noticed(rule)] == []


def test_every_packaged_rule_can_be_changed() -> None:
    assert set(raw_rules()) == {rule.id for rule in rulebook().rules}


def test_a_rule_with_numbers_has_a_change_for_each() -> None:
    rule = rulebook().rule("IA-W-1")
    words = [words for words, _ in mutants(rule)]
    assert "snow: 1 as 0.9" in words
    assert "season: last 04-01 as 04-02" in words
    assert "barred.0.when.1.at_least: at_least" in words
    assert "without exempt: small animal feeding operation" in words
