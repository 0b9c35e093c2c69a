"""What comes late for a filed period: kept at once, but it waits for the signatory's decision.

Filing closes a period on the operation. A record whose day lies in it is kept and does not count
until the owner accepts it; a record of the period that counts already stands, until the owner
reopens the period. The rule is asked for every row under the lock of its log, so that a filing and
a late record cannot pass each other.

A class with a state of its own for this (a load) has `holds_back(waits)` and `waits`; any other
record is kept void beside a `LateRecord` that says what waits.
"""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from farmrecords.history import write
from farmrecords.history.recorded import declaration
from farmrecords.people.access import Seat
from farmrecords.people.models import ClosedPeriod, LateRecord

ACCEPTED, REFUSED = "late_accepted", "late_refused"


class FiledPeriod(ValidationError):
    """A record of a filed period that counts was about to be changed."""


@write.before_writing
def hold_back(ready: write.Ready) -> None:
    """Let a late record wait; refuse to change one that stands in a filed period."""
    said = declaration(ready.row)
    if isinstance(ready.row, ClosedPeriod):
        ready.change.memo.clear()
    if said.day is None or not said.waits or ready.reason_code in (ACCEPTED, REFUSED):
        return
    log_id = said.operation_of(ready.row).log_id
    periods = _filed(ready.change, log_id)
    stored = ready.stored
    if stored is not None and _counts(stored):
        _refuse_filed(stored, period_of(periods, getattr(stored, said.day)))
    period = period_of(periods, getattr(ready.row, said.day))
    if hasattr(ready.row, "holds_back"):
        if period or (stored is not None and stored.waits):
            ready.row.holds_back(period is not None)
    elif period is not None and not ready.row.voided:
        _wait(ready, period)


def period_of(periods: list[ClosedPeriod], day: dt.date | None) -> ClosedPeriod | None:
    """The filed period that holds the day, if any."""
    return next((p for p in periods if day is not None and p.from_on <= day <= p.to_on), None)


def _filed(change: write.Change, log_id: UUID) -> list[ClosedPeriod]:
    key = ("filed periods", log_id)
    if key not in change.memo:
        change.memo[key] = list(
            ClosedPeriod.objects.filter(
                operation__log=log_id, voided=False, reopened_at__isnull=True
            ).order_by("from_on")
        )
    found: list[ClosedPeriod] = change.memo[key]
    return found


def _counts(stored: Any) -> bool:
    return not stored.voided and not getattr(stored, "waits", False)


def _refuse_filed(stored: Any, period: ClosedPeriod | None) -> None:
    if period is None:
        return
    raise FiledPeriod(
        _(
            "The %(kind)s of %(day)s is in the filed period %(first)s to %(last)s. The owner can "
            "reopen the period with a reason; then it can be changed."
        )
        % {
            "kind": stored._meta.verbose_name,
            "day": getattr(stored, declaration(stored).day or ""),
            "first": period.from_on,
            "last": period.to_on,
        }
    )


def _wait(ready: write.Ready, period: ClosedPeriod) -> None:
    said = declaration(ready.row)
    if ready.stored is not None and ready.stored.voided:  # would count again
        _refuse_filed(ready.row, period)
    ready.row.voided = True
    ready.row.is_late = True
    ready.change.following.append(
        LateRecord(
            operation=said.operation_of(ready.row),
            kind=said.name,
            record=ready.row.pk,
            day=getattr(ready.row, said.day or ""),
            period=period,
        )
    )


def waiting(seat: Seat) -> QuerySet[LateRecord]:
    """What waits for the owner's decision, oldest day first."""
    return LateRecord.objects.filter(
        operation=seat.operation, voided=False, state="waiting"
    ).order_by("day", "recorded_at", "id")


def decide(seat: Seat, late: LateRecord, accept: bool, reason: str, *, base_rev: int) -> None:
    """Let a late record count, or leave it void, with a reason; only the signatory decides.

    `base_rev` is the revision of the late record that was read; StaleRevision if there is a newer.
    """
    decide_all(seat, [(late, base_rev)], accept, reason)


def decide_all(seat: Seat, chosen: list[tuple[LateRecord, int]], accept: bool, reason: str) -> None:
    """One decision on several late records, each with the revision that was read; all or none."""
    own = all(late.operation_id == seat.operation.pk for late, _rev in chosen)
    if not own or not seat.may("decide_waiting"):
        raise PermissionDenied
    if not reason.strip():
        raise ValidationError({"reason_text": _("Say why; one sentence.")})
    try:
        with write.change(by=seat.actor, channel="web") as change:
            for late, base_rev in chosen:
                _decide(change, late, base_rev, accept, reason)
    except IntegrityError as twice:
        raise ValidationError(
            _("One of them would stand beside another record of the same that counts already.")
        ) from twice


def _decide(
    change: write.Change, late: LateRecord, base_rev: int, accept: bool, reason: str
) -> None:
    code = ACCEPTED if accept else REFUSED
    change.amend(
        late,
        base_rev=base_rev,
        values={"state": "accepted" if accept else "refused"},
        reason_code=code,
        reason_text=reason,
    )
    if accept:
        row = late.row
        change.restore(row, base_rev=row.rev, reason_code=code, reason_text=reason)
