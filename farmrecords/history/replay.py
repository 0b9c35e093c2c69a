"""From rows to the paths of a body and back: the state of a record as the log tells it.

A *state* maps paths to text and holds only what is not empty: `/method`, `/parts/1/acres`,
`/voided` ("true" or absent).
"""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import models

from farmrecords.history import canon, codec
from farmrecords.history.models import Entry
from farmrecords.history.recorded import (
    Collection,
    Declaration,
    Recorded,
    RecordedPart,
    columns,
    declaration,
    table,
)

State = dict[str, str]
Parts = dict[str, list[Any]]
Changes = list[dict[str, str | None]]
VOIDED = "/voided"


@dataclass
class Version:
    """One record as the log tells it after some entry."""

    obj_type: str
    obj_id: uuid.UUID
    rev: int = 0
    recorded_at: datetime | None = None
    state: State = field(default_factory=dict)
    whole: bool = True  # False once a body of it was redacted

    def take(self, rev: int, at: datetime, text: str | None) -> None:
        """Carry on with the next entry of this record; `text` is its body, None if redacted."""
        body = {} if text is None else canon.parse(text)
        if text is None:
            self.whole = False
        if text is not None and "changes" not in body:
            return
        if rev == 1 and self.rev == 0:
            self.recorded_at = at
        self.rev = rev
        fold(self.state, body.get("changes", ()))


def fold(state: State, changes: Iterable[dict[str, str | None]]) -> None:
    """Apply the changes of one body to a state."""
    for one in changes:
        if one["to"] is None:
            state.pop(one["path"], None)  # type: ignore[arg-type]
        else:
            state[one["path"]] = one["to"]  # type: ignore[index]


def row_state(obj: models.Model, prefix: str = "") -> State:
    """The state of one row alone."""
    found = {}
    for column in columns(type(obj)):
        text = codec.encode(column, getattr(obj, column.attname))
        if text is not None:
            found[f"{prefix}/{column.name}"] = text
    return found


def part_state(collection: Collection, parts: Iterable[RecordedPart]) -> State:
    """The state of one child collection."""
    found: State = {}
    for part in parts:
        state = row_state(part, f"/{collection.name}/{part.number}")
        if not state:
            raise ValueError(f"Number {part.number} of {collection.name} says nothing; leave it.")
        found |= state
    return found


def state_of(obj: Recorded, parts: Parts) -> State:
    """The state of a record with all its parts."""
    found = row_state(obj)
    for collection in declaration(obj).collections:
        found |= part_state(collection, parts.get(collection.name, ()))
    if obj.voided:
        found[VOIDED] = "true"
    return found


def changes_between(before: State, after: State, told: State | None = None) -> Changes:
    """What leads from `before` to `after`; `told` is what the log says of before."""
    told = before if told is None else told
    paths = {path for path in before.keys() | after.keys() if before.get(path) != after.get(path)}
    return [
        {"path": path, "from": told.get(path), "to": after.get(path)}
        for path in sorted(paths, key=path_order)
    ]


def path_order(path: str) -> tuple[tuple[int, int, str], ...]:
    """Paths in the order people count: number 2 before number 10."""
    return tuple(
        (0, int(step), "") if step.isdigit() else (1, 0, step) for step in path.split("/")[1:]
    )


def stored_parts(obj: Recorded) -> Parts:
    """The parts of a record as they stand in their tables."""
    return {
        collection.name: list(
            table(collection.model).filter(**{f"{collection.parent}_id": obj.pk}).order_by("number")
        )
        for collection in declaration(obj).collections
    }


def version_at(
    said: Declaration, obj_id: uuid.UUID, *, rev: int | None = None, moment: datetime | None = None
) -> Version | None:
    """The record after revision `rev`, or at `moment`, or now; None before it was created."""
    entries = Entry.objects.filter(obj_type=said.name, obj_id=obj_id)
    if rev is not None:
        entries = entries.filter(obj_rev__lte=rev)
    if moment is not None:
        entries = entries.filter(at__lte=moment)
    version = Version(said.name, obj_id)
    for entry_rev, at, text in entries.order_by("seq").values_list("obj_rev", "at", "body__text"):
        version.take(entry_rev, at, text)
    return version if version.rev else None


def instance_of(model: type[Recorded], version: Version) -> Recorded:
    """The record of a version: not from its table, its parts attached."""
    said = declaration(model)
    state = version.state
    obj: Recorded = _row(model, state, "")
    obj.id, obj.rev, obj.recorded_at = version.obj_id, version.rev, version.recorded_at
    obj.voided = state.get(VOIDED) == "true"
    for collection in said.collections:
        attach(obj, collection, parts_of(collection, obj, state))
    return obj


def parts_of(collection: Collection, root: Recorded, state: State) -> list[Any]:
    """The parts of one collection, in the order of their numbers."""
    start = f"/{collection.name}/"
    numbers = sorted({int(path.split("/")[2]) for path in state if path.startswith(start)})
    return [numbered(collection, root, _row(collection.model, state, start + str(n)), n)
            for n in numbers]  # fmt: skip


def numbered(collection: Collection, root: Recorded, part: Any, number: int) -> Any:
    """Give a part its number, its record and the id that follows from both."""
    part.number = number
    part.id = collection.part_id(root.id, number)
    setattr(part, collection.parent, root)
    return part


def attach(obj: Recorded, collection: Collection, parts: list[Any]) -> None:
    """Let `obj.<collection>.all()` give these parts without asking the database."""
    found = collection.model._default_manager.all()
    found._result_cache = parts  # type: ignore[attr-defined]
    found._prefetch_done = True  # type: ignore[attr-defined]
    obj.__dict__.setdefault("_prefetched_objects_cache", {})[collection.name] = found


def _row(model: type[models.Model], state: State, prefix: str) -> Any:
    values = {
        column.attname: codec.decode(column, state.get(f"{prefix}/{column.name}"))
        for column in columns(model)
    }
    row = model(**values)
    row._state.adding = False
    row._state.db = "default"
    return row
