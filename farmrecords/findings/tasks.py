"""Findings brought up to date beside the pages."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.db import transaction

from farmrecords.findings import index
from farmrecords.history.background import is_paused, paused, task
from farmrecords.history.write import Written, on_written
from farmrecords.people.models import Operation

__all__ = ["ask_for_refresh", "ask_when_due", "paused", "refresh_findings"]


@task()
def refresh_findings(operation_id: str) -> int:
    """Judge an operation's new and stale records again; running it twice does no harm."""
    return index.refresh(Operation.objects.get(pk=operation_id))


@on_written
def ask_for_refresh(written: list[Written]) -> None:
    """After a change by a person, let the index of findings be brought up to date."""
    if is_paused():
        return
    touched: set[Any] = set()
    for line in written:
        operation_id = getattr(line.obj, "operation_id", None)
        if operation_id and line.entry.chan in ("web", "sync", "paper"):
            touched.add(operation_id)
    for operation_id in touched:
        transaction.on_commit(partial(_enqueue, str(operation_id)))


def _enqueue(operation_id: str) -> None:
    """One waiting task an operation is enough."""
    if index.is_behind(Operation.objects.get(pk=operation_id)):
        refresh_findings.enqueue(operation_id)


def ask_when_due(operation: Operation) -> None:
    """Before the index is shown: what time alone made old is judged again beside the page."""
    if not is_paused() and index.is_due(operation):
        transaction.on_commit(partial(_enqueue, str(operation.pk)))
