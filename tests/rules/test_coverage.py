"""Coverage is declared, and what it declares is true."""

import re

from tests.rules.written import rulebook

SEVEN = ("us-vt", "us-ia", "us-md", "us-wi", "us-mn", "us-oh", "us-pa")


def test_each_jurisdiction_with_rules_declares_its_coverage() -> None:
    assert {rule.jurisdiction for rule in rulebook().rules} == set(rulebook().coverage)


def test_the_seven_states_and_the_federal_floor_are_there() -> None:
    assert {"us", *SEVEN} <= set(rulebook().coverage)


def test_each_rule_is_named_by_its_jurisdictions_coverage() -> None:
    lacking = []
    for name, coverage in rulebook().coverage.items():
        named = {rule for row in coverage.rows for rule in row.rules}
        lacking += [
            rule.id
            for rule in rulebook().rules
            if rule.jurisdiction == name and rule.id not in named
        ]
    assert lacking == []


def test_coverage_names_rules_of_its_own_jurisdiction() -> None:
    strangers = [
        (name, rule)
        for name, coverage in rulebook().coverage.items()
        for row in coverage.rows
        for rule in row.rules
        if rulebook().rule(rule).jurisdiction != name
    ]
    assert strangers == []


def test_each_row_that_is_not_wholly_encoded_says_why() -> None:
    silent = [
        (name, row.row)
        for name, coverage in rulebook().coverage.items()
        for row in coverage.rows
        if row.state != "encoded" and not row.why
    ]
    assert silent == []


def test_a_row_with_a_memory_rule_is_not_called_wholly_encoded_without_a_word() -> None:
    """Except where the row says so by its rules alone: the finding itself cannot tell."""
    weak = {
        rule.id
        for rule in rulebook().rules
        if "memory" in {rule.status, *(value.status for value in rule.values)}
    }
    called = {
        rule
        for coverage in rulebook().coverage.values()
        for row in coverage.rows
        if row.state == "encoded"
        for rule in row.rules
    }
    assert weak & called == set()


def test_each_federal_check_stands_in_a_row() -> None:
    rows = " ".join(row.row for item in rulebook().coverage.values() for row in item.rows)
    named = {int(number) for number in re.findall(r"F(\d\d)\b", rows)}
    for first, last in re.findall(r"F(\d\d) to F(\d\d)", rows):
        named |= set(range(int(first), int(last) + 1))
    assert set(range(1, 62)) - named == set()


def test_each_parent_is_a_jurisdiction() -> None:
    parents = {coverage.parent for coverage in rulebook().coverage.values()} - {""}
    assert parents <= set(rulebook().coverage)


def test_an_overridden_or_noted_rule_keeps_its_fingerprint() -> None:
    prints = [rule.fingerprint for rule in rulebook().rules]
    assert len(prints) == len(set(prints))
