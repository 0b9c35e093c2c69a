"""Reading the log: what was changed by whom, and what was recorded at a given moment."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, TypeVar
from uuid import UUID

from farmrecords.history import canon, codec, replay, revise
from farmrecords.history.models import Entry, Log
from farmrecords.history.recorded import Recorded, columns, declaration

LATE = timedelta(hours=24)
Some = TypeVar("Some", bound=Recorded)


@dataclass(frozen=True)
class FieldChange:
    """One column before and after, as the values they stand for (a link as the target's key)."""

    path: str
    label: str
    before: Any
    after: Any


@dataclass(frozen=True)
class HistoryEntry:
    """One entry about a record, ready to be shown."""

    seq: int
    rev: int
    act: str
    at: datetime
    claimed_at: datetime | None
    actor_id: UUID
    role: str
    channel: str
    hash: str
    reason_code: str
    reason_text: str
    changes: tuple[FieldChange, ...]
    data: dict[str, Any]  # what else the entry says, for events
    redacted: bool

    @property
    def lag(self) -> timedelta | None:
        """How long after the claimed moment it was recorded; negative when claimed for later."""
        return None if self.claimed_at is None else self.at - self.claimed_at

    @property
    def is_late(self) -> bool:
        """Whether it was recorded more than a day after the moment claimed."""
        return self.lag is not None and self.lag > LATE

    @property
    def is_claimed_ahead(self) -> bool:
        """Whether the moment claimed lies after the recording."""
        return self.lag is not None and self.lag < timedelta(0)


def history_of(obj: Recorded) -> list[HistoryEntry]:
    """Every entry about a record, oldest first."""
    said = declaration(obj)
    entries = Entry.objects.filter(obj_type=said.name, obj_id=obj.pk).order_by("seq")
    return [_shown(said.model, entry) for entry in entries.select_related("body")]


def entries_of(log: Log, obj_type: str, obj_id: UUID) -> list[HistoryEntry]:
    """Every entry about something that is no record (a report, an export), oldest first."""
    entries = Entry.objects.filter(log=log, obj_type=obj_type, obj_id=obj_id).order_by("seq")
    return [_shown(None, entry) for entry in entries.select_related("body")]


def as_of(model: type[Some], pk: UUID, moment: datetime) -> Some | None:
    """The record as it was recorded at `moment`, parts attached; None before it was.

    It follows from the entries up to that moment alone.
    """
    return as_of_many(model, [pk], moment).get(pk)


def as_of_many(model: type[Some], pks: Iterable[UUID], moment: datetime) -> dict[UUID, Some]:
    """The same for many records with one question; those not yet recorded are absent."""
    said = declaration(model)
    entries = Entry.objects.filter(obj_type=said.name, obj_id__in=list(pks), at__lte=moment)
    versions: dict[UUID, replay.Version] = {}
    columns_ = ("obj_id", "obj_rev", "at", "body__text")
    for obj_id, rev, at, text in entries.order_by("seq").values_list(*columns_):
        version = versions.setdefault(obj_id, replay.Version(said.name, obj_id))
        version.take(rev, at, text)
    return {
        obj_id: replay.instance_of(model, version)  # type: ignore[misc]
        for obj_id, version in versions.items()
        if version.rev
    }


def _shown(model: type[Recorded] | None, entry: Entry) -> HistoryEntry:
    text = entry.body.text
    body = {} if text is None else canon.parse(text)
    changes = body.pop("changes", ())
    return HistoryEntry(
        seq=entry.seq, rev=entry.obj_rev, act=entry.act, at=entry.at, claimed_at=entry.claimed_at,
        actor_id=UUID(entry.actor.removeprefix("u:")), role=entry.role, channel=entry.chan,
        hash=entry.hash, reason_code=body.pop("reason_code", ""),
        reason_text=body.pop("reason_text", ""),
        changes=tuple(_change(model, one) for one in changes) if model else (),
        data=body, redacted=text is None,
    )  # fmt: skip


def _change(model: type[Recorded], one: dict[str, Any]) -> FieldChange:
    path = one["path"]
    column = _column(model, path)
    before, after = (
        text if column is None or text is None else codec.decode(column, text)
        for text in (one["from"], one["to"])
    )
    return FieldChange(path, revise.label(model, path), before, after)


def _column(model: type[Recorded], path: str) -> Any:
    """The column a path names; None for one that is no more."""
    steps = path.split("/")[1:]
    if path == replay.VOIDED:
        return model._meta.get_field("voided")
    owner: Any = model
    if len(steps) == 3:
        found = [one.model for one in declaration(model).collections if one.name == steps[0]]
        owner = found[0] if found else None
    if owner is None:
        return None
    return {column.name: column for column in columns(owner)}.get(steps[-1])
