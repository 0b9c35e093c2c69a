"""Findings of storages, transfers and the operation's period, computed afresh.

A year has few of these records, so nothing of them is kept in the index: every page and report
judges them when it is opened.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from farmrecords.farm.models import Storage
from farmrecords.findings.doors import open_door
from farmrecords.findings.farm_rows import FarmPeriod
from farmrecords.findings.judging import Judge, weight
from farmrecords.findings.load_facts import operation_facts
from farmrecords.findings.operation_facts import farm_facts
from farmrecords.findings.storage_facts import discharge_facts, storage_facts
from farmrecords.findings.transfer_facts import transfer_facts
from farmrecords.loads.models import Transfer
from farmrecords.people.models import Operation
from farmrecords.rules.facts import Facts
from farmrecords.rules.findings import Finding
from farmrecords.rules.judge import judge
from farmrecords.rules.reads import facts_read

open_door("storage", _("each storage's year"))
open_door("transfer", _("each transfer"))
open_door("operation", _("the operation's year"))

# Rules about one discharge or one deficiency: without such a record there is nothing to judge.
OF_A_DISCHARGE = frozenset({"discharge.oral_hours", "discharge.written_days"})
OF_A_DEFICIENCY = frozenset({"deficiency.open_days"})


@dataclass(frozen=True)
class Told:
    """One finding with the record it is about: a storage, a transfer, or the operation."""

    subject: str
    record: Any
    finding: Finding


class FarmJudge:
    """Judges the storages, transfers and the period of one operation with its rows read once."""

    def __init__(self, judge_: Judge, first_on: dt.date, last_on: dt.date) -> None:
        self.judge = judge_
        self.period = FarmPeriod(judge_.around, first_on, last_on)

    def storage(self, storage: Storage) -> list[Finding]:
        """The findings of a storage's period, weightiest first."""
        has_one = any(row.storage_id == storage.pk for row in self.period.discharges)
        return self._heaviest(
            storage_facts(self.period, storage), "storage", () if has_one else OF_A_DISCHARGE
        )

    def transfer(self, transfer: Transfer) -> list[Finding]:
        """The findings of one hand-over, weightiest first; none for manure received."""
        if transfer.direction != "out" or transfer.voided:
            return []
        facts = transfer_facts(self.period, transfer)
        stack = self.judge.around.farm_stack(transfer.moved_on)
        return self._heaviest([facts], "transfer", (), (stack, transfer.moved_on))

    def operation(self) -> list[Finding]:
        """The findings of the operation's period, weightiest first.

        A discharge that names no storage is judged here for when the agency was told.
        """
        left_out = () if self.period.deficiencies else OF_A_DEFICIENCY
        found = self._heaviest(farm_facts(self.period), "operation", left_out)
        return sorted([*found, *self._unnamed_discharges()], key=weight)

    def of_facts(self, cases: Iterable[Facts], subject: str) -> list[Finding]:
        """The findings of facts that another room gathered, on the day and under the stack."""
        return self._heaviest(cases, subject, ())

    def told(self) -> Iterator[Told]:
        """Every finding of the period with its record."""
        for storage in self.period.storages:
            yield from (Told("storage", storage, one) for one in self.storage(storage))
        for transfer in self.period.transfers:
            yield from (Told("transfer", transfer, one) for one in self.transfer(transfer))
        for one in self.operation():
            yield Told("operation", self.period.operation, one)

    def _unnamed_discharges(self) -> list[Finding]:
        permit = operation_facts(self.judge.around.permit(self.period.day))
        rows = [row for row in self.period.discharges if row.storage_id is None]
        facts = [
            Facts({name: value for name, value in (permit | discharge_facts(row)).items() if value})
            for row in rows
        ]
        found = self._heaviest(facts, "storage", ())
        return [one for one in found if self._reads(one) & OF_A_DISCHARGE]

    def _heaviest(
        self,
        cases: Iterable[Facts],
        subject: str,
        left_out: Iterable[str],
        place: tuple[tuple[str, ...], dt.date] | None = None,
    ) -> list[Finding]:
        """Each rule's weightiest finding over the cases, without rules that read what is named."""
        stack, day = place or (self.period.stack, self.period.day)
        unread = frozenset(left_out)
        found: dict[str, Finding] = {}
        for facts in cases:
            for one in judge(
                self.judge.rulebook, stack, facts, day, subject, confirmed=self.judge.confirmed
            ):
                if self._reads(one) & unread:
                    continue
                known = found.get(one.rule_id)
                if known is None or weight(one) < weight(known):
                    found[one.rule_id] = one
        return sorted(found.values(), key=weight)

    def _reads(self, finding: Finding) -> frozenset[str]:
        return frozenset(facts_read(self.judge.rulebook.rule(finding.rule_id)) or ())


def year_of(operation: Operation, on: dt.date) -> tuple[dt.date, dt.date]:
    """First and last day of the operation's year that holds the day: its reporting period."""
    permit = operation.permits.the_one_in_force(on)
    if permit is None:
        return dt.date(on.year, 1, 1), dt.date(on.year, 12, 31)
    period: tuple[dt.date, dt.date] = permit.period_containing(on)
    return period


def of_farm(operation: Operation, first_on: dt.date, last_on: dt.date) -> FarmJudge:
    """Who judges the operation's storages, transfers and period from the records as they stand."""
    return FarmJudge(Judge(operation), first_on, last_on)
