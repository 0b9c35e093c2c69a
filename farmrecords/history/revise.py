"""One revision of a record: what stands, what is wished, what comes of it, and who was quicker."""

import copy
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import models

from farmrecords.history import prepare, replay
from farmrecords.history.errors import HistoryError, NothingChanged, StaleRevision
from farmrecords.history.recorded import Recorded, columns, declaration, table

Parts = dict[str, list[Any]]


@dataclass(frozen=True)
class Wish:
    """What a change asks for; None leaves the parts, or whether the record counts, as they are."""

    values: dict[str, Any]
    parts: Parts | None = None
    voided: bool | None = None


class Revision:
    """The next revision of a stored record, worked out under the lock of its log."""

    def __init__(
        self, obj: Recorded, base_rev: int, wish: Wish, ask: Callable[[Any, Any], None]
    ) -> None:
        said = declaration(obj)
        self.stored: Any = table(said.model).select_for_update().get(pk=obj.pk)
        if self.stored.rev != base_rev:
            raise stale(self.stored, base_rev, wish)
        self.stored_parts = replay.stored_parts(self.stored)
        if wish.voided is None and self.stored.voided:
            raise HistoryError(
                f"This {obj._meta.verbose_name} is void; restore it before amending it."
            )
        self.row: Any = copy.copy(self.stored)
        self.parts = apply(self.row, wish, self.stored_parts)
        if said.operation_of(self.row).log_id != said.operation_of(self.stored).log_id:
            raise HistoryError("A record cannot move to another operation; void it and enter anew.")
        if wish.voided is None:
            prepare.validate(self.row, self.stored_parts | self.parts)
        ask(self.row, self.stored)
        self.changes = self._changes(said)
        self.row.rev = base_rev + 1

    def _changes(self, said: Any) -> replay.Changes:
        before = replay.state_of(self.stored, self.stored_parts)
        after = replay.state_of(self.row, self.stored_parts | self.parts)
        version = replay.version_at(said, self.row.pk)
        told = version.state if version is not None and version.whole else before
        changes = replay.changes_between(before, after, told)
        if not changes:
            raise NothingChanged("This would change nothing; the record stays as it is.")
        return changes

    def write(self) -> None:
        """Write the rows."""
        prepare.update_row(self.row, self.stored)
        prepare.rewrite_parts(self.row, self.stored_parts, self.parts)


def apply(row: Any, wish: Wish, stored: Parts) -> Parts:
    """Change a row as wished; the wanted collections, numbered, come back."""
    known = {column.name: column for column in columns(type(row))}
    known |= {column.attname: column for column in columns(type(row))}
    for name, value in wish.values.items():
        if name not in known:
            raise ValueError(f"{type(row).__name__} has no recorded column {name!r}.")
        setattr(row, name, value)
    if wish.voided is not None:
        row.voided = wish.voided
    wanted = {name: [_own(part) for part in parts] for name, parts in (wish.parts or {}).items()}
    for name, parts in wanted.items():
        _number_after(parts, stored.get(name, []))
    prepare.number_parts(row, wanted)
    return wanted


def _own(part: Any) -> Any:
    """A part of our own, so that the caller's objects stay as they are until it is written."""
    part = copy.copy(part)
    part._state = copy.copy(part._state)
    return part


def _number_after(parts: list[Any], stored: list[Any]) -> None:
    """New parts get numbers that no part of the record has."""
    following = max([part.number or 0 for part in [*parts, *stored]], default=0)
    for part in parts:
        if not part.number:
            following += 1
            part.number = following
        part._state.adding = part.number not in {old.number for old in stored}


def told_again(obj: Recorded, base_rev: int, wish: Wish) -> replay.Changes:
    """The changes of a wish that came before, worked out from the log as it was then."""
    said = declaration(obj)
    version = replay.version_at(said, obj.pk, rev=base_rev)
    if version is None:
        return []
    row: Any = replay.instance_of(said.model, version)
    stored = {c.name: list(getattr(row, c.name).all()) for c in said.collections}
    parts = apply(row, wish, stored)
    prepare.coerce(row, stored | parts, exclude_links=True)
    return replay.changes_between(version.state, replay.state_of(row, stored | parts))


def stale(stored: Any, base_rev: int, wish: Wish) -> StaleRevision:
    """The refusal that carries both versions."""
    said = declaration(stored)
    version = replay.version_at(said, stored.pk, rev=base_rev)
    if version is None or not version.whole:
        opened, yours = None, copy.copy(stored)
    else:
        opened, yours = (replay.instance_of(said.model, version) for _twice in range(2))
    kept = replay.stored_parts(yours)
    if opened is not None:
        kept = {c.name: list(getattr(yours, c.name).all()) for c in said.collections}
    parts = kept | apply(yours, wish, kept)
    for collection in said.collections:
        replay.attach(yours, collection, parts[collection.name])
    states = [
        {} if opened is None or version is None else version.state,
        replay.state_of(yours, parts),
        replay.state_of(stored, replay.stored_parts(stored)),
    ]
    return StaleRevision(stored, yours, opened, _rows(said.model, states))


def _rows(model: type[Recorded], states: list[replay.State]) -> list[tuple[str, ...]]:
    paths = sorted({path for state in states for path in state}, key=replay.path_order)
    return [
        (label(model, path), *(state.get(path, "") for state in states))
        for path in paths
        if len({state.get(path) for state in states}) > 1
    ]


def label(model: type[Recorded], path: str) -> str:
    """What people call the column of a path: "method", "draws 2: amount"."""
    if path == replay.VOIDED:
        return str(model._meta.get_field("voided").verbose_name)
    steps = path.split("/")[1:]
    if len(steps) == 1:
        return _column(model, steps[0])
    for collection in declaration(model).collections:
        if collection.name == steps[0]:
            part = collection.model
            return f"{part._meta.verbose_name} {steps[1]}: {_column(part, steps[2])}"
    return path


def _column(model: type[models.Model], name: str) -> str:
    known = {column.name: column for column in columns(model)}
    return str(known[name].verbose_name) if name in known else name


def catch_up(obj: Recorded, row: Recorded) -> None:
    """Bring the caller's object to what is now stored."""
    for field in row._meta.concrete_fields:
        if field.is_relation and getattr(obj, field.attname) != getattr(row, field.attname):
            obj._state.fields_cache.pop(field.name, None)
        setattr(obj, field.attname, getattr(row, field.attname))
    obj.__dict__.pop("_prefetched_objects_cache", None)
