"""Damaged files of one kind, each read in a process of its own and measured.

python -m tests.formats.campaign KIND RUNS SEED prints one JSON value: how the files ended, which
broke their reader, the slowest one in seconds and the largest in MiB of memory in use. The process
of each file is bounded as the intake bounds it and forked, so that 10,000 files take minutes; what
it took over from this one counts as its own.
"""

import json
import os
import random
import resource
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from farmrecords.formats.common import FormatError
from farmrecords.intake import parse
from tests.formats.damage import damaged
from tests.formats.readers import ANSWERS, CONTEXT, READERS, WHOLE


@dataclass(frozen=True)
class Read:
    """How one file ended, in how many seconds, with how much memory in use."""

    outcome: str
    seconds: float
    mib: float


def direct(name: str) -> Callable[[bytes], str]:
    """A reader called as it is."""
    read = READERS[name][0]

    def outcome(data: bytes) -> str:
        try:
            found = read(data)
        except FormatError:
            return "refused"
        assert all(bad.reason for bad in found.rejected)
        assert found.items or found.rejected or found.needs
        return "read" if found.ready else "asked"

    return outcome


def whole(name: str) -> Callable[[bytes], str]:
    """A reader as the bounded process calls it, with its answer as JSON."""
    reader = WHOLE[name][0]

    def outcome(data: bytes) -> str:
        told = parse.told(reader, ANSWERS, CONTEXT, data)
        json.dumps(told, allow_nan=False)
        if failure := told.get("failure"):
            assert failure["reason"]
            return "refused"
        assert told["items"] or told["rejected"] or told["questions"]
        return "asked" if told["rejected"] or told["questions"] else "read"

    return outcome


def breaks(_data: bytes) -> str:
    """A reader that breaks, so that the campaign can be held to noticing it."""
    raise KeyError("nothing")


def slow(_data: bytes) -> str:
    """A reader that takes more than a second."""
    time.sleep(1.1)
    return "read"


def greedy(_data: bytes) -> str:
    """A reader that takes 200 MiB."""
    return "read" if len(b"x" * (200 * 1024 * 1024)) else ""


TRIALS = {"breaks": breaks, "slow": slow, "greedy": greedy}


def measured(outcome: Callable[[bytes], str], data: bytes) -> Read:
    """Read one file in a forked, bounded process; "broken" when that does not end well."""
    out, into = os.pipe()
    started = time.monotonic()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.close(out)
            parse.bound()
            resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
            os.write(into, outcome(data).encode())
            code = 0
        finally:
            os._exit(code)
    os.close(into)
    watch = signal.signal(signal.SIGALRM, lambda *_given: os.kill(child, signal.SIGKILL))
    signal.alarm(30)
    with os.fdopen(out, "rb") as told:
        words = told.read().decode()
    _pid, status, usage = os.wait4(child, 0)
    signal.alarm(0)
    signal.signal(signal.SIGALRM, watch)
    seconds = time.monotonic() - started
    return Read(words if status == 0 else "broken", seconds, usage.ru_maxrss / 1024)


def main(name: str, runs: int, seed: int) -> None:
    """Run the campaign of one kind and print what came of it."""
    if name in WHOLE:
        outcome, sample = whole(name), WHOLE[name][1]
    elif name in READERS:
        outcome, sample = direct(name), READERS[name][1]
    else:
        outcome, sample = TRIALS[name], READERS["geojson"][1]
    good = sample()
    chance = random.Random(f"{seed}-{name}")
    reads, broken = [], []
    if name in READERS:
        outcome(good)  # what the sample is built from must not be built in the bounded process
    first = measured(outcome, good)
    for number in range(runs):
        data = damaged(good, chance)
        reads.append(measured(outcome, data))
        if reads[-1].outcome == "broken":
            broken.append(f"file {number}: {data[:60]!r}")
    told = {
        "good": first.outcome,
        "kinds": Counter(read.outcome for read in reads),
        "broken": broken[:10],
        "slowest_s": round(max(read.seconds for read in reads), 3),
        "most_mib": round(max(read.mib for read in reads), 1),
    }
    sys.stdout.write(json.dumps(told))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
