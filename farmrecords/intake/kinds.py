"""The kinds of files that may come in; each room registers those it can take over.

A kind names the reader of the bounded process, summarises what its items would do here (a dry run
that writes nothing), and writes them inside a change under way.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from farmrecords.formats.common import Question, Rejected

if TYPE_CHECKING:
    from farmrecords.history.write import Change
    from farmrecords.intake.models import IncomingFile
    from farmrecords.people.access import Seat


@dataclass
class Summary:
    """What taking a file over would do.

    `figures` are pairs of words and numbers shown on top; `lines` say row by row what would be
    recorded; `payload` is what `write` needs. `new` counts what would change: with 0 the file
    brings nothing new. `waiting` counts what a person has not decided yet: nothing is taken over
    before. `details` are plain values for the kind's own page.
    """

    new: int = 0
    figures: list[tuple[str, int]] = field(default_factory=list)
    lines: list[tuple[int, str]] = field(default_factory=list)
    rejected: list[Rejected] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    payload: Any = None
    waiting: int = 0
    details: dict[str, Any] = field(default_factory=dict)


@dataclass
class Written:
    """What was taken over, as (record, revision), and columns to set back when it is undone."""

    created: list[Any] = field(default_factory=list)
    restored: list[Any] = field(default_factory=list)
    amended: list[tuple[Any, dict[str, Any]]] = field(default_factory=list)
    messages: list[str] = field(default_factory=list)


Summarise = Callable[["Seat", list[dict[str, Any]], dict[str, str]], Summary]
Write = Callable[["Seat", "Change", "IncomingFile", Summary], Written]
Context = Callable[["Seat"], dict[str, Any]]


@dataclass(frozen=True)
class Kind:
    """One kind of file."""

    name: str
    title: Any
    reader: str
    summarise: Summarise
    write: Write
    endings: tuple[str, ...] = ()
    help: Any = ""
    context: Context | None = None
    refuse_undo: Callable[[Seat, list[Any]], str] | None = None
    after: Callable[[list[Any]], None] | None = None
    set_back: Callable[[Any, dict[str, Any]], dict[str, Any]] | None = None
    page: str = ""
    apart: tuple[str, ...] = ()


_kinds: dict[str, Kind] = {}


def register_kind(name: str, title: Any, read: str, summarise: Summarise, write: Write,
                  **more: Any) -> None:  # fmt: skip
    """Register a kind of file; `read` names a reader of the bounded process.

    More: `endings` of file names, `help` in words, `context` handed to the reader, `refuse_undo`
    (words why records may not be voided, or ""), `after` (called with records after an undo),
    `page` (the name of the address of a page of its own, where a person decides row by row),
    `apart` (how answers begin that the reader need not know, so that it need not read again),
    `set_back` (from a record and what `Written.amended` kept of it to what an amendment takes).
    """
    _kinds[name] = Kind(name, title, read, summarise, write, **more)


def kinds() -> list[Kind]:
    """Every kind, in the order of registration."""
    return list(_kinds.values())


def kind_named(name: str) -> Kind | None:
    """The kind with this name, if any."""
    return _kinds.get(name)
