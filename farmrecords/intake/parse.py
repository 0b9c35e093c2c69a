"""The bounded process that reads a file: python -m farmrecords.intake.parse.

It knows no database and no settings. On its standard input stand one line of JSON (reader,
answers, context) and then the bytes of the file; on its standard output one JSON value: what the
reader found, or why the file cannot be read. Time and memory are bounded before anything is read.
"""

from __future__ import annotations

import dataclasses
import json
import resource
import sys
from typing import Any

CPU_SECONDS = 10
# Address space, not memory in use: the numeric libraries reserve several hundred MiB of it.
ADDRESS_SPACE_BYTES = 1536 * 1024 * 1024
MOST_REJECTED = 500


def bound() -> None:
    """Bound this process: processor time, address space, no files written, no core dumped."""
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESS_SPACE_BYTES, ADDRESS_SPACE_BYTES))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


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
    bound()
    head = json.loads(sys.stdin.buffer.readline())
    answer = told(head["reader"], head["answers"], head["context"], sys.stdin.buffer.read())
    sys.stdout.buffer.write(json.dumps(answer, allow_nan=False).encode())


if __name__ == "__main__":
    main()
