"""The cover facts: operation, permit, period, class, approach and due date."""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Sequence

from farmrecords.people.models import Permit
from farmrecords.report.model import Cover
from farmrecords.report.rows import Rows, in_force
from farmrecords.rules.rulebook import packaged_rulebook


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
        approach=approach_words(rows),
        is_narrative=is_narrative(rows),
        jurisdictions=tuple(stack.stack) if stack else (),
        first_on=rows.first_on,
        last_on=rows.last_on,
        is_whole_period=whole,
        due_on=due_day(permit, rows.last_on) if permit else None,
        notes=tuple(_notes(rows, whole)),
    )


def jurisdiction_names(codes: Sequence[str]) -> str:
    """The jurisdictions as their rule files call themselves, in the order of the stack."""
    known = packaged_rulebook().coverage
    return "; ".join(known[code].title if code in known else code for code in codes)


def approach_words(rows: Rows) -> str:
    """The rate approach by permit and plan; where they differ, what each of them names."""
    named = [row for row in (rows.permit, rows.plan) if row is not None]
    words = {"linear": "linear", "narrative": "narrative rate"}
    if rows.approach:
        return words[rows.approach]
    if len(named) < 2 or rows.permit is None or rows.plan is None:
        return str(named[0].get_approach_display()) if named else ""
    permit, plan = words[rows.permit.approach], words[rows.plan.approach]
    return f"cannot tell: the permit names the {permit} approach, the plan the {plan} approach"


def is_narrative(rows: Rows) -> bool | None:
    """Whether the additions of the narrative approach are asked; None when it cannot be told."""
    if rows.approach:
        return rows.approach == "narrative"
    return None if rows.permit is None or rows.permit.approach != "none" else False


def due_day(permit: Permit, last_on: dt.date) -> dt.date | None:
    """The first due day of the permit after the last day of the period."""
    if not permit.due_month or not permit.due_day:
        return None
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
