"""Writing: the only way a record, and the log under it, may change.

::

    with write.change(by=write.Actor(person.id, "office"), channel="web") as change:
        change.create(load, parts={"parts": [part], "draws": [draw]})
        change.amend(load, base_rev=3, values={"method": "injected"}, reason_code="entry_error")

Entries, bodies, head of the log and rows stand or fall together in one transaction. A change with
a `client_op` that came before is not written again: the same content gives the first entries back,
other content is refused. Where what is recorded follows from more than what was sent (a default of
that day), `payload` names what was sent and `sent_before` compares it.

Rooms may ask to see each row before it is written, under the lock of its log: `before_writing`.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction

from farmrecords.history import canon, chain, hooks, prepare, revise
from farmrecords.history.chain import Pending, Source, repeatable
from farmrecords.history.errors import (
    HistoryError,
    NothingChanged,
    ReasonMissing,
    RepeatedDifferently,
    StaleRevision,
)
from farmrecords.history.hooks import Ready, Written, before_writing, on_written
from farmrecords.history.models import Body, Entry, Log
from farmrecords.history.recorded import Recorded, declaration
from farmrecords.history.replay import VOIDED, Changes, changes_between, state_of

__all__ = [
    "SYSTEM", "Actor", "Change", "HistoryError", "NothingChanged", "Ready", "ReasonMissing",
    "RepeatedDifferently", "StaleRevision", "Written", "before_writing", "change", "on_written",
    "open_log", "repeatable",
]  # fmt: skip

Parts = dict[str, list[Any]]


@dataclass(frozen=True)
class Actor:
    """Who does it (the id of a person), and in which role."""

    id: UUID
    role: str


SYSTEM = Actor(UUID("00000000-0000-4000-8000-000000000000"), "system")


class _Open:
    """One log this change has locked, and where in it a repeated sending stands."""

    def __init__(self, log: Log, client_op: UUID | None) -> None:
        self.log = log
        self.client_op = client_op
        self.repeats: int | None = None
        if client_op is not None:
            first = Entry.objects.filter(log=log, client_op=client_op).first()
            self.repeats = None if first is None else first.seq


class Change:
    """One change under way; made by `change`."""

    def __init__(
        self, by: Actor, channel: str, client_op: UUID | None, claimed_at: Any, payload: str = ""
    ) -> None:
        if channel not in chain.CHANNELS:
            raise ValueError(f"{channel!r} is no way in; use one of {sorted(chain.CHANNELS)}.")
        self.source = Source(by.id, by.role, channel, claimed_at)
        self.client_op = client_op
        self.payload = payload
        self.written: list[Written] = []
        self.following: list[Recorded] = []  # recorded at the end of this change
        self.memo: dict[Any, Any] = {}  # what rooms looked up for this change
        self._logs: dict[UUID, _Open] = {}

    def lock(self, log_id: UUID) -> None:
        """Hold the head of a log from now on; what is looked up then stays so until the end."""
        self._open(log_id)

    def sent_before(self, log_id: UUID) -> bool:
        """Whether this `client_op` brought the same payload before; RepeatedDifferently if other.

        False also when the first sending named no payload: then contents are compared.
        """
        opened = self._open(log_id)
        if opened.repeats is None:
            return False
        entry = Entry.objects.select_related("body").get(log=opened.log, seq=opened.repeats)
        text = entry.body.text
        first = None if text is None else canon.parse(text).get("payload_hash")
        if text is not None and first is None:
            return False
        if entry.actor != f"u:{self.source.actor}" or first not in (None, self.payload):
            raise self._other_content()
        return True

    def create(
        self, obj: Recorded, parts: Parts | None = None, *, reason_code: str = "entry",
        reason_text: str = "", act: str | None = None,
    ) -> Entry:  # fmt: skip
        """Record something new, with its parts by collection name."""
        parts = dict(parts or {})
        prepare.number_parts(obj, parts)
        opened = self._open(_log_id(obj))
        if opened.repeats is None:
            _begin(obj)
            prepare.validate(obj, parts)
        else:
            prepare.coerce(obj, parts)
        if opened.repeats is not None:
            pending = _created(obj, parts, act, reason_code, reason_text)
            entry = self._repeated(opened, pending)
            obj.refresh_from_db()
            return entry
        self._ask(obj, None, reason_code)
        pending = _created(obj, parts, act, reason_code, reason_text)
        entry = self._append(opened, [pending])[0]
        obj.recorded_at = entry.at
        prepare.insert_many([(obj, parts)])
        self.written.append(Written(obj, entry))
        return entry

    def create_many(
        self, rows: Iterable[tuple[Recorded, Parts | None]], *, reason_code: str = "entry",
        reason_text: str = "", act: str | None = None,
    ) -> list[Entry]:  # fmt: skip
        """Record many new things at once: the one bulk write. All of them or none."""
        ready = [(obj, dict(parts or {})) for obj, parts in rows]
        for obj, parts in ready:
            prepare.number_parts(obj, parts)
        if any(self._open(_log_id(obj)).repeats is not None for obj, _parts in ready):
            said = {"reason_code": reason_code, "reason_text": reason_text, "act": act}
            return [self.create(obj, parts, **said) for obj, parts in ready]  # type: ignore[arg-type]
        for obj, _parts in ready:
            _begin(obj)
        prepare.validate_many(ready)
        for index, (obj, _parts) in enumerate(ready):
            with prepare.at_row(index):
                self._ask(obj, None, reason_code)
        entries = self._append_each(
            [(_log_id(o), _created(o, p, act, reason_code, reason_text)) for o, p in ready]
        )
        for (obj, _parts), entry in zip(ready, entries, strict=True):
            obj.recorded_at = entry.at
        prepare.insert_many(ready)
        self.written += [Written(o, e) for (o, _p), e in zip(ready, entries, strict=True)]
        return entries

    def amend(
        self, obj: Recorded, *, base_rev: int, values: dict[str, Any] | None = None,
        parts: Parts | None = None, reason_code: str, reason_text: str = "", act: str = "amend",
    ) -> Entry:  # fmt: skip
        """Change columns by `values`, and whole collections by `parts`.

        `base_rev` is the revision the form was opened at; if somebody else was quicker,
        StaleRevision carries both versions.
        """
        return self._revise(
            obj, act, base_rev, revise.Wish(dict(values or {}), parts), reason_code, reason_text
        )

    def void(
        self, obj: Recorded, *, base_rev: int, reason_code: str, reason_text: str = "",
        act: str = "void",
    ) -> Entry:  # fmt: skip
        """Take a record out of the count; it stays visible."""
        wish = revise.Wish({}, None, voided=True)
        return self._revise(obj, act, base_rev, wish, reason_code, reason_text)

    def restore(
        self, obj: Recorded, *, base_rev: int, reason_code: str, reason_text: str = "",
        act: str = "restore",
    ) -> Entry:  # fmt: skip
        """Let a voided record count again."""
        wish = revise.Wish({}, None, voided=False)
        return self._revise(obj, act, base_rev, wish, reason_code, reason_text)

    def event(
        self, act: str, *, log: Log, obj_type: str, obj_id: UUID,
        body: dict[str, Any] | None = None, reason_code: str = "", reason_text: str = "",
    ) -> Entry:  # fmt: skip
        """Write down something that happened and changes no record: a filing, an export ..."""
        said = canon.nfc(dict(body or {}))
        if "changes" in said:
            raise ValueError("An event changes no record; use create, amend, void or restore.")
        if reason_code:
            said |= _reason(reason_code, reason_text)
        opened = self._open(log.pk)
        known = Entry.objects.filter(log=log, obj_type=obj_type, obj_id=obj_id)
        if opened.repeats is not None:
            known = known.filter(seq__lt=opened.repeats)
        last = known.order_by("-seq").first()
        pending = Pending(act, obj_type, obj_id, 0 if last is None else last.obj_rev, said)
        if opened.repeats is not None:
            return self._repeated(opened, pending)
        entry = self._append(opened, [pending])[0]
        self.written.append(Written(None, entry))
        return entry

    def redact(self, entry: Entry, *, reason_code: str, reason_text: str = "") -> Entry:
        """Destroy what one entry says, as law may order; its header and this event remain."""
        body = {"redacted_body": entry.body_hash, "redacted_seq": str(entry.seq)}
        done = self.event(
            "redact", log=entry.log, obj_type="log", obj_id=entry.log_id, body=body,
            reason_code=reason_code, reason_text=reason_text,
        )  # fmt: skip
        Body.objects.filter(entry=entry).update(salt=None, text=None)
        return done

    def _open(self, log_id: UUID) -> _Open:
        if log_id not in self._logs:
            self._logs[log_id] = _Open(chain.lock(log_id), self.client_op)
        return self._logs[log_id]

    def _append(self, opened: _Open, pending: list[Pending]) -> list[Entry]:
        client_op, opened.client_op = opened.client_op, None
        if client_op is not None and self.payload:
            pending[0].body["payload_hash"] = self.payload
        return chain.append(opened.log, self.source, pending, client_op)

    def _append_each(self, pending: list[tuple[UUID, Pending]]) -> list[Entry]:
        entries: dict[int, Entry] = {}
        for log_id in dict.fromkeys(log_id for log_id, _event in pending):
            own = [index for index, (its, _event) in enumerate(pending) if its == log_id]
            added = self._append(self._open(log_id), [pending[index][1] for index in own])
            entries |= dict(zip(own, added, strict=True))
        return [entries[index] for index in range(len(pending))]

    def _revise(
        self, obj: Recorded, act: str, base_rev: int, wish: revise.Wish, reason_code: str,
        reason_text: str,
    ) -> Entry:  # fmt: skip
        if not reason_code:
            raise ReasonMissing("A record changes only with a reason; say why.")
        opened = self._open(_log_id(obj))
        if opened.repeats is not None:
            changes = revise.told_again(obj, base_rev, wish)
            return self._repeated(
                opened, _changed(obj, act, base_rev + 1, changes, reason_code, reason_text)
            )
        new = revise.Revision(
            obj, base_rev, wish, lambda row, stored: self._ask(row, stored, reason_code)
        )
        pending = _changed(obj, act, new.row.rev, new.changes, reason_code, reason_text)
        entry = self._append(opened, [pending])[0]
        new.write()
        revise.catch_up(obj, new.row)
        self.written.append(Written(obj, entry))
        return entry

    def _repeated(self, opened: _Open, pending: Pending) -> Entry:
        entry = Entry.objects.filter(log=opened.log, seq=opened.repeats or 0).first()
        if entry is None or not _same(entry, pending, self.source):
            raise self._other_content()
        opened.repeats = entry.seq + 1
        return entry

    def _other_content(self) -> RepeatedDifferently:
        return RepeatedDifferently(
            f"The sending {self.client_op} came before with other content; nothing was "
            "written. Send new content under a new number."
        )

    def _ask(self, row: Recorded, stored: Recorded | None, reason_code: str) -> None:
        hooks.ask(Ready(self, row, stored, reason_code))

    def finish(self) -> None:
        """Record what follows from this change, and tell the rooms what was written."""
        for obj in self.following:
            self.create(obj, reason_code="follows")
        hooks.tell(self.written)


@contextmanager
def change(
    *, by: Actor, channel: str, client_op: UUID | None = None, claimed_at: datetime | None = None,
    payload: str = "",
) -> Iterator[Change]:  # fmt: skip
    """Open one change: a transaction in which records and log are written together.

    `channel` is web, sync, import, paper, cli or system. `client_op` is the sender's own number
    for it, `payload` a hash of what was sent under it; `claimed_at` the moment the sender says it
    was entered.
    """
    with transaction.atomic():
        under_way = Change(by, channel, client_op, claimed_at, payload)
        yield under_way
        under_way.finish()


def open_log(label: str, *, id: UUID | None = None) -> Log:
    """Begin a new log with its first entry; `label` is the operation's name in it."""
    with transaction.atomic():
        log = Log.objects.create(id=id or uuid4(), label=label)
        body = {
            "alg": "SHA-256",
            "canon": "RFC8785",
            "nonce": chain.salt().hex(),
            "operation": canon.nfc(label),
            "spec": canon.SPEC,
        }
        genesis = Pending("genesis", "log", log.pk, 0, body)
        chain.append(log, Source(SYSTEM.id, SYSTEM.role, "system"), [genesis])
    return log


def _begin(obj: Recorded) -> None:
    if not obj._state.adding:
        raise HistoryError(
            f"This {obj._meta.verbose_name} is recorded already; amend it instead of creating it."
        )
    obj.rev, obj.voided = 1, False


def _log_id(obj: Recorded) -> UUID:
    log_id: UUID = declaration(obj).operation_of(obj).log_id
    return log_id


def _created(obj: Recorded, parts: Parts, act: str | None, code: str, text: str) -> Pending:
    return _changed(
        obj, act or declaration(obj).create_act, 1, changes_between({}, state_of(obj, parts)),
        code, text,
    )  # fmt: skip


def _changed(
    obj: Recorded, act: str, rev: int, changes: Changes, code: str, text: str
) -> Pending:  # fmt: skip
    return Pending(
        act, declaration(obj).name, obj.id, rev, {"changes": changes, **_reason(code, text)}
    )


def _reason(code: str, text: str) -> dict[str, str]:
    return {"reason_code": code, "reason_text": canon.nfc(text)}


def _same(entry: Entry, pending: Pending, source: Source) -> bool:
    """Whether a stored entry says what is being sent again."""
    if (entry.actor, entry.act, entry.obj_type, entry.obj_id, entry.obj_rev) != (
        f"u:{source.actor}", pending.act, pending.obj_type, pending.obj_id, pending.obj_rev,
    ):  # fmt: skip
        return False
    if entry.body.text is None:
        return True
    stored = canon.parse(entry.body.text)
    for extra in ("clock_adjusted", "payload_hash"):
        stored.pop(extra, None)
    if pending.obj_rev == 1:  # what was held back when it came counts as sent the same
        stored["changes"] = [one for one in stored["changes"] if one["path"] != VOIDED]
    return bool(canon.canonical(stored) == canon.canonical(pending.body))
