"""Reading a file in a process of its own, so that a bad file can harm nothing."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from farmrecords.formats.common import Choice, FormatError, Question, Rejected

WALL_SECONDS = 30
# The largest log (500,000 points with their weights) comes back as some 30 MiB.
MOST_OUTPUT_BYTES = 100 * 1024 * 1024


@dataclass(frozen=True)
class Parsed:
    """What the bounded process found in a file."""

    items: list[dict[str, Any]]
    rejected: list[Rejected]
    rejected_count: int
    warnings: list[str]
    questions: list[Question]


def parse(reader: str, data: bytes, answers: dict[str, str], context: dict[str, Any]) -> Parsed:
    """Read the bytes with the named reader; raises FormatError in plain words."""
    head = json.dumps({"reader": reader, "answers": answers, "context": context}).encode()
    told = _told_by_process([sys.executable, "-m", "farmrecords.intake.parse"], head, data)
    return _parsed(json.loads(told))


def _told_by_process(command: list[str], head: bytes, data: bytes) -> bytes:
    """What the process writes when it is given the file; it is stopped at its bounds."""
    process = subprocess.Popen(
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=settings.BASE_DIR,
        env=_environment(),
    )
    feeding = threading.Thread(target=_feed, args=(process, head, data), daemon=True)
    watch = threading.Timer(WALL_SECONDS, process.kill)
    feeding.start()
    watch.start()
    try:
        told = _read_bounded(process)
    finally:
        watch.cancel()
        process.kill()
        process.wait()
        feeding.join()
    return told


def _feed(process: subprocess.Popen[bytes], head: bytes, data: bytes) -> None:
    """Hand the file to the process; one that ended early just takes no more."""
    assert process.stdin is not None  # asked for as a pipe
    try:
        with process.stdin as into:
            into.write(head + b"\n")
            into.write(data)
    except OSError:
        return


def _read_bounded(process: subprocess.Popen[bytes]) -> bytes:
    """All the process writes, never more than the bound; refused unless it ends well."""
    assert process.stdout is not None  # asked for as a pipe
    parts: list[bytes] = []
    size = 0
    with process.stdout as out:
        while part := out.read(65_536):
            size += len(part)
            if size > MOST_OUTPUT_BYTES:
                raise too_much()
            parts.append(part)
    if process.wait() != 0:
        raise too_much()
    return b"".join(parts)


def too_much() -> FormatError:
    """The refusal of a file that took too long, too much memory, or broke its reader."""
    return FormatError(
        _("The file could not be read within the time and memory allowed."),
        _("Check that it is the right file, and split it if it is large; nothing was kept of it."),
    )


def _environment() -> dict[str, str]:
    """Only what Python needs; no setting or secret of the server reaches the process."""
    kept = {name: os.environ[name] for name in ("PATH", "LANG", "LC_ALL") if name in os.environ}
    return kept | {
        "PYTHONPATH": str(settings.BASE_DIR),
        "PYTHONDONTWRITEBYTECODE": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "OMP_NUM_THREADS": "1",
    }


def _parsed(told: dict[str, Any]) -> Parsed:
    if failure := told.get("failure"):
        if failure["reason"] == "too large":
            raise too_much()
        raise FormatError(failure["reason"], failure["remedy"])
    return Parsed(
        items=told["items"],
        rejected=[Rejected(**row) for row in told["rejected"]],
        rejected_count=told["rejected_count"],
        warnings=list(told["warnings"]),
        questions=[question_of(row) for row in told["questions"]],
    )


def question_of(told: dict[str, Any]) -> Question:
    """A question from its plain values."""
    choices = tuple(Choice(row["value"], row["label"]) for row in told["choices"])
    return Question(told["key"], told["asked"], choices, tuple(told["examples"]), told["suggested"])
