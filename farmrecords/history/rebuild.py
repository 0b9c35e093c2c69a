"""The recorded tables as the log tells them: compare them with what is stored, and restore them."""

import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.db import models, transaction

from farmrecords.history import prepare, replay
from farmrecords.history.canon import moment_text
from farmrecords.history.models import Entry, Log
from farmrecords.history.recorded import Declaration, Recorded, registry, table

Key = tuple[str, uuid.UUID]
Parts = dict[str, list[Any]]
BATCH = 500
ROW = "(the whole row)"


@dataclass(frozen=True)
class Difference:
    """One column, or whole row, in which the tables differ from the log."""

    seq: int  # the last entry about this record, 0 when there is none
    obj_type: str
    obj_id: uuid.UUID
    path: str
    told: str
    stored: str


@dataclass
class Told:
    """Everything a log says of its records: the version of each, and the entry that says it."""

    versions: dict[Key, replay.Version]
    seqs: dict[Key, int]


def told(log: Log, last_seq: int | None = None) -> Told:
    """The state of every record of a log after entry `last_seq`, or now."""
    entries = Entry.objects.filter(log=log).order_by("seq")
    if last_seq is not None:
        entries = entries.filter(seq__lte=last_seq)
    found = Told({}, {})
    columns = ("seq", "obj_type", "obj_id", "obj_rev", "at", "body__text")
    for seq, kind, obj_id, rev, at, text in entries.values_list(*columns).iterator(2000):
        version = found.versions.get((kind, obj_id))
        if version is None:
            version = found.versions[kind, obj_id] = replay.Version(kind, obj_id)
        version.take(rev, at, text)
        found.seqs[kind, obj_id] = seq
    found.versions = {key: version for key, version in found.versions.items() if version.rev}
    return found


def compare(log: Log) -> list[Difference]:
    """Where the tables differ from the log; records with redacted text are passed over."""
    said = told(log)
    found: list[Difference] = []
    for name, model in registry().items():
        of_kind = {key[1]: one for key, one in said.versions.items() if key[0] == name}
        seqs = {key: said.seqs[name, key] for key in of_kind}
        found += _compare_kind(log, model._declared, of_kind, seqs)  # type: ignore[attr-defined]
    for (name, obj_id), version in said.versions.items():
        if name not in registry():
            seq = said.seqs[name, obj_id]
            found.append(Difference(seq, name, obj_id, ROW, f"revision {version.rev}", "no table"))
    return sorted(found, key=lambda one: one.seq)


def _compare_kind(
    log: Log, said: Declaration, versions: dict[uuid.UUID, replay.Version],
    seqs: dict[uuid.UUID, int],
) -> Iterator[Difference]:  # fmt: skip
    stored = dict(_stored(said, versions))
    for obj_id, version in versions.items():
        if not version.whole:
            continue
        if obj_id not in stored:
            yield Difference(
                seqs[obj_id], said.name, obj_id, ROW, f"revision {version.rev}", "nothing"
            )
            continue
        before, after = told_columns(said, version), stored_columns(*stored[obj_id])
        for path in sorted(before.keys() | after.keys(), key=replay.path_order):
            if before.get(path) != after.get(path):
                yield Difference(
                    seqs[obj_id], said.name, obj_id, path, str(before.get(path)),
                    str(after.get(path)),
                )  # fmt: skip
    rows = table(said.model).filter(**{said.log_lookup: log})
    for obj_id in set(rows.values_list("pk", flat=True)) - versions.keys():
        yield Difference(0, said.name, obj_id, ROW, "nothing", "a row")


def told_columns(said: Declaration, version: replay.Version) -> replay.State:
    """Every column of a record and its parts as text, from the log."""
    obj = replay.instance_of(said.model, version)
    parts = {one.name: list(getattr(obj, one.name).all()) for one in said.collections}
    return stored_columns(obj, parts)


def stored_columns(obj: Recorded, parts: Parts) -> replay.State:
    """Every column of a record and its parts as text, from the objects."""
    state = replay.state_of(obj, parts)
    state["/rev"] = str(obj.rev)
    state["/recorded_at"] = "" if obj.recorded_at is None else moment_text(obj.recorded_at)
    for name, members in parts.items():
        for part in members:
            state[f"/{name}/{part.number}/id"] = str(part.id)
    return state


def _stored(
    said: Declaration, ids: Iterable[uuid.UUID]
) -> Iterator[tuple[uuid.UUID, tuple[Recorded, Parts]]]:
    wanted = list(ids)
    for start in range(0, len(wanted), BATCH):
        some = wanted[start : start + BATCH]
        rows: dict[Any, tuple[Any, Parts]] = {
            row.pk: (row, {one.name: [] for one in said.collections})
            for row in table(said.model).filter(pk__in=some)
        }
        for one in said.collections:
            of_some = {f"{one.parent}_id__in": some}
            for part in table(one.model).filter(**of_some).order_by("number"):
                rows[getattr(part, f"{one.parent}_id")][1][one.name].append(part)
        yield from rows.items()


def restore(log: Log) -> list[Difference]:
    """Write back what the tables lost or changed; rows the log does not know stay untouched."""
    with transaction.atomic():
        log = Log.objects.select_for_update().get(pk=log.pk)
        found = compare(log)
        said = told(log)
        missing: list[tuple[Recorded, Parts]] = []
        for key in dict.fromkeys((one.obj_type, one.obj_id) for one in found):
            if key in said.versions and key[0] in registry():
                missing += _restore_one(registry()[key[0]], said.versions[key])
        prepare.insert_many(missing)
    return found


def _restore_one(
    model: type[Recorded], version: replay.Version
) -> Iterator[tuple[Recorded, Parts]]:  # fmt: skip
    obj = replay.instance_of(model, version)
    said: Declaration = model._declared  # type: ignore[attr-defined]
    parts = {one.name: list(getattr(obj, one.name).all()) for one in said.collections}
    stored = dict(_stored(said, [version.obj_id])).get(version.obj_id)
    if stored is None:
        yield obj, parts
        return
    prepare.update_row(obj, stored[0])
    for one in said.collections:
        kept = {part.id for part in stored[1][one.name]}
        if kept != {part.id for part in parts[one.name]}:
            _renumber(one.model, stored[1][one.name], parts[one.name])
            stored[1][one.name] = [part for part in stored[1][one.name] if part.id in kept]
    prepare.rewrite_parts(obj, stored[1], parts)


def _renumber(model: type[models.Model], stored: list[Any], wanted: list[Any]) -> None:
    """Part ids are what follows from number and record; a part with another id goes."""
    known = {part.id for part in wanted}
    table(model).filter(pk__in=[p.pk for p in stored if p.id not in known]).delete()
