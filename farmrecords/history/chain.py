"""Adding entries to a log: lock the head, build headers and bodies, write them, move the head."""

import random
import secrets
import uuid
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from farmrecords.history import canon, clock
from farmrecords.history.models import HEADER_COLUMNS, Body, Entry, Log, header_of

CHANNELS = frozenset({"web", "sync", "import", "paper", "cli", "system"})
ACTS = frozenset({
    "genesis", "create", "amend", "void", "restore", "import", "plan_version", "rule_version",
    "verdict", "file", "lock", "reopen", "repudiate", "grant", "revoke", "break_glass", "review",
    "export", "redact", "checkpoint",
})  # fmt: skip
BATCH = 500

_seeded: ContextVar[random.Random | None] = ContextVar("seeded", default=None)


@dataclass(frozen=True)
class Pending:
    """An event about to be added."""

    act: str
    obj_type: str
    obj_id: uuid.UUID
    obj_rev: int
    body: dict[str, Any]


@dataclass(frozen=True)
class Source:
    """Who brings the event, in which role, by which way in, claimed for when."""

    actor: uuid.UUID
    role: str
    channel: str
    claimed_at: datetime | None = None


@contextmanager
def repeatable(seed: int) -> Iterator[None]:
    """Draw salts from `seed`, so that a demonstration has the same hashes each time.

    Never for real records: a salt that can be guessed lets erased short text be guessed too.
    """
    token = _seeded.set(random.Random(seed))
    try:
        yield
    finally:
        _seeded.reset(token)


def salt() -> bytes:
    """Sixteen fresh random bytes."""
    seeded = _seeded.get()
    return secrets.token_bytes(16) if seeded is None else seeded.randbytes(16)


def lock(log_id: uuid.UUID) -> Log:
    """The head of a log, held until the transaction ends.

    SQLite has no row locks: there the transaction took the write lock when it began.
    """
    return Log.objects.select_for_update().get(pk=log_id)


def append(
    log: Log, source: Source, pending: Sequence[Pending], client_op: uuid.UUID | None = None
) -> list[Entry]:
    """Add events to a locked log, the first of them under `client_op`."""
    read_at = clock.now()
    at = read_at if log.head_at is None else max(read_at, log.head_at)
    entries, bodies = [], []
    for event in pending:
        if event.act not in ACTS:
            raise ValueError(f"{event.act!r} is no event of the log; use one of {sorted(ACTS)}.")
        said = dict(event.body)
        if at != read_at:
            said["clock_adjusted"] = canon.moment_text(read_at)
        text, fresh = canon.canonical(said), salt()
        entry = _entry(log, source, event, at, canon.body_hash(fresh, text), client_op)
        entries.append(entry)
        bodies.append(Body(entry=entry, salt=fresh.hex(), text=text.decode()))
        log.head_seq, log.head_hash, log.head_at, client_op = entry.seq, entry.hash, at, None
    _write(log, entries, bodies)
    return entries


def _entry(
    log: Log, source: Source, event: Pending, at: datetime, body_hash: str,
    client_op: uuid.UUID | None,
) -> Entry:  # fmt: skip
    entry = Entry(
        log=log, seq=log.head_seq + 1, prev=log.head_hash, at=at, claimed_at=source.claimed_at,
        actor=f"u:{source.actor}", role=source.role, chan=source.channel, client_op=client_op,
        act=event.act, obj_type=event.obj_type, obj_id=event.obj_id, obj_rev=event.obj_rev,
        body_hash=body_hash,
    )  # fmt: skip
    columns = [getattr(entry, column) for column in HEADER_COLUMNS]
    entry.hash = canon.entry_hash(header_of(*columns))
    return entry


def _write(log: Log, entries: list[Entry], bodies: list[Body]) -> None:
    Entry.objects.bulk_create(entries, batch_size=BATCH)
    for body, entry in zip(bodies, entries, strict=True):
        body.entry_id = entry.pk
    Body.objects.bulk_create(bodies, batch_size=BATCH)
    for body, entry in zip(bodies, entries, strict=True):
        entry.body = body
    Log.objects.filter(pk=log.pk).update(
        head_seq=log.head_seq, head_hash=log.head_hash, head_at=log.head_at
    )
