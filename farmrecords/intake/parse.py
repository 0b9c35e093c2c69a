"""The bounded process that reads a file: python -m farmrecords.intake.parse.

It knows no database and no settings. On its standard input stand one line of JSON (reader,
answers, context) and then the bytes of the file; on its standard output one JSON value: what the
reader found, or why the file cannot be read. Time and memory are bounded before anything is read.

Two measures, not to be mixed up. The goal for one file is 5 s and 256 MiB in use: it is measured
file by file over damaged files (tests/formats/campaign.py) and held there. The bounds here stop
what goes wrong in spite of it: 10 s of processor time, and so much memory beside what the libraries
take when they are loaded that about 512 MiB is the whole. The system can bound address space, which
a process reserves, not memory in use; the libraries alone reserve some 150 MiB on one machine and
several times that on another. So the bound is set after they are loaded, as what one file may add.
"""

from __future__ import annotations

import dataclasses
import importlib
import json
import resource
import sys
from typing import Any

CPU_SECONDS = 10
ONE_FILE_BYTES = 352 * 1024 * 1024
MOST_REJECTED = 500


def bound() -> None:
    """Bound this process: processor time, address space, no files written, no core dumped."""
    most = _address_space_bytes() + ONE_FILE_BYTES
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _address_space_bytes() -> int:
    """What this process has reserved so far; a generous guess where the system does not tell."""
    try:
        with open("/proc/self/statm", "rb") as figures:
            return int(figures.read().split()[0]) * resource.getpagesize()
    except OSError:
        return 1024 * 1024 * 1024


def told(reader: str, answers: dict[str, str], context: dict[str, Any], data: bytes) -> Any:
    """What the reader found, as plain values; a file that cannot be read is told as a failure."""
    from farmrecords.formats.common import FormatError
    from farmrecords.intake.readers import READERS

    try:
        found = READERS[reader](data, answers, context)
    except FormatError as error:
        return {"failure": {"reason": error.reason, "remedy": error.remedy}}
    except (MemoryError, RecursionError):
        return {"failure": {"reason": "too large", "remedy": ""}}
    rejected = [dataclasses.asdict(row) for row in found.rejected[:MOST_REJECTED]]
    return {
        "items": found.items,
        "rejected": rejected,
        "rejected_count": len(found.rejected),
        "warnings": found.warnings,
        "questions": [dataclasses.asdict(question) for question in found.needs],
    }


def main() -> None:
    """Read standard input, write standard output."""
    importlib.import_module("farmrecords.intake.readers")  # loaded before the bound is set
    bound()
    head = json.loads(sys.stdin.buffer.readline())
    answer = told(head["reader"], head["answers"], head["context"], sys.stdin.buffer.read())
    sys.stdout.buffer.write(json.dumps(answer, allow_nan=False).encode())


if __name__ == "__main__":
    main()
