"""An operation's year under draft rules: every finding that would change."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from farmrecords.findings.judging import Judge
from farmrecords.loads.models import Load
from farmrecords.loads.year import years_of
from farmrecords.people.models import Operation
from farmrecords.rules.findings import differing
from farmrecords.rules.rulebook import Rulebook


@dataclass(frozen=True)
class Changed:
    """One finding that a draft changes; "no finding" where a rule says nothing."""

    record: str
    rule_id: str
    title: str
    now: str
    then: str
    field: str
    day: dt.date | None = None
    load: UUID | None = None


def changed_findings(
    operation: Operation, year: int, draft: Rulebook, loads: Any = None
) -> Iterator[Changed]:
    """The findings of the crop year's loads and fields that differ under the draft.

    `loads` narrows which loads are looked at, to what a seat may see.
    """
    now, then = Judge(operation), Judge(operation, draft)
    rows = (
        (Load.objects.filter(operation=operation) if loads is None else loads)
        .filter(crop_year=year)
        .counted()
        .select_related("operation", "spreader", "rate_test", "content_test", "facts")
        .prefetch_related("parts__field__operation", "draws__storage")
        .order_by("local_day", "pk")
    )
    for load in rows:
        field = str(load.parts.all()[0].field)
        record = f"load of {load.local_day}, {field}"
        for one, was, new in differing(now.load(load), then.load(load)):
            yield Changed(record, one.rule_id, one.title, was, new, field, load.local_day, load.pk)
    for held in years_of(operation, year).values():
        field = str(held.field)
        for one, was, new in differing(now.field_year(held), then.field_year(held)):
            yield Changed(f"{field}, year {year}", one.rule_id, one.title, was, new, field)
