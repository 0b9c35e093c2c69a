"""Damaged files: whatever the bytes, a reader returns a result or raises our own error in bounds.

Each file is read in a process of its own under the bounds of the intake; its time and its memory
are measured. The whole campaign of 10,000 files runs with FARMRECORDS_FULL=1; an ordinary run
takes a twentieth. The seed is printed, and FARMRECORDS_SEED repeats a run. What damaged files do on
their whole way through the intake is asked in tests/intake/test_damaged_files.py.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError, ReadResult
from tests.formats.readers import READERS, WHOLE

FULL = 10_000
RUNS = FULL if os.environ.get("FARMRECORDS_FULL") == "1" else FULL // 20
SEED = int(os.environ.get("FARMRECORDS_SEED", "20250403"))
# The project's own goal for one damaged upload.
MOST_SECONDS = 5.0
MOST_MIB = 256
KINDS = sorted({*READERS, *WHOLE})
ROOT = Path(__file__).parents[2]


def campaign(name, runs):
    done = subprocess.run(
        [sys.executable, "-m", "tests.formats.campaign", name, str(runs), str(SEED)],
        cwd=ROOT, capture_output=True, text=True, check=False,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout)


@pytest.mark.parametrize("name", KINDS)
def test_damaged_files_are_read_or_refused_in_time_and_memory(name):
    runs = -(-RUNS // len(KINDS))
    told = campaign(name, runs)
    print(f"{name}: {runs} damaged files, seed {SEED}: {told}")  # noqa: T201
    assert told["good"] == "read"
    assert told["broken"] == []
    assert sum(told["kinds"].values()) == runs
    assert told["slowest_s"] <= MOST_SECONDS
    assert told["most_mib"] <= MOST_MIB


def test_every_reader_of_the_intake_takes_part():
    from farmrecords.intake.readers import READERS as INTAKE

    assert {reader for reader, _sample in WHOLE.values()} == set(INTAKE)


def test_the_campaign_notices_a_reader_that_breaks_takes_too_long_or_too_much():
    broken, slow, greedy = (campaign(name, 2) for name in ("breaks", "slow", "greedy"))
    assert len(broken["broken"]) == 2
    assert slow["slowest_s"] > 1
    assert greedy["most_mib"] > 200


def outcome(read, data):
    try:
        result = read(data)
    except FormatError:
        return "refused"
    assert isinstance(result, ReadResult)
    return "read" if result.ready else "asked"


@pytest.mark.parametrize("name", sorted(READERS))
@given(data=st.binary(max_size=400))
def test_random_bytes_are_refused_with_our_own_error(name, data):
    assert outcome(READERS[name][0], data) in ("refused", "asked", "read")
