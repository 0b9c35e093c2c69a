"""What coverage says is checked is what records are held to."""

from __future__ import annotations

import pytest

from farmrecords.findings.coverage import Covered, covered
from farmrecords.findings.doors import is_open, open_subjects
from farmrecords.findings.rulebooks import rulebook
from tests.findings.conftest import DAY

STATES = ("us", "us-vt", "us-ia", "us-md", "us-wi", "us-mn", "us-oh", "us-pa")


def layer(name: str) -> Covered:
    (found,) = covered(rulebook(), [name], [], DAY, ())
    return found


@pytest.mark.parametrize("name", STATES)
def test_rules_that_no_record_is_held_to_are_counted_apart(name: str) -> None:
    one = layer(name)
    lines = [line for _section, some in one.sections for line in some]
    assert sum(one.by_standing.values()) + one.unjudged == len(lines)
    assert one.unjudged == len([x for x in lines if not is_open(x.rule.subject)])


@pytest.mark.parametrize("name", STATES)
def test_a_row_counts_as_checked_only_when_each_of_its_rules_judges_records(name: str) -> None:
    one = layer(name)
    for row in one.rows:
        held = [is_open(rulebook().rule(rule).subject) for rule in row.rules]
        if row.state == "encoded":
            assert all(held)
        if row.state == "unchecked":
            assert held
            assert not any(held)
    assert sum(one.by_state.values()) == len(one.rows)


def test_storages_transfers_and_the_operation_have_their_doors() -> None:
    one = layer("us")
    judged = {line.rule.id for _s, some in one.sections for line in some if line.is_judged}
    assert {"US-F24", "US-F27", "US-F41", "US-F01"} <= judged
    assert {"load", "field_year", "storage", "transfer", "operation"} <= set(open_subjects())


def test_a_subject_without_a_door_is_not_counted_as_checked() -> None:
    assert not is_open("fertilizer")
