"""Where rooms take part in a change: before a row is written, and when everything is written."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from farmrecords.history.models import Entry
from farmrecords.history.recorded import Recorded


@dataclass(frozen=True)
class Written:
    """What one entry changed; `obj` is None for an event that changes no record."""

    obj: Recorded | None
    entry: Entry


@dataclass(frozen=True)
class Ready:
    """A row about to be written, which a room may look at, change or refuse.

    `change` is the change under way; `stored` is the row as it stands, None for a new record.
    """

    change: Any
    row: Any
    stored: Any
    reason_code: str


_before: list[Callable[[Ready], None]] = []
_after: list[Callable[[list[Written]], None]] = []


def before_writing(func: Callable[[Ready], None]) -> Callable[[Ready], None]:
    """Show `func` each row before it is written, under the lock of its log.

    It may change the row, put records into `ready.change.following`, or raise to refuse.
    """
    if func not in _before:
        _before.append(func)
    return func


def on_written(func: Callable[[list[Written]], None]) -> Callable[[list[Written]], None]:
    """Call `func` with everything a change wrote, at its end and inside its transaction."""
    if func not in _after:
        _after.append(func)
    return func


def ask(ready: Ready) -> None:
    """Show a row to every room that asked to see it."""
    for func in _before:
        func(ready)


def tell(written: list[Written]) -> None:
    """Tell every room that asked what was written, if anything was."""
    if written:
        for func in _after:
            func(written)
