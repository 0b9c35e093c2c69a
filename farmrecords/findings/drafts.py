"""An operation's year under draft rules: every finding that would change."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from farmrecords.findings.judging import Judge
from farmrecords.loads.models import Load
from farmrecords.loads.year import years_of
from farmrecords.people.models import Operation
from farmrecords.rules.findings import Finding
from farmrecords.rules.rulebook import Rulebook


@dataclass(frozen=True)
class Changed:
    """One finding that a draft changes; "no finding" where a rule says nothing."""

    record: str
    rule_id: str
    now: str
    then: str


def changed_findings(operation: Operation, year: int, draft: Rulebook) -> Iterator[Changed]:
    """The findings of the crop year's loads and fields that differ under the draft."""
    now, then = Judge(operation), Judge(operation, draft)
    loads = (
        Load.objects.filter(operation=operation, crop_year=year)
        .counted()
        .select_related("operation", "spreader", "rate_test", "content_test", "facts")
        .prefetch_related("parts__field__operation", "draws__storage")
        .order_by("local_day", "pk")
    )
    for load in loads:
        record = f"load of {load.local_day}, {load.parts.all()[0].field}"
        yield from _differences(record, now.load(load), then.load(load))
    for held in years_of(operation, year).values():
        record = f"{held.field}, year {year}"
        yield from _differences(record, now.field_year(held), then.field_year(held))


def _differences(
    record: str, before: Iterable[Finding], after: Iterable[Finding]
) -> Iterator[Changed]:
    was = {finding.rule_id: finding.outcome for finding in before}
    becomes = {finding.rule_id: finding.outcome for finding in after}
    for rule_id in sorted({*was, *becomes}):
        old, new = was.get(rule_id, "no finding"), becomes.get(rule_id, "no finding")
        if old != new:
            yield Changed(record, rule_id, str(old), str(new))
