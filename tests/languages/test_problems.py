"""What the pure rooms refuse is said in the language of the page, number and remedy kept."""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Callable
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from django.test import override_settings
from django.utils import translation
from shapely import Point, Polygon

from farmrecords.calculations import nutrients, rate
from farmrecords.calculations.geodesy import area_ac
from farmrecords.calculations.manure_test import ManureContent, ReportedValue, normalise
from farmrecords.calculations.reconstruction import divided, reconstruct
from farmrecords.calculations.swath import TrackPoint, footprint
from farmrecords.calculations.units import parse_amount
from farmrecords.calculations.weigh_cells import summed
from farmrecords.calculations.weight_log import log_of
from farmrecords.formats.common import Unclear
from farmrecords.formats.moments import at_local
from farmrecords.history.errors import FileChanged
from farmrecords.history.files import path_of, read
from farmrecords.history.models import KeptFile
from farmrecords.loads.ground import Ground, _from_track
from farmrecords.loads.models import LoadPart
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


def _divided_at(after_start_s: float) -> None:
    """Five minutes full, four of spreading, five empty (the example of `reconstruct`)."""
    falling = np.linspace(9000, 1000, 241)[1:-1]
    weight = np.concatenate([np.full(301, 9000.0), falling, np.full(300, 1000.0)])
    at = np.arange(840.0)
    found = reconstruct(log_of(at, weight, np.full(840, -89.5), 43 + at * 2e-5), 9000)
    one = found.proposals[0]
    part = found.part_at(one.start_s)
    assert part is not None
    divided(one, part, one.start_s + after_start_s)


def _lost() -> list[str]:
    """What is said of a kept file that is missing, and of one that was changed."""
    found = []
    kept = KeptFile(sha256="0" * 64, original_name="track.csv")
    with tempfile.TemporaryDirectory() as folder, override_settings(MEDIA_ROOT=folder):
        for data in (None, b"changed"):
            if data:
                path_of(kept.sha256).parent.mkdir(parents=True)
                path_of(kept.sha256).write_bytes(data)
            with pytest.raises(FileChanged) as trouble:
                read(kept)
            found.append(str(trouble.value))
    return found


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
    lambda: footprint([TrackPoint(0.0, 190.0, 43.0), TrackPoint(5.0, 190.0, 43.0)], 30),
    lambda: footprint([TrackPoint(0.0, -89.5, 43.0)], 30),
    lambda: footprint([TrackPoint(t, -89.5, 43 + t / 1e5, on=False) for t in (0.0, 5.0)], 30),
    lambda: footprint([TrackPoint(t, -89.5, 43 + t / 1e5) for t in (0.0, 5.0)], 900),
    lambda: area_ac(Polygon()),
    lambda: area_ac(Point(float("inf"), 0)),
    lambda: area_ac(Polygon([(190, 0), (191, 0), (191, 1)])),
    lambda: log_of([0.0, float("nan")], [1.0, 1.0], [0.0, 0.0], [0.0, 0.0]),
    lambda: log_of(*[np.zeros(2_000_001)] * 4),
    lambda: log_of([0.0, 401 * 86_400.0], [1.0, 1.0], [0.0, 0.0], [0.0, 0.0]),
    lambda: summed([], []),
    lambda: reconstruct(log_of(*[[0.0]] * 4), 0),
    lambda: _divided_at(-5.0),
    lambda: _divided_at(0.5),
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
    ground = Ground(LoadPart(), None, None)
    _from_track(ground, None, None)
    found += [ground.trouble, *_lost()]
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
