"""Records meet rules: the findings of a load and of a field's year, computed afresh.

A load that went onto several fields is judged part by part; each rule then says the weightiest of
its outcomes, and names the field it concerns.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext_lazy as _

from farmrecords.findings.doors import open_door
from farmrecords.findings.load_facts import part_facts
from farmrecords.findings.permit_layer import joined
from farmrecords.findings.rolling import ROLLING, SINCE, rolling_facts
from farmrecords.findings.rulebooks import confirmed_rules
from farmrecords.findings.surroundings import Surroundings
from farmrecords.findings.year_facts import year_facts
from farmrecords.history import clock
from farmrecords.loads.facts import facts_of, facts_within
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.year import FieldYear, field_year
from farmrecords.rules.asks import largest_ft
from farmrecords.rules.facts import Facts
from farmrecords.rules.findings import COUNTED, ON_FIELD, OUTCOMES, Finding, counted_under
from farmrecords.rules.judge import judge
from farmrecords.rules.reads import facts_read
from farmrecords.rules.rulebook import Rulebook

BEDROCK, SILURIAN = "field.bedrock", "silurian"

open_door("load", _("each load"))
open_door("field_year", _("each field's year"))


class Judge:
    """Judges many records of one operation with its surroundings read once.

    The rulebook is the one in use, or a draft, joined by the operation's permit conditions.
    """

    def __init__(self, operation: Any, book: Rulebook | None = None) -> None:
        self.around = Surroundings(operation)
        self.confirmed = confirmed_rules(operation)
        self.rulebook = joined(self.around.conditions, book)
        self.around.asked_ft = float(largest_ft(self.rulebook.rules))
        self._asked: dict[tuple[str, ...], frozenset[str]] = {}

    def load(self, load: Load) -> list[Finding]:
        """The findings of one load, weightiest first."""
        kept = {row["part"]: row for row in self._told(load)}
        parts = list(load.parts.all())
        found: dict[str, Finding] = {}
        for part in parts:
            stack = self.around.stack(part.field, load.local_day)
            facts = self._facts(load, part, kept.get(part.number), stack)
            for finding in judge(
                self.rulebook, stack, facts, load.local_day, "load", confirmed=self.confirmed
            ):
                if len(parts) > 1:
                    finding = _on_field(finding, str(part.field))
                known = found.get(finding.rule_id)
                if known is None or weight(finding) < weight(known):
                    found[finding.rule_id] = finding
        return sorted(found.values(), key=weight)

    def _facts(
        self, load: Load, part: LoadPart, told: dict[str, Any] | None, stack: tuple[str, ...]
    ) -> Facts:
        """The facts of one part; sums over earlier loads only where a rule asks for them.

        The gallons of week and year are asked of ground over one kind of bedrock alone.
        """
        facts = part_facts(self.around, load, part, told)
        wanted = self._rolling_asked(stack)
        if facts.get(BEDROCK) != SILURIAN:
            wanted = wanted & {SINCE}
        rolling = rolling_facts(self.around, load, part, told, wanted)
        known = {name: value for name, value in rolling.items() if name not in facts.values_by_name}
        return Facts({**facts.values_by_name, **known}, facts.features) if known else facts

    def _rolling_asked(self, stack: tuple[str, ...]) -> frozenset[str]:
        """Which of the rolling facts the rules of the stack read."""
        if stack not in self._asked:
            self._asked[stack] = frozenset(
                name
                for rule in self.rulebook.rules
                if rule.jurisdiction in stack and rule.subject == "load"
                for name in facts_read(rule) or ()
                if name in ROLLING
            )
        return self._asked[stack]

    def _told(self, load: Load) -> list[dict[str, Any]]:
        """The kept facts of a load; searched anew where a draft asks for larger distances."""
        told: list[dict[str, Any]] = facts_of(load).parts
        if all(row["searched_ft"] >= self.around.asked_ft for row in told):
            return told
        return list(facts_within([load], self.around.asked_ft)[load.pk].parts)

    def field_year(self, year: FieldYear) -> list[Finding]:
        """The findings of one field's crop year, weightiest first."""
        on = year_day(year)
        facts = year_facts(self.around, year, on)
        stack = self.around.stack(year.field, on)
        found = judge(self.rulebook, stack, facts, on, "field_year", confirmed=self.confirmed)
        return sorted(found, key=weight)


def of_load(load: Load) -> list[Finding]:
    """The findings of a load, computed afresh; none for a load that does not count."""
    return Judge(load.operation).load(load) if not load.voided else []


def of_field_year(field: Any, crop_year: int) -> list[Finding]:
    """The findings of a field's crop year, computed afresh."""
    return Judge(field.operation).field_year(field_year(field, crop_year))


def year_day(year: FieldYear) -> dt.date:
    """The day a field's crop year is judged on: its last load's, or today while it has none."""
    return year.last_load_on or min(
        clock.today(year.field.operation.time_zone), dt.date(year.crop_year, 12, 31)
    )


def counts(findings: Iterable[Finding]) -> dict[str, int]:
    """How many findings of each outcome; rules still to be confirmed are counted apart."""
    found = dict.fromkeys(COUNTED, 0)
    for finding in findings:
        found[counted_under(finding.outcome, finding.standing)] += 1
    return found


def weight(finding: Finding) -> tuple[int, str]:
    """The order of findings: what is not met first, then by rule."""
    return OUTCOMES.index(finding.outcome), finding.rule_id


def _on_field(finding: Finding, field: str) -> Finding:
    return dataclasses.replace(finding, params={**finding.params, ON_FIELD: field})
