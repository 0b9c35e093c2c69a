"""Many loads are judged without a sentence or a worksheet: those are made when one is opened."""

from __future__ import annotations

import pytest

from farmrecords.calculations import worksheet
from farmrecords.rules import findings
from farmrecords.rules.judge import judge
from farmrecords.rules.rulebook import read_rulebook
from tests.benchmarks.judging import STACKS, facts_of


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
