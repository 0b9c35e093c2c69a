"""How a load that a file amended is set back to what it said before."""

from __future__ import annotations

from typing import Any

from farmrecords.history import replay
from farmrecords.history.recorded import columns, declaration
from farmrecords.loads.models import Load


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
