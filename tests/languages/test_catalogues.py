"""The catalogues are whole: every text has its Spanish, every place to fill in stands in it."""

from __future__ import annotations

import re

import pytest

from farmrecords.findings.rule_words import general_texts, rule_texts
from farmrecords.management.po import quoted, read_po, write_po
from tests.languages.catalogues import PO_FILES, compiled, messages, places
from tests.languages.sources import other_names

BOTH = pytest.mark.parametrize("number", [0, 1], ids=["pages", "rules"])
MEND = "Run manage.py makemessages, fill in the Spanish, run manage.py compilemessages."


@BOTH
def test_the_compiled_catalogue_says_what_the_readable_one_says(number: int) -> None:
    mo = compiled(number)
    held = {key for key in mo._catalog if key}  # type: ignore[attr-defined]
    expected = set()
    for row in messages(number):
        key = f"{row.context}\x04{row.msgid}" if row.context else row.msgid
        if not row.is_translated:
            assert key not in held
            continue
        for form, text in enumerate(row.texts):
            expected.add((key, form) if row.plural else key)
            said = (
                mo.ngettext(row.msgid, row.plural, (1, 2)[form]) if row.plural else mo.gettext(key)
            )
            assert said == text, MEND
    assert held == expected, MEND


@BOTH
def test_nothing_is_left_half_translated(number: int) -> None:
    rows = messages(number)
    assert [row.msgid for row in rows if "fuzzy" in row.flags or row.obsolete] == []
    assert len({(row.context, row.msgid) for row in rows}) == len(rows)


@BOTH
def test_every_place_to_fill_in_stands_in_the_spanish(number: int) -> None:
    odd = [
        row.msgid
        for row in messages(number)
        if row.is_translated
        and any(places(text) != places(row.plural or row.msgid) for text in row.texts)
    ]
    assert odd == []


@BOTH
def test_the_header_names_no_machine_and_no_person(number: int) -> None:
    text = PO_FILES[number].read_text(encoding="utf-8")
    head = text[: text.index("\n\n")]
    assert "@" not in head
    assert "POT-Creation-Date: 2026-01-01 00:00+0000" in head
    assert "#: /" not in text
    assert "[memory]" in head


def test_every_text_of_the_pages_has_its_spanish() -> None:
    assert [row.msgid for row in messages(0) if not row.is_translated] == [], MEND


def test_every_text_of_the_rules_has_an_entry() -> None:
    held = {row.msgid for row in messages(1)}
    assert {*general_texts(), *rule_texts(None)} - held == set(), MEND


def test_the_federal_rules_and_those_of_vermont_iowa_and_maryland_have_their_spanish() -> None:
    said = {row.msgid for row in messages(1) if row.is_translated}
    assert {*general_texts(), *rule_texts()} - said == set(), MEND


def test_one_word_stands_for_one_thing() -> None:
    """Granja for operation and farm, normas locales for local codes, contorno for boundary."""
    legal = {  # classes as the laws name them
        "Feeding operations and their size",
        "F02 feeding operation",
        "a confinement feeding operation",
        "Pennsylvania: concentrated animal operation without the plan it must have",
    }
    rows = [row for number in (0, 1) for row in messages(number) if row.is_translated]
    for row in rows:
        said, english = " ".join(row.texts).lower(), row.msgid.lower()
        assert not re.search(r"\bfincas?\b|(códigos|reglamentos) locales|contra el viento", said)
        if re.search(r"\boperación\b|\boperaciones\b", said):
            assert row.msgid in legal
        if re.search(r"\bboundar(y|ies)\b", english):
            assert "contorno" in said
        if "waiver" in english:
            assert "dispensa" in said
            assert "renuncia" not in said
        if "local codes" in english:
            assert "normas locales" in said


def test_a_catalogue_reads_back_as_it_was_written(tmp_path) -> None:
    texts = {'a "quoted" word': 'una palabra "citada"', "two\nlines\\": "dos\nrenglones\\", "b": ""}
    write_po(tmp_path / "x" / "django.po", "Of the test.", "es", texts)
    rows = read_po(tmp_path / "x" / "django.po")
    assert rows[0].msgid == ""
    assert {row.msgid: row.texts[0] for row in rows[1:]} == texts
    assert quoted('"') == r'"\""'


def test_every_function_of_gettext_goes_by_a_name_that_texts_are_collected_by() -> None:
    assert other_names() == []
