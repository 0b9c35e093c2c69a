"""Recording, amending and voiding loads: the one way for page, phone, import and command."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING
from uuid import UUID

from farmrecords.loads.draft import DEFAULT, DrawDraft, EntryProblem, LoadDraft, PartDraft
from farmrecords.loads.models import Load
from farmrecords.measurements.models import ManureTest

if TYPE_CHECKING:
    from farmrecords.people.access import Seat
    from farmrecords.people.models import Operation

__all__ = [
    "DEFAULT",
    "DrawDraft",
    "EntryProblem",
    "LoadDraft",
    "PartDraft",
    "amend_load",
    "decide_waiting",
    "propose_content_tests",
    "record_load",
    "void_load",
]


def record_load(
    seat: Seat,
    draft: LoadDraft,
    *,
    channel: str,
    client_op: UUID | None = None,
    claimed_at: dt.datetime | None = None,
) -> Load:
    """Record a load; `load.warnings` holds what looks doubtful. Raises EntryProblem."""
    raise NotImplementedError


def amend_load(
    seat: Seat,
    load: Load,
    draft: LoadDraft,
    *,
    base_rev: int,
    reason_code: str,
    reason_text: str,
    channel: str = "web",
) -> Load:
    """Replace what a load says. Raises EntryProblem or write.StaleRevision."""
    raise NotImplementedError


def void_load(
    seat: Seat, load: Load, *, base_rev: int, reason_text: str, channel: str = "web"
) -> Load:
    """Take a load out of the count; it stays visible with its reason."""
    raise NotImplementedError


def decide_waiting(seat: Seat, load: Load, accept: bool, reason: str) -> Load:
    """The signatory's decision on a load that came late for a filed period."""
    raise NotImplementedError


def propose_content_tests(operation: Operation, test: ManureTest) -> list[Load]:
    """Loads whose default test of what was in them would now be another one."""
    raise NotImplementedError
