"""Closed seasons of a field's year: days a rule bars by the calendar alone, for the year band.

Each day is asked of the rules that judge loads, with nothing known but the day and a surface load
of the field's form; what then is not met is closed by date. Ground and snow close further days.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

from farmrecords.drawing.inputs import ClosedWindow
from farmrecords.farm.models import Field
from farmrecords.findings.load_facts import operation_facts
from farmrecords.findings.permit_layer import joined, own_rules
from farmrecords.rules.facts import Facts
from farmrecords.rules.judge import judge_rule
from farmrecords.rules.rulebook import Rulebook

MOST_KEPT = 256
_windows: dict[Any, tuple[ClosedWindow, ...]] = {}


def closed_windows(field: Field, year: int, form: str = "liquid") -> list[ClosedWindow]:
    """Windows of the calendar year that a rule of the field's stack closes by date."""
    middle = dt.date(year, 7, 1)
    known = operation_facts(field.operation.permit_on(middle))
    given = tuple(sorted((name, value) for name, value in known.items() if value is not None))
    conditions = own_rules(field.operation)
    named = tuple(row.layer for row in conditions if row.field_id in (None, field.pk))
    book = joined(conditions)
    key = (book.fingerprint, (*field.stack_on(middle), *named), year, form, given)
    if key not in _windows:
        if len(_windows) >= MOST_KEPT:
            _windows.clear()
        known = dict(given)
        _windows[key] = tuple(_joined(_closed_days(book, key[1], year, form, known)))
    return list(_windows[key])


def _closed_days(
    book: Rulebook, stack: tuple[str, ...], year: int, form: str, known: dict[str, Any]
) -> Iterator[tuple[dt.date, str]]:
    day = dt.date(year, 1, 1)
    while day.year == year:
        values = known | {
            "load.day": day,
            "load.method": "surface",
            "load.incorporated_same_date": False,
            "material.class": "manure",
            "material.form": form,
        }
        facts = Facts(values)
        for standing in book.for_stack(stack, day):
            if standing.rule.check != "barred" or standing.rule.subject != "load":
                continue
            finding, _scope, _missing = judge_rule(standing, facts)
            if finding is not None and finding.outcome == "not_met":
                yield day, finding.title
                break
        day += dt.timedelta(days=1)


def _joined(days: Iterator[tuple[dt.date, str]]) -> Iterator[ClosedWindow]:
    first: dt.date | None = None
    last: dt.date | None = None
    label = ""
    for day, title in days:
        if last is not None and first is not None and day == last + dt.timedelta(days=1):
            last = day
            continue
        if first is not None and last is not None:
            yield ClosedWindow(first, last, label)
        first, last, label = day, day, title
    if first is not None and last is not None:
        yield ClosedWindow(first, last, label)
