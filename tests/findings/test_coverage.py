"""What coverage says is checked is what records are held to."""

from __future__ import annotations

import pytest

from farmrecords.findings.coverage import Covered, covered
from farmrecords.findings.judging import JUDGED_SUBJECTS
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
    assert one.unjudged == len([x for x in lines if x.rule.subject not in JUDGED_SUBJECTS])


@pytest.mark.parametrize("name", STATES)
def test_a_row_counts_as_checked_only_when_each_of_its_rules_judges_records(name: str) -> None:
    one = layer(name)
    for row in one.rows:
        held = [rulebook().rule(rule).subject in JUDGED_SUBJECTS for rule in row.rules]
        if row.state == "encoded":
            assert all(held)
        if row.state == "unchecked":
            assert held
            assert not any(held)
    assert sum(one.by_state.values()) == len(one.rows)


def test_the_federal_floor_has_rows_that_are_written_and_not_checked() -> None:
    """Reports, storages, transfers and the operation itself are not judged from records."""
    one = layer("us")
    assert one.by_state["unchecked"] > 0
    assert "unchecked" in {row.state for row in one.left_out}
    assert one.unjudged > 0
    unjudged = {line.rule.id for _s, some in one.sections for line in some if not line.is_judged}
    assert {"US-F24", "US-F41", "US-F53"} <= unjudged
