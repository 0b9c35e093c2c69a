"""Reading a file in a process of its own, so that a bad file can harm nothing."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from farmrecords.formats.common import Choice, FormatError, Question, Rejected

WALL_SECONDS = 30
MOST_OUTPUT_BYTES = 200 * 1024 * 1024


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
    try:
        done = subprocess.run(
            [sys.executable, "-m", "farmrecords.intake.parse"],
            input=head + b"\n" + data,
            capture_output=True,
            timeout=WALL_SECONDS,
            cwd=settings.BASE_DIR,
            env=_environment(),
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise too_much() from None
    if done.returncode != 0 or len(done.stdout) > MOST_OUTPUT_BYTES:
        raise too_much()
    return _parsed(json.loads(done.stdout))


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
