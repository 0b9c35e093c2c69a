"""Writing: the only way a record, and the log under it, may change.

    with write.change(by=write.Actor(person.id, "office"), channel="web") as change:
        change.create(load, parts={"parts": [part], "draws": [draw]})
        change.amend(load, base_rev=3, values={"method": "injected"}, reason_code="entry_error")

Entries, bodies, head of the log and rows stand or fall together in one transaction.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from farmrecords.history.models import Entry, Log
from farmrecords.history.recorded import Recorded

Parts = dict[str, list[Any]]


@dataclass(frozen=True)
class Actor:
    """Who does it, and in which role."""

    id: UUID
    role: str


SYSTEM = Actor(UUID("00000000-0000-4000-8000-000000000000"), "system")


class Change:
    """One change under way; see `change`."""

    def create(
        self,
        obj: Recorded,
        parts: Parts | None = None,
        *,
        reason_code: str = "entry",
        reason_text: str = "",
        act: str | None = None,
    ) -> Entry:
        raise NotImplementedError

    def create_many(
        self,
        rows: Iterable[tuple[Recorded, Parts | None]],
        *,
        reason_code: str = "entry",
        reason_text: str = "",
        act: str | None = None,
    ) -> list[Entry]:
        raise NotImplementedError

    def amend(
        self,
        obj: Recorded,
        *,
        base_rev: int,
        values: dict[str, Any] | None = None,
        parts: Parts | None = None,
        reason_code: str,
        reason_text: str = "",
        act: str = "amend",
    ) -> Entry:
        raise NotImplementedError

    def void(
        self,
        obj: Recorded,
        *,
        base_rev: int,
        reason_code: str,
        reason_text: str = "",
        act: str = "void",
    ) -> Entry:
        raise NotImplementedError

    def restore(
        self, obj: Recorded, *, base_rev: int, reason_code: str, reason_text: str = ""
    ) -> Entry:
        raise NotImplementedError

    def event(
        self, act: str, *, log: Log, obj_type: str, obj_id: UUID, body: dict[str, Any]
    ) -> Entry:
        raise NotImplementedError


@contextmanager
def change(
    *, by: Actor, channel: str, client_op: UUID | None = None, claimed_at: datetime | None = None
) -> Iterator[Change]:
    raise NotImplementedError
    yield


def open_log(label: str, *, id: UUID | None = None) -> Log:
    raise NotImplementedError


def on_written(func: Callable[[list[Any]], None]) -> Callable[[list[Any]], None]:
    raise NotImplementedError
