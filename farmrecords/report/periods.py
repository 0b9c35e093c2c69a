"""Which periods can be reported: the permit's own, the one that holds today first."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from farmrecords.loads.models import Load
from farmrecords.people.access import Seat
from farmrecords.people.models import Operation, Permit

LONGEST_DAYS = 731
MOST_PERIODS = 12


@dataclass(frozen=True)
class Choice:
    """One period to choose, and whether today lies in it."""

    first: dt.date
    last: dt.date
    is_running: bool


def periods_of(seat: Seat) -> list[Choice]:
    """The permit's periods that hold loads or today, newest first, narrowed to the grant."""
    found: list[Choice] = []
    first, last = period_on(seat.operation, seat.today)
    earliest = _first_load_day(seat.operation) or seat.today
    while last >= earliest and len(found) < MOST_PERIODS:
        is_running = first <= seat.today <= last
        parts = reversed(seat.narrowed_periods(first, last))
        found += [Choice(*part, is_running=is_running) for part in parts]
        first, last = period_on(seat.operation, first - dt.timedelta(days=1))
    return found


def period_on(operation: Operation, on: dt.date) -> tuple[dt.date, dt.date]:
    """The reporting period that holds the day: the permit's, or the calendar year without one."""
    permit = operation.permit_on(on) or Permit(period_kind="calendar")
    return permit.period_containing(on)


def _first_load_day(operation: Operation) -> dt.date | None:
    days = Load.objects.filter(operation=operation).counted().order_by("local_day")
    return days.values_list("local_day", flat=True).first()


def trouble_with(first: dt.date, last: dt.date) -> str:
    """Why two days make no period to report, or nothing."""
    if last < first:
        return "last_before_first"
    if (last - first).days >= LONGEST_DAYS:
        return "too_long"
    return ""
