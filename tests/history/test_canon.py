"""Canonical JSON: the subset the log uses, and what it refuses."""

import json
import os
import random
import struct
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.history import canon, verifier

ASCII = st.text(st.characters(max_codepoint=126), max_size=8)
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
WHOLE = st.integers(-(2**53) + 1, 2**53 - 1)
DOCUMENTS = st.recursive(
    st.none() | st.booleans() | WHOLE | TEXT,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(ASCII, inner, max_size=4),
    max_leaves=12,
)


@given(DOCUMENTS)
def test_two_independent_writers_agree(document):
    assert canon.canonical(document).decode() == verifier.canonical(document)


# Two writers compared on 100,000 generated documents.
FULL = 100_000
RUNS = FULL if os.environ.get("FARMRECORDS_FULL") else FULL // 20


def drawn(draw, depth=3):
    """A document drawn at random: every kind of value, awkward characters among them."""
    letters = 'aZ~\x00\x1f\x7f"\\/\n\té\u2028\ufb33\U0001f602'
    kind = draw.randrange(7 if depth else 5)
    if kind < 3:
        return draw.choice([None, True, False, draw.randrange(-(2**53) + 1, 2**53)])
    if kind < 5:
        return "".join(draw.choices(letters, k=draw.randrange(8)))
    if kind == 5:
        return [drawn(draw, depth - 1) for _one in range(draw.randrange(5))]
    names = ("".join(draw.choices('abZ\n"\x7f', k=3)) for _one in range(draw.randrange(5)))
    return {name: drawn(draw, depth - 1) for name in names}


def test_two_independent_writers_agree_on_a_counted_run():
    seed = random.SystemRandom().randrange(2**32)
    print(f"seed {seed}, {RUNS} documents")  # noqa: T201
    draw = random.Random(seed)
    for run in range(RUNS):
        document = drawn(draw)
        assert canon.canonical(document).decode() == verifier.canonical(document), run


@given(DOCUMENTS)
def test_reading_and_writing_again_changes_nothing(document):
    once = canon.canonical(document)
    assert canon.canonical(canon.parse(once)) == once


def test_names_beyond_ascii_are_refused_in_the_log():
    with pytest.raises(canon.NotCanonical, match="ASCII"):
        canon.canonical({"größe": "1"})


def test_names_beyond_the_basic_plane_sort_by_their_utf16_units():
    # RFC 8785 section 3.2.3: the astral name (units D83D DE02) stands before U+FB33.
    # The standard library sorts by code point and puts it after.
    document = {"\U0001f602": 1, "\ufb33": 2}
    assert canon.json_text(document) == '{"\U0001f602":1,"\ufb33":2}'
    assert verifier.canonical(document) != canon.json_text(document)
    with pytest.raises(canon.NotCanonical, match="ASCII"):
        canon.canonical(document)
    with pytest.raises(ValueError, match="canonical"):
        verifier.parse(verifier.canonical(document))


@pytest.mark.parametrize(("number", "fits"), [(2**53 - 1, True), (2**53, False), (-(2**53), False)])
def test_whole_numbers_end_below_two_to_the_53rd(number, fits):
    if fits:
        assert canon.canonical(number) == str(number).encode()
        assert verifier.parse(str(number)) == number
        return
    with pytest.raises(canon.NotCanonical, match="too large"):
        canon.canonical(number)
    with pytest.raises(ValueError, match="below"):
        verifier.parse(str(number))


@pytest.mark.parametrize("value", [1.5, float("nan"), b"x", {1: "x"}, {"a": object()}])
def test_what_is_no_text_or_whole_number_is_refused(value):
    with pytest.raises(canon.NotCanonical):
        canon.canonical(value)


def test_half_a_character_is_refused():
    with pytest.raises(canon.NotCanonical, match="half a character"):
        canon.canonical("\ud800")


@pytest.mark.parametrize("text", ['{"a":1,"a":1}', '{"a":1.0}', '{"a":NaN}'])
def test_a_name_twice_and_numbers_not_whole_are_refused_on_reading(text):
    with pytest.raises(canon.NotCanonical):
        canon.parse(text)
    with pytest.raises(ValueError, match=r"canonical|whole"):
        verifier.parse(text)


# Appendix B of RFC 8785, from memory: the bits of a double and its text.
@pytest.mark.parametrize(
    ("bits", "text"),
    [
        ("0000000000000000", "0"),
        ("8000000000000000", "0"),
        ("0000000000000001", "5e-324"),
        ("7fefffffffffffff", "1.7976931348623157e+308"),
        ("4340000000000000", "9007199254740992"),
        ("444b1ae4d6e2ef4e", "999999999999999700000"),
        ("444b1ae4d6e2ef50", "1e+21"),
        ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
        ("3eb0c6f7a0b5ed8d", "0.000001"),
        ("41b3de4355555555", "333333333.3333333"),
        ("becbf647612f3696", "-0.0000033333333333333333"),
    ],
)
def test_floats_as_ecmascript_writes_them(bits, text):
    assert canon.float_text(struct.unpack(">d", bytes.fromhex(bits))[0]) == text


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_the_text_of_a_float_reads_back_as_the_same_float(value):
    assert float(canon.float_text(value)) == value


@given(st.dictionaries(TEXT, st.floats(allow_nan=False, allow_infinity=False), max_size=4))
def test_json_columns_read_back_equal_and_are_written_alike(value):
    text = canon.json_text(value)
    assert canon.json_value(text) == value
    assert canon.json_text(json.loads(text)) == text


def test_moments_are_written_in_utc_with_six_digits():
    noon = datetime(2026, 4, 14, 13, 2, tzinfo=timezone(timedelta(hours=-5)))
    assert canon.moment_text(noon) == "2026-04-14T18:02:00.000000Z"
    assert canon.moment_of("2026-04-14T18:02:00.000001Z") == datetime(
        2026, 4, 14, 18, 2, 0, 1, tzinfo=UTC
    )


def test_text_is_composed_also_inside_lists():
    assert canon.nfc(["Pen\u0303a", {"a": "e\u0301"}]) == ["Peña", {"a": "é"}]
