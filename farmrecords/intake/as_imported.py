"""Records a file brought and nobody changed since: a corrected file may amend these alone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from farmrecords.intake.models import IncomingFile
from farmrecords.people.models import Operation


def untouched(operation: Operation, rows: Iterable[Any]) -> set[UUID]:
    """Which of the records stand at the revision an import left them at."""
    wanted = {str(row.pk): row for row in rows}
    if not wanted:
        return set()
    found: set[UUID] = set()
    results = IncomingFile.objects.filter(operation=operation, state="confirmed")
    for result in results.values_list("result", flat=True):
        for key in ("created", "restored", "amended"):
            for _name, pk, rev, *_before in result.get(key, []):
                row = wanted.get(pk)
                if row is not None and row.rev == rev:
                    found.add(row.pk)
    return found
