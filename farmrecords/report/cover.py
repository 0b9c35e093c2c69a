"""The cover facts: operation, permit, period, class, approach and due date."""

from __future__ import annotations

import calendar
import datetime as dt

from farmrecords.people.models import Permit
from farmrecords.report.model import Cover
from farmrecords.report.rows import Rows, in_force


def cover_of(rows: Rows) -> Cover:
    """The cover facts in force on the last day of the period."""
    permit = rows.permit
    stack = in_force(rows.stacks, rows.last_on)
    whole = permit is not None and permit.period_containing(rows.last_on) == (
        rows.first_on,
        rows.last_on,
    )
    return Cover(
        operation=rows.operation.name,
        address=rows.operation.address,
        permit_number=permit.number if permit else "",
        is_permitted=permit.is_permitted if permit else None,
        size_class=str(permit.get_size_class_display()) if permit else "",
        class_basis=permit.class_basis if permit else "",
        approach=str(permit.get_approach_display()) if permit else "",
        jurisdictions=tuple(stack.stack) if stack else (),
        first_on=rows.first_on,
        last_on=rows.last_on,
        is_whole_period=whole,
        due_on=due_day(permit, rows.last_on) if permit else None,
        notes=tuple(_notes(rows, whole)),
    )


def due_day(permit: Permit, last_on: dt.date) -> dt.date | None:
    """The first due day of the permit after the last day of the period."""
    if not permit.due_month or not permit.due_day:
        return None
    year = last_on.year
    for year in (last_on.year, last_on.year + 1):
        days = calendar.monthrange(year, permit.due_month)[1]
        due = dt.date(year, permit.due_month, min(permit.due_day, days))
        if due > last_on:
            return due
    return None


def _notes(rows: Rows, whole: bool) -> list[str]:
    notes = []
    if rows.permit is None:
        notes.append(
            "No permit facts are entered for the last day of the period. Number, class, approach "
            "and due date cannot be told until they are."
        )
    elif not whole:
        notes.append(
            "These are not the first and last day of the permit's reporting period: the figures "
            "are those of the days shown."
        )
    if len({row.approach for row in rows.permits}) > 1:
        notes.append(
            "The rate approach changed within the period; the one in force on its last day is used."
        )
    return notes
