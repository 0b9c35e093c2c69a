"""Numbers as typed: read exactly, asked about, or refused; never silently something else."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError, Unclear
from farmrecords.formats.numerals import parse_decimal, style_of

numbers = st.decimals(min_value=Decimal("-1e9"), max_value=Decimal("1e9"), places=3)


# The spellings of trust T25, and those of US and Spanish-language spreadsheets [common practice].
@pytest.mark.parametrize(
    ("text", "comma", "expected"),
    [
        ("4500", None, "4500"),
        ("4,500.5", None, "4500.5"),
        ("4.500,5", None, "4500.5"),
        ("12,5", None, "12.5"),
        ("12.5", None, "12.5"),
        ("1,234,567", None, "1234567"),
        ("1.234.567", None, "1234567"),
        ("0,125", None, "0.125"),
        ("0.125", None, "0.125"),
        (".5", None, "0.5"),
        ("5.", False, "5"),
        ("4,500", False, "4500"),
        ("4,500", True, "4.5"),
        ("4.500", True, "4500"),
        ("4.500", False, "4.5"),
        ("4 500", None, "4500"),
        ("4\u00a0500,25", None, "4500.25"),
        ("4\u202f500", None, "4500"),
        ("4'500.25", None, "4500.25"),
        ("\u22125", None, "-5"),
        ("+5", None, "5"),
        ("  5 ", None, "5"),
    ],
)
def test_a_plain_number_is_read_exactly(text, comma, expected):
    assert parse_decimal(text, comma) == Decimal(expected)


@pytest.mark.parametrize("text", ["4,500", "4.500", "999.999", "1,000"])
def test_one_mark_before_three_digits_is_asked_not_guessed(text):
    with pytest.raises(Unclear) as unclear:
        parse_decimal(text)
    assert unclear.value.question.key == "decimal_comma"
    assert {choice.value for choice in unclear.value.question.choices} == {"point", "comma"}


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "NaN", "nan", "Infinity", "-inf", "1e309", "1E+03", "4.5E+03", "0x10", "0b1",
        "٤٥٠٠", "४५", "½", "1/2", "1,23,456", "12,34.5", "1.2.3,4", "1,234,56", "--5", "5-", "(45)",
        "1_000", "#NUM!", "#N/A", "4500gal", "5..", "..", ",", ".", "-", "1" * 41, "4,500 .5",
        "1 2", "1,,2", "5\u0000",
    ],
)  # fmt: skip
def test_what_is_no_plain_number_is_refused_with_its_text(text):
    with pytest.raises(FormatError) as refused:
        parse_decimal(text)
    assert refused.value.reason
    assert refused.value.remedy or isinstance(refused.value, Unclear)


@given(numbers)
def test_a_number_written_the_english_way_reads_back(number):
    assert parse_decimal(f"{number:,}", False) == number


@given(numbers)
def test_a_number_written_the_spanish_way_reads_back(number):
    spanish = f"{number:,}".translate(str.maketrans(",.", ".,"))
    assert parse_decimal(spanish, True) == number


@given(numbers, st.booleans())
def test_a_style_that_is_certain_reads_the_number_it_was_written_from(number, comma):
    text = f"{number:,}"
    if comma:
        text = text.translate(str.maketrans(",.", ".,"))
    if style_of(text) is not None:
        assert parse_decimal(text) == number


@given(st.text(max_size=50), st.sampled_from([None, True, False]))
def test_any_text_gives_a_number_or_our_own_error(text, comma):
    try:
        number = parse_decimal(text, comma)
    except FormatError:
        return
    assert number.is_finite()
    assert any(c in "0123456789" for c in text)
