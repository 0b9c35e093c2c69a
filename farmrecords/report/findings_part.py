"""Findings of the period, computed afresh: met, not met, cannot tell, and notices, rule by rule.

What was met is counted. What was not met is shown one by one; what cannot be told is grouped by
the fact that is missing, because one entry mends the whole group.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from farmrecords.findings.farm_judging import FarmJudge
from farmrecords.findings.judging import Judge
from farmrecords.loads.year import years_of
from farmrecords.report.figures import Address
from farmrecords.report.model import (
    AnnualReport,
    Counts,
    FindingRow,
    FindingsPart,
    RuleFindings,
)
from farmrecords.report.report_facts import report_facts
from farmrecords.report.rows import Rows
from farmrecords.rules.findings import Finding
from farmrecords.rules.vocabulary import FEATURE_VOCABULARY, VOCABULARY

WORDS = (
    "These are the findings of the checks named here, computed from the records as they stand. A "
    "matter that was not checked, or could not be told, is not thereby in order."
)

NAMED = 24  # moments written out in one row; the load tables of the fields have them all


@dataclass(frozen=True)
class Judged:
    """One finding with the field and the moment or crop year it is about."""

    field: str
    moment: str
    address: Address
    finding: Finding
    day: dt.date | None = None


def findings_of(rows: Rows, report: AnnualReport) -> FindingsPart:
    """The findings of loads and fields' crop years, storages, transfers, the farm and the report.

    The report itself is judged where it covers the whole reporting period and nothing else.
    """
    judge = Judge(rows.operation)
    farm = FarmJudge(judge, rows.first_on, rows.last_on)
    found = [*_judged(rows, judge), *_of_the_farm(farm)]
    if report.cover.is_whole_period:
        found += _of_the_report(rows, report, farm)
    by_rule: dict[str, list[Judged]] = defaultdict(list)
    for row in found:
        by_rule[row.finding.rule_id].append(row)
    rules = [_rule(rows_of_rule) for rows_of_rule in by_rule.values()]
    return FindingsPart(
        _counts(row.finding for row in found if row.finding.standing != "to_confirm"),
        _counts(row.finding for row in found if row.finding.standing == "to_confirm"),
        tuple(sorted(rules, key=lambda rule: (-rule.not_met_count, rule.rule_id))),
        WORDS,
    )


def _of_the_farm(farm: FarmJudge) -> Iterable[Judged]:
    period = f"{farm.period.first_on:%Y-%m-%d} to {farm.period.last_on:%Y-%m-%d}"
    for told in farm.told():
        row = told.record
        if told.subject == "storage":
            address = Address("storage", (("pk", str(row.pk)),))
            yield Judged(row.name, period, address, told.finding)
        elif told.subject == "transfer":
            address = Address("record_page", (("kind", "transfers"), ("pk", str(row.pk))))
            receiver = row.receiver_name.strip() or "receiver not entered"
            yield Judged(
                f"Transfer to {receiver}", f"{row.moved_on:%Y-%m-%d}", address, told.finding
            )
        else:
            yield Judged("The operation", period, Address("permit"), told.finding)


def _of_the_report(rows: Rows, report: AnnualReport, farm: FarmJudge) -> Iterable[Judged]:
    facts = report_facts(rows, report, farm.period.today)
    days = f"{rows.first_on:%Y-%m-%d} to {rows.last_on:%Y-%m-%d}"
    address = Address("report_period", (("first", f"{rows.first_on}"), ("last", f"{rows.last_on}")))
    for finding in farm.of_facts([facts], "report"):
        yield Judged("The report", days, address, finding)


def _judged(rows: Rows, judge: Judge) -> Iterable[Judged]:
    for load in rows.loads:
        address = Address("load", (("pk", str(load.pk)),))
        for finding in judge.load(load):
            yield Judged(_field_names(load), _moment(load), address, finding, load.local_day)
    used = {field.pk for field in rows.used_fields}
    for crop_year in sorted({load.crop_year for load in rows.loads}):
        for pk, year in years_of(rows.operation, crop_year, until=rows.last_on).items():
            if pk not in used:
                continue
            address = Address("field_year", (("pk", str(pk)), ("crop_year", str(crop_year))))
            for finding in judge.field_year(year):
                yield Judged(str(year.field), f"crop year {crop_year}", address, finding)


def _field_names(load: Any) -> str:
    return ", ".join(str(part.field) for part in load.parts.all())


def _moment(load: Any) -> str:
    return f"{load.local_day:%Y-%m-%d} {load.started_local:%H:%M}"


def _counts(findings: Iterable[Finding]) -> Counts:
    found = dict.fromkeys(("met", "not_met", "cannot_tell", "notice"), 0)
    for finding in findings:
        found[finding.outcome] += 1
    return Counts(**found)


def _rule(judged: list[Judged]) -> RuleFindings:
    first = judged[0].finding
    each = {
        outcome: [row for row in judged if row.finding.outcome == outcome]
        for outcome in ("met", "not_met", "cannot_tell", "notice")
    }
    return RuleFindings(
        rule_id=first.rule_id,
        title=first.title,
        citation=first.citation,
        status=first.status,
        standing=first.standing,
        met=len(each["met"]),
        not_met=tuple(_row(group) for group in _by_field(each["not_met"])),
        cannot_tell=tuple(_row(group) for group in _by_missing(each["cannot_tell"])),
        notices=tuple(_row(group) for group in _by_sentence(each["notice"])),
    )


def _by_field(judged: list[Judged]) -> list[list[Judged]]:
    """Findings of one field that say the same, with the same numbers, stand together."""
    return _grouped(judged, lambda row: (row.field, row.finding.sentence, _compared(row.finding)))


def _by_missing(judged: list[Judged]) -> list[list[Judged]]:
    return _grouped(judged, lambda row: row.finding.missing or (row.finding.sentence,))


def _by_sentence(judged: list[Judged]) -> list[list[Judged]]:
    return _grouped(judged, lambda row: row.finding.sentence)


def _grouped(judged: list[Judged], key: Callable[[Judged], Any]) -> list[list[Judged]]:
    groups: dict[Any, list[Judged]] = defaultdict(list)
    for row in judged:
        groups[key(row)].append(row)
    return list(groups.values())


def _compared(finding: Finding) -> tuple[str, ...]:
    return tuple(item.text() for item in finding.compared)


def fact_words(name: str) -> str:
    """What a fact means, in words; its own name when the vocabulary does not have it."""
    term = VOCABULARY.get(name) or FEATURE_VOCABULARY.get(name)
    return term.meaning if term else name


def _row(group: list[Judged]) -> FindingRow:
    first = group[0]
    same = {_compared(row.finding) for row in group}
    return FindingRow(
        subject=_subject(group),
        sentence=first.finding.sentence,
        compared=same.pop() if len(same) == 1 else (),
        missing=tuple(fact_words(name) for name in first.finding.missing),
        count=len(group),
        records=_address(group),
    )


def _address(group: list[Judged]) -> Address:
    """The record itself, or the log filtered by what the loads of a group have in common."""
    days = [row.day for row in group if row.day]
    if len(group) == 1 or not days:
        return group[0].address
    finding = group[0].finding
    return Address(
        "loads",
        query=(
            ("first", f"{min(days)}"),
            ("last", f"{max(days)}"),
            ("rule", finding.rule_id),
            ("outcome", finding.outcome),
        ),
    )


def _subject(group: list[Judged]) -> str:
    """The field and its moments, each day once; or the first record and how many more."""
    if len({row.field for row in group}) > 1:
        return f"{group[0].field}, {group[0].moment} and {len(group) - 1} more"
    words, day = [], ""
    for row in group[:NAMED]:
        here, _space, clock = row.moment.rpartition(" ")
        words.append(clock if here == day else row.moment)
        day = here
    more = f" and {len(group) - NAMED} more" if len(group) > NAMED else ""
    return f"{group[0].field}, {', '.join(words)}{more}"
