"""What the pure rooms refuse is said in the language of the page, number and remedy kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.utils import translation

from farmrecords.calculations import nutrients, rate
from farmrecords.calculations.manure_test import ManureContent, ReportedValue, normalise
from farmrecords.calculations.units import parse_amount
from farmrecords.formats.common import Unclear
from farmrecords.formats.moments import at_local
from farmrecords.loads.problems import SENTENCES, _pattern, problem_words

ZONE = ZoneInfo("America/New_York")


def _content(form: str) -> ManureContent:
    return ManureContent(form, Decimal(10), None, None, None, None, None)


def _sheet(*values: tuple[str, str, str, str | None]) -> Callable[[], object]:
    return lambda: normalise(
        [ReportedValue(a, Decimal(value), unit, basis) for a, value, unit, basis in values],
        "solid",
        None,
    )


REFUSED: list[Callable[[], object]] = [
    lambda: parse_amount(" ", "gal"),
    lambda: parse_amount("-5", "gal"),
    lambda: parse_amount("6.500,5", "gal"),
    lambda: parse_amount("6e3", "gal"),
    lambda: parse_amount("six", "gal"),
    lambda: parse_amount("5", " "),
    lambda: parse_amount("5", "ft"),
    lambda: parse_amount("5,000,000,000", "gal"),
    lambda: rate.split_by_weight_drop(1000, [(1000, 9000)]),
    # Clocks go forward on 8 March 2026 and back on 1 November 2026 (15 U.S.C. 260a).
    lambda: at_local(dt.date(2026, 3, 8), dt.time(2, 30), ZONE),
    lambda: nutrients.applied(1000, "lb", _content("liquid")),
    lambda: nutrients.applied(1000, "gal", _content("solid")),
    _sheet(("p", "1.4", "pct", "dry")),
    _sheet(("total_n", "1.4", "pct", None)),
    _sheet(("total_n", "120", "pct", "as_is")),
    _sheet(("total_n", "1", "pct", "as_is"), ("total_n", "1", "pct", "as_is")),
]


def _words() -> list[str]:
    """The sentences as the pure rooms say them."""
    found = []
    for refused in REFUSED:
        with pytest.raises(ValueError, match=r".") as trouble:
            refused()
        found.append(str(trouble.value))
    with pytest.raises(Unclear) as twice:
        at_local(dt.date(2026, 11, 1), dt.time(1, 30), ZONE)
    question = twice.value.question
    found += [question.asked, *(choice.label for choice in question.choices)]
    found += [parse_amount("0.0001", "gal").note, parse_amount("0.0001", "lb").note]
    return found


def test_each_sentence_is_one_that_is_really_said() -> None:
    said = _words()
    stale = [s for s in SENTENCES if not any(_pattern(s).fullmatch(words) for words in said)]
    assert stale == []


def test_each_refusal_is_said_in_spanish() -> None:
    with translation.override("es"):
        assert [words for words in _words() if problem_words(words) == words] == []


def test_in_english_a_refusal_stays_as_it_is() -> None:
    with translation.override("en"):
        for words in _words():
            assert problem_words(words) == words


def test_what_was_given_stays_in_the_sentence() -> None:
    with translation.override("es"):
        assert "'6.500,5'" in problem_words(_words()[2])
        assert "2026-03-08 02:30" in problem_words(_words()[9])
        assert problem_words("Nothing of the kind.") == "Nothing of the kind."
