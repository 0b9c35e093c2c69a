"""Bytes to text: the encodings farms really send, and what is no text at all."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import MAX_FILE_BYTES, FormatError
from farmrecords.formats.text import decode_text


@pytest.mark.parametrize(
    ("data", "encoding"),
    [
        ("Peña,5".encode(), "utf-8"),
        ("Peña,5".encode("utf-8-sig"), "utf-8"),
        ("Peña,5".encode("utf-16"), "utf-16"),
        (b"\xfe\xff" + "Peña,5".encode("utf-16-be"), "utf-16"),
        ("Peña,5".encode("cp1252"), "cp1252"),
    ],
)
def test_the_same_text_comes_out_of_each_encoding(data, encoding):
    text, found, notes = decode_text(data)
    assert (text, found) == ("Peña,5", encoding)
    assert bool(notes) == (encoding == "cp1252")


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"a\0b",
        "a,b".encode("utf-16-le"),
        "a".encode("utf-32"),
        b"\xff\xfea",
        b"\xff\xfe\x00\xd8",
        b"\xef\xbb\xbf\xff",
        b"caf\x81",
    ],
)
def test_what_is_no_text_is_refused(data):
    with pytest.raises(FormatError):
        decode_text(data)


def test_a_file_at_the_limit_is_read_and_one_byte_more_is_not():
    assert len(decode_text(b"a" * MAX_FILE_BYTES)[0]) == MAX_FILE_BYTES
    with pytest.raises(FormatError, match="at most"):
        decode_text(b"a" * (MAX_FILE_BYTES + 1))


@given(st.binary(max_size=300))
def test_any_bytes_give_text_or_our_own_error(data):
    try:
        text, _, _ = decode_text(data)
    except FormatError:
        return
    assert "\0" not in text
    assert text.encode("utf-8").decode("utf-8") == text
