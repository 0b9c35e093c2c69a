"""Records a file brought and nobody changed since: a corrected file may amend these alone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from farmrecords.history import replay
from farmrecords.history.recorded import columns, declaration
from farmrecords.intake.models import IncomingFile
from farmrecords.loads.models import Load
from farmrecords.people.models import Operation


def untouched(operation: Operation, loads: Iterable[Load]) -> set[UUID]:
    """Which of the loads stand at the revision an import left them at."""
    wanted = {str(load.pk): load for load in loads}
    if not wanted:
        return set()
    found: set[UUID] = set()
    results = IncomingFile.objects.filter(operation=operation, state="confirmed")
    for result in results.values_list("result", flat=True):
        for key in ("created", "restored", "amended"):
            for _name, pk, rev, *_before in result.get(key, []):
                load = wanted.get(pk)
                if load is not None and load.rev == rev:
                    found.add(load.pk)
    return found


def revision_before(load: Load) -> dict[str, Any]:
    """What an amendment needs to remember to be set back."""
    return {"rev": load.rev}


def as_it_was(load: Load, before: dict[str, Any]) -> dict[str, Any]:
    """Values and parts that give a load what it said at a former revision."""
    version = replay.version_at(declaration(load), load.pk, rev=int(before["rev"]))
    if version is None:
        return {"values": {}}
    old: Any = replay.instance_of(Load, version)
    values = {
        column.attname: getattr(old, column.attname)
        for column in columns(Load)
        if column.attname not in ("id", "rev", "voided", "recorded_at")
    }
    return {
        "values": values,
        "parts": {"parts": list(old.parts.all()), "draws": list(old.draws.all())},
    }
