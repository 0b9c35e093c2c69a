"""Time of judging grows with the number of loads alone; worksheets are made only when opened."""

from __future__ import annotations

import pytest

from farmrecords.calculations import worksheet
from farmrecords.rules import findings
from farmrecords.rules.judge import judge
from farmrecords.rules.rulebook import read_rulebook
from tests.benchmarks.judging import STACKS, facts_of, per_load_ratio


def test_a_load_among_many_takes_no_longer_than_one_among_few() -> None:
    """Generous: the machine may be busy; a quadratic way would be eight times as long."""
    assert per_load_ratio(STACKS[0], 250, 2_000, read_rulebook()) < 4


def test_judging_makes_no_sentence_and_no_worksheet(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_args: object, **_named: object) -> None:
        raise AssertionError("made in bulk")

    monkeypatch.setattr(findings, "shown", refused)
    monkeypatch.setattr(worksheet, "run_worksheet", refused)
    book = read_rulebook()
    judged = [
        one
        for stack in STACKS
        for day, facts in facts_of(20)
        for one in judge(book, stack, facts, day, "load")
    ]
    assert judged
    with pytest.raises(AssertionError, match="made in bulk"):
        _ = judged[0].sentence
