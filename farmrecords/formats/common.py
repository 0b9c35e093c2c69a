"""What every reader of a file hands back: items, rejected rows, warnings and questions.

A reader never guesses and never half-reads. It returns a `ReadResult`; only when nothing was
rejected and no question is open (`ready`) may the caller store anything, and then everything.
A file that cannot be read at all raises `FormatError`, which says what to do in plain words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

T = TypeVar("T")

# Limits on one upload. Source: the project's reference on data formats, section 2.6, and on
# trust, T20 and T24 (both mark them as the project's own targets, not as outside numbers).
MAX_FILE_BYTES = 20 * 1024 * 1024
MAX_ZIP_MEMBERS = 200
MAX_INFLATED_BYTES = 100 * 1024 * 1024
MAX_ZIP_RATIO = 100
MAX_FEATURES = 2_000
MAX_VERTICES = 200_000
MAX_VERTICES_PER_GEOMETRY = 20_000
MAX_TRACK_POINTS = 500_000
# Common practice: a spreadsheet of one large farm's year has some 10,000 rows.
MAX_ROWS = 50_000
MAX_COLUMNS = 200
MAX_CELLS = 1_500_000
MAX_CELL_CHARACTERS = 2_000
MAX_JSON_DEPTH = 40
SHOWN_CHARACTERS = 80


class FormatError(ValueError):
    """The file, or one value in it, cannot be read; `remedy` says what to do about it."""

    def __init__(self, reason: str, remedy: str = "") -> None:
        self.reason = reason
        self.remedy = remedy
        super().__init__(f"{reason} {remedy}".strip())


@dataclass(frozen=True, slots=True)
class Choice:
    """One possible answer to a question: the value to hand back and the words to show."""

    value: str
    label: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something the file does not say; the answer goes back under `key`.

    `suggested` is the value of the likelier choice, to be shown first, never taken unasked.
    An empty `choices` asks for free text.
    """

    key: str
    asked: str
    choices: tuple[Choice, ...] = ()
    examples: tuple[str, ...] = ()
    suggested: str = ""


class Unclear(FormatError):
    """A value that can be read in more than one way; carries the question to ask."""

    def __init__(self, question: Question) -> None:
        self.question = question
        super().__init__(question.asked)


@dataclass(frozen=True, slots=True)
class Rejected:
    """One value that was refused: where it stands, what it said, why, and what to do."""

    row: int | None
    column: str
    value: str
    reason: str
    remedy: str

    def __str__(self) -> str:
        where = "The file" if self.row is None else f"Row {self.row}"
        column = f", column “{self.column}”" if self.column else ""
        value = f", “{self.value}”" if self.value else ""
        return f"{where}{column}{value}: {self.reason} {self.remedy}".strip()


@dataclass(frozen=True)
class ReadResult(Generic[T]):
    """Everything a reader found out about a file. `rejected` or `needs` mean: store nothing."""

    items: list[T] = field(default_factory=list)
    rejected: list[Rejected] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    needs: list[Question] = field(default_factory=list)

    @property
    def ready(self) -> bool:
        """True when the whole file may be taken over: nothing refused, nothing left to ask."""
        return bool(self.items) and not self.rejected and not self.needs


Answers = Mapping[str, str]


def shown(value: object) -> str:
    """A value as it may stand in a message: one line, bounded, control characters visible."""
    text = str(value)
    cut = text[: SHOWN_CHARACTERS + 1]
    clean = "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in cut)
    return clean if len(text) <= SHOWN_CHARACTERS else clean[:SHOWN_CHARACTERS] + "…"


def refuse_large(data: bytes) -> None:
    """Raise `FormatError` when a file is empty or above `MAX_FILE_BYTES`."""
    if not data:
        raise FormatError("The file is empty.", "Choose the file again; nothing was in it.")
    if len(data) > MAX_FILE_BYTES:
        raise FormatError(
            f"The file has {len(data):,} bytes; at most {MAX_FILE_BYTES:,} are read.",
            "Split it, for example by year, and load the parts one after another.",
        )
