"""The one content of the annual report; page, PDF and JSON are made from it alone."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from django.utils import translation

from farmrecords.history.models import Log
from farmrecords.people.access import Seat
from farmrecords.people.models import Operation
from farmrecords.report.acres import acres_in_plan, acres_used
from farmrecords.report.certification import certification_of
from farmrecords.report.cover import cover_of
from farmrecords.report.fields import field_items
from farmrecords.report.findings_part import findings_of
from farmrecords.report.generated import generated_of
from farmrecords.report.ground import Work
from farmrecords.report.items import animals_of, discharges_of, planner_of, transferred_of
from farmrecords.report.model import AnnualReport, Counts, FindingsPart, HistoryHead
from farmrecords.report.narrative import narrative_of
from farmrecords.report.rows import Rows, read
from farmrecords.report.tests_used import tests_of

FILED_IN = "en"  # the language of the filing, whatever language the reader's pages are in


class NothingToSee(LookupError):
    """The seat's grant covers no day of the period."""


def build(
    operation: Operation, first: dt.date, last: dt.date, *, seat: Seat | None = None
) -> AnnualReport:
    """The report of a period, both days included, narrowed to what the seat may see."""
    if last < first:
        raise ValueError(f"The period ends on {last} before it begins on {first}.")
    if seat is not None:
        narrowed = seat.narrowed_period(first, last)
        if narrowed is None:
            raise NothingToSee(f"No day from {first} to {last} is within the grant.")
        first, last = narrowed
    with translation.override(FILED_IN):
        return _made_from(read(operation, first, last))


def _made_from(rows: Rows) -> AnnualReport:
    fields = field_items(rows, Work(rows))
    report = AnnualReport(
        cover=cover_of(rows),
        animals=animals_of(rows),
        generated=generated_of(rows),
        transferred=transferred_of(rows),
        acres_in_plan=acres_in_plan(rows),
        acres_used=acres_used(rows, fields),
        discharges=discharges_of(rows),
        planner=planner_of(rows),
        tests=tests_of(rows),
        fields=fields,
        narrative=narrative_of(rows),
        certification=certification_of(rows),
        findings=FindingsPart(Counts(), Counts(), ()),
        history=_head(rows.operation),
    )
    return replace(report, findings=findings_of(rows, report))


def _head(operation: Operation) -> HistoryHead:
    log = Log.objects.get(pk=operation.log_id)
    return HistoryHead(str(log.pk), log.head_seq, log.head_hash, log.head_at)
