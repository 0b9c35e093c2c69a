"""The process that reads files: bounded in time, memory and what it hands back."""

import subprocess
import sys
import time

import pytest
from django.conf import settings

from farmrecords.formats.common import FormatError
from farmrecords.intake import bounded, parse

BOUND = "from farmrecords.intake import parse; parse.bound()\n"


def run(code):
    return subprocess.run(
        [sys.executable, "-c", BOUND + code], cwd=settings.BASE_DIR, check=False,
        capture_output=True, text=True,
    )  # fmt: skip


def told_by(code, data=b""):
    return bounded._told_by_process([sys.executable, "-c", code], b"{}", data)


@pytest.mark.parametrize(("more_mib", "ends"), [(-40, 0), (8, 1)])
def test_one_file_may_add_so_much_memory_and_no_more(more_mib, ends):
    size = parse.ONE_FILE_BYTES + more_mib * 1024 * 1024
    assert run(f"b'x' * {size}").returncode == ends


def test_what_the_libraries_take_when_loaded_does_not_count():
    more = parse.ONE_FILE_BYTES - 60 * 1024 * 1024
    code = (
        "from farmrecords.intake import parse, readers\nparse.bound()\n"
        f"whole = b'x' * {more}\nassert readers.READERS"
    )
    assert subprocess.run(
        [sys.executable, "-c", code], cwd=settings.BASE_DIR, check=False
    ).returncode == 0  # fmt: skip


def test_a_process_that_writes_without_end_is_stopped(monkeypatch):
    monkeypatch.setattr(bounded, "MOST_OUTPUT_BYTES", 1_000_000)
    started = time.monotonic()
    with pytest.raises(FormatError, match="time and memory"):
        told_by("import sys\nwhile True: sys.stdout.write('x' * 65536)")
    assert time.monotonic() - started < 20


def test_an_answer_of_just_the_bound_is_taken(monkeypatch):
    monkeypatch.setattr(bounded, "MOST_OUTPUT_BYTES", 1_000)
    assert len(told_by("print('x' * 1000, end='')")) == 1_000
    with pytest.raises(FormatError, match="time and memory"):
        told_by("print('x' * 1001, end='')")


def test_a_process_that_does_not_answer_is_stopped(monkeypatch):
    monkeypatch.setattr(bounded, "WALL_SECONDS", 1)
    with pytest.raises(FormatError, match="time and memory"):
        told_by("import time; time.sleep(60)")


@pytest.mark.parametrize("code", ["raise SystemExit(1)", "import os; os.kill(os.getpid(), 9)"])
def test_a_process_that_ends_badly_is_one_plain_refusal(code):
    with pytest.raises(FormatError, match="time and memory"):
        told_by("print('{}')\n" + code, data=b"x" * 5_000_000)


def test_a_process_that_takes_no_input_may_still_answer():
    assert told_by("print('{}', end='')", data=b"x" * 5_000_000) == b"{}"


def test_the_whole_of_a_large_input_reaches_the_process():
    code = "import sys; print(len(sys.stdin.buffer.read()), end='')"
    assert told_by(code, data=b"x" * 5_000_000) == b"5000003"
