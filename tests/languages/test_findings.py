"""Findings in words: English as the rules say it, Spanish without a word left over."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

import pytest
from django.utils import translation

from farmrecords.findings import words
from farmrecords.findings.rule_words import TRANSLATED
from farmrecords.rules.checks.limit import TEMPLATES as LIMIT_WORDS
from farmrecords.rules.facts import UNKNOWN
from farmrecords.rules.findings import Comparison, Finding
from tests.rules.written import cases, rulebook

# The wording of a limit that is passed.
PAST = LIMIT_WORDS["beyond"]


@pytest.fixture(scope="module")
def findings() -> list[Finding]:
    """The findings of every written situation."""
    return list(_found())


def _found() -> Iterator[Finding]:
    for case in cases():
        yield from case.found(rulebook())


def test_in_english_a_finding_says_what_the_rules_say(findings: list[Finding]) -> None:
    assert len(findings) > 300
    with translation.override("en"):
        for finding in findings:
            assert words.said(finding) == finding.sentence
            assert words.title_of(finding) == finding.title
            assert words.compared_words(finding) == [row.text() for row in finding.compared]


def test_in_spanish_each_sentence_is_spanish_and_filled_in(findings: list[Finding]) -> None:
    with translation.override("es"):
        for finding in findings:
            said = words.said(finding)
            assert said != finding.sentence
            assert "{" not in said
            if finding.jurisdiction in TRANSLATED:
                assert words.title_of(finding) != finding.title
            for name in finding.missing:
                assert words.fact_meaning(name) in said or "missing" not in finding.template


def test_numbers_of_a_finding_are_the_same_in_both_languages(findings: list[Finding]) -> None:
    with translation.override("es"):
        for finding in findings:
            for row, said in zip(finding.compared, words.compared_words(finding), strict=True):
                numbers = [v for v in (row.actual, row.limit) if isinstance(v, Decimal)]
                assert [v for v in numbers if words.value_words(v) not in said] == []


def test_a_count_of_one_has_its_unit_in_the_singular(findings: list[Finding]) -> None:
    missed = next(one for one in findings if one.params.get("unit") == "weeks" and not one.missing)
    one_week = replace(missed, params={**missed.params, "actual": Decimal(1)})
    assert "1 week is past" in replace(one_week, template=PAST).sentence
    with translation.override("es"):
        said = words.said(replace(one_week, template=PAST))
        assert "1 semana " in said
        assert "1 semanas" not in said


def test_a_limit_that_nobody_knows_has_neither_side_nor_unit() -> None:
    row = Comparison("total design volume", Decimal(9), "at_least", UNKNOWN, "gal")
    assert row.text() == "total design volume: 9 gal; asked: not known"
    with translation.override("en"):
        assert words._comparison(row) == row.text()


def test_a_comparison_is_said_with_its_unit_and_side() -> None:
    row = Comparison("snow where the manure went", Decimal("2.50"), "more_than", Decimal(0), "in")
    day = Comparison("day of the transfer", dt.date(2026, 4, 22), "on or before", None)
    with translation.override("es"):
        assert words._comparison(row) == (
            "nieve donde cayó el estiércol: 2.5 pulgadas; se pide: más de 0 pulgadas"
        )
        assert words._comparison(day) == "día de la entrega: 2026-04-22"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("Mill Brook (perennial stream)", "Mill Brook (arroyo permanente)"),
        ("a lake", "lo más cercano del tipo “lago”"),
        ("an abandoned well", "lo más cercano del tipo “pozo abandonado”"),
        ("Lake (the big one)", "Lake (the big one)"),
    ],
)
def test_a_feature_keeps_its_name_and_has_its_kind_translated(given: str, said: str) -> None:
    with translation.override("es"):
        assert words._feature(given) == said
    with translation.override("en"):
        assert words._feature(given) == given


def test_ways_that_a_rule_offers_are_each_translated() -> None:
    with translation.override("es"):
        said = words._parameter("ways", "injection or incorporation within 48 hours")
        assert said == "inyección o incorporación dentro de 48 horas"
        assert words.value_words(True) == "sí"
        assert words.value_words(()) == "ninguno"


def test_a_count_before_a_note_is_no_part_of_its_key() -> None:
    note = "12 load(s) lack a figure: that nutrient cannot be told."
    with translation.override("es"):
        assert words.worksheet_text(note).startswith("A 12 carga(s)")
    with translation.override("en"):
        assert words.worksheet_text(note) == note


def test_drawings_speak_the_language_of_the_page() -> None:
    with translation.override("es"):
        spanish = words.drawing_words()
    with translation.override("en"):
        english = words.drawing_words()
    assert (spanish.months[0], english.months[0]) == ("Ene", "Jan")
    assert (spanish.today, english.today) == ("hoy", "today")
    assert spanish.north == english.north == "N"
    assert spanish.band_scale.format(amount="8,000", unit="gal") == "arriba: 8,000 gal en un día"
