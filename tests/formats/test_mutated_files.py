"""Damaged files: whatever the bytes, a reader returns a result or raises our own error in time.

The whole campaign of 10,000 files runs with FARMRECORDS_FULL=1; an ordinary run
takes a twentieth. The seed is printed, and FARMRECORDS_SEED repeats a run.
"""

import os
import random
import re
import time
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError, ReadResult
from tests.formats.readers import READERS

FULL = 10_000
RUNS = FULL if os.environ.get("FARMRECORDS_FULL") == "1" else FULL // 20
SEED = int(os.environ.get("FARMRECORDS_SEED", "20250403"))
# The project's own goal for one damaged upload, in seconds.
MOST_SECONDS = 5.0
SPICES = [
    b"NaN", b"1e309", b"-", b"0x10", b'"', b"'", b"<", b">", b"&a;", b"\0", b"\xff\xfe",
    b"\xef\xbb\xbf", b"\xed\xa0\x80", b"\r", b"\n", b",,,,", b";", b"{", b"[", b"]", b"}", b"null",
    b"99999999999",
    b"2025-02-30", b"24:00", b"=1+1", "٤٥".encode(), b"<!DOCTYPE x>", b"PK\x03\x04", b" " * 5_000,
]  # fmt: skip


NUMBERS = [
    b"0",
    b"-1",
    b"95",
    b"181",
    b"-89.5",
    b"43",
    b"1e9",
    b"2147483648",
    b"1990",
    b"24",
    b"60",
]


def damaged(data, chance):
    """A copy of a file, damaged roughly or only in its numbers."""
    changed = data
    while changed == data:
        rough = chance.random() < 0.6
        changed = roughly(data, chance) if rough else numbers_changed(data, chance)
    return changed


def numbers_changed(data, chance):
    """The file with one to five of its numbers replaced, so that its structure still stands."""
    found = list(re.finditer(rb"[0-9]+(?:[.][0-9]+)?", data))
    for number in sorted(chance.sample(found, min(len(found), chance.randint(1, 5))), key=ends)[
        ::-1
    ]:
        data = data[: number.start()] + chance.choice(NUMBERS) + data[number.end() :]
    return data


def ends(found):
    return found.end()


def roughly(data, chance):
    """The file with one to eight bytes, pieces or lengths changed."""
    changed = bytearray(data)
    for _ in range(chance.randint(1, 8)):
        at = chance.randrange(len(changed) + 1)
        match chance.randrange(6):
            case 0 if changed:
                changed[min(at, len(changed) - 1)] = chance.randrange(256)
            case 1:
                changed[at:at] = chance.choice(SPICES)
            case 2:
                del changed[at : at + chance.randint(1, 40)]
            case 3:
                changed[at:at] = changed[at : at + chance.randint(1, 200)] * chance.randint(1, 5)
            case 4:
                changed = changed[:at] if chance.random() < 0.2 else changed
            case _:
                end = at + chance.randint(1, 8)
                changed[at:end] = chance.randbytes(len(changed[at:end]))
    return bytes(changed)


def outcome(read, data):
    """“read”, “refused” or “asked”; anything but our own error is a failure of the test."""
    started = time.perf_counter()
    try:
        result = read(data)
    except FormatError:
        kind = "refused"
    else:
        assert isinstance(result, ReadResult)
        assert all(bad.reason for bad in result.rejected)
        assert result.items or result.rejected or result.needs
        kind = "read" if result.ready else "asked"
    assert time.perf_counter() - started <= MOST_SECONDS
    return kind


@pytest.mark.parametrize("name", sorted(READERS))
def test_damaged_files_are_read_or_refused_in_time(name):
    read, sample = READERS[name]
    data = sample()
    assert outcome(read, data) == "read"
    chance = random.Random(f"{SEED}-{name}")
    runs = RUNS // len(READERS)
    files = [damaged(data, chance) for _ in range(runs)]
    kinds = Counter(outcome(read, file) for file in files)
    print(f"{name}: {runs} damaged files, seed {SEED}: {dict(kinds)}")  # noqa: T201
    assert kinds.total() == runs
    assert data not in files


@pytest.mark.parametrize("name", sorted(READERS))
@given(data=st.binary(max_size=400))
def test_random_bytes_are_refused_with_our_own_error(name, data):
    assert outcome(READERS[name][0], data) in ("refused", "asked", "read")
