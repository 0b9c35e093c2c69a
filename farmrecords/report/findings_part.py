"""Findings of the period, computed afresh: met, not met, cannot tell, and notices, rule by rule.

What was met is counted. What was not met is shown one by one; what cannot be told is grouped by
the fact that is missing, because one entry mends the whole group.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from farmrecords.findings.judging import Judge
from farmrecords.loads.year import years_of
from farmrecords.report.figures import Address
from farmrecords.report.model import Counts, FindingRow, FindingsPart, RuleFindings
from farmrecords.report.rows import Rows
from farmrecords.rules.findings import Finding
from farmrecords.rules.vocabulary import FEATURE_VOCABULARY, VOCABULARY

WORDS = (
    "These are the findings of the checks named here, computed from the records as they stand. A "
    "matter that was not checked, or could not be told, is not thereby in order."
)

Judged = tuple[str, Address, Finding]


def findings_of(rows: Rows) -> FindingsPart:
    """The findings of the period's loads and of its fields' crop years."""
    found = list(_judged(rows))
    by_rule: dict[str, list[Judged]] = defaultdict(list)
    for row in found:
        by_rule[row[2].rule_id].append(row)
    rules = [_rule(rows_of_rule) for rows_of_rule in by_rule.values()]
    return FindingsPart(
        _counts(f for _s, _a, f in found if f.standing != "to_confirm"),
        _counts(f for _s, _a, f in found if f.standing == "to_confirm"),
        tuple(sorted(rules, key=lambda rule: (-len(rule.not_met), rule.rule_id))),
        WORDS,
    )


def _judged(rows: Rows) -> Iterable[Judged]:
    judge = Judge(rows.operation)
    for load in rows.loads:
        subject = f"{load.local_day:%Y-%m-%d} {load.started_local:%H:%M}, {_field_names(load)}"
        for finding in judge.load(load):
            yield subject, Address("load", (("pk", str(load.pk)),)), finding
    used = {field.pk for field in rows.used_fields}
    for crop_year in sorted({load.crop_year for load in rows.loads}):
        for pk, year in years_of(rows.operation, crop_year, until=rows.last_on).items():
            if pk not in used:
                continue
            address = Address("field_year", (("pk", str(pk)), ("crop_year", str(crop_year))))
            for finding in judge.field_year(year):
                yield f"{year.field}, crop year {crop_year}", address, finding


def _field_names(load: Any) -> str:
    return ", ".join(str(part.field) for part in load.parts.all())


def _counts(findings: Iterable[Finding]) -> Counts:
    found = dict.fromkeys(("met", "not_met", "cannot_tell", "notice"), 0)
    for finding in findings:
        found[finding.outcome] += 1
    return Counts(**found)


def _rule(judged: list[Judged]) -> RuleFindings:
    first = judged[0][2]
    each = {
        outcome: [row for row in judged if row[2].outcome == outcome]
        for outcome in ("met", "not_met", "cannot_tell", "notice")
    }
    return RuleFindings(
        rule_id=first.rule_id,
        title=first.title,
        citation=first.citation,
        status=first.status,
        met=len(each["met"]),
        not_met=tuple(_row([row]) for row in each["not_met"]),
        cannot_tell=tuple(_row(group) for group in _by_missing(each["cannot_tell"])),
        notices=tuple(_row(group) for group in _by_sentence(each["notice"])),
    )


def _by_missing(judged: list[Judged]) -> list[list[Judged]]:
    groups: dict[tuple[str, ...], list[Judged]] = defaultdict(list)
    for row in judged:
        groups[row[2].missing or (row[2].sentence,)].append(row)
    return list(groups.values())


def _by_sentence(judged: list[Judged]) -> list[list[Judged]]:
    groups: dict[str, list[Judged]] = defaultdict(list)
    for row in judged:
        groups[row[2].sentence].append(row)
    return list(groups.values())


def fact_words(name: str) -> str:
    """What a fact means, in words; its own name when the vocabulary does not have it."""
    term = VOCABULARY.get(name) or FEATURE_VOCABULARY.get(name)
    return term.meaning if term else name


def _row(group: list[Judged]) -> FindingRow:
    subject, address, finding = group[0]
    if len(group) > 1:
        subject = f"{subject} and {len(group) - 1} more"
    return FindingRow(
        subject=subject,
        sentence=finding.sentence,
        compared=tuple(item.text() for item in finding.compared) if len(group) == 1 else (),
        missing=tuple(fact_words(name) for name in finding.missing),
        count=len(group),
        standing=finding.standing,
        records=address,
    )
