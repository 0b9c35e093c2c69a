"""What is checked for an operation and what is not, from the declared coverage of its stack."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from farmrecords.findings.confirming import is_to_confirm
from farmrecords.findings.doors import is_open, words_of
from farmrecords.findings.farm_judging import Told as Told  # its doors stand open with it
from farmrecords.rules.coverage import CoverageRow, count
from farmrecords.rules.model import Rule, Section
from farmrecords.rules.rulebook import Rulebook

# Rows of coverage as shown: "unchecked" is written as rules, none of which judges records yet.
STATES = ("encoded", "partly", "not_encoded", "elsewhere", "unchecked")
WRITTEN = ("encoded", "partly")


@dataclass(frozen=True)
class Line:
    """A rule in force and how firmly it stands: read, confirmed, to_confirm or memory.

    `is_judged` is whether records are held to it: whether its subject has a door that gathers
    their facts.
    """

    rule: Rule
    standing: str

    @property
    def is_judged(self) -> bool:
        """Whether records are held to the rule."""
        return is_open(self.rule.subject)

    @property
    def judged_on(self) -> str:
        """Which records are held to the rule, in words."""
        return words_of(self.rule.subject)


@dataclass(frozen=True)
class Covered:
    """One layer of the stack: its rules in force by section, its rows, and both counted.

    `by_standing` counts the rules that records are held to, `unjudged` the others.
    """

    name: str
    title: str
    as_of: str
    sections: tuple[tuple[Section, tuple[Line, ...]], ...]
    rows: tuple[CoverageRow, ...]
    by_standing: dict[str, int]
    unjudged: int
    by_state: dict[str, int]

    @property
    def left_out(self) -> tuple[CoverageRow, ...]:
        """The rows that are not checked here, or only in part, each with its reason."""
        return tuple(row for row in self.rows if row.state != "encoded")


def covered(
    book: Rulebook,
    stack: Sequence[str],
    own: Sequence[str],
    on: dt.date,
    confirmed: Collection[str],
) -> list[Covered]:
    """Each jurisdiction of the stack, then the operation's own conditions under one name."""
    found = [_one(book, name, (name,), on, confirmed) for name in stack]
    if own:
        found.append(_one(book, "permit", tuple(own), on, confirmed))
    return found


def _one(
    book: Rulebook, name: str, layer: tuple[str, ...], on: dt.date, confirmed: Collection[str]
) -> Covered:
    sections: dict[str, list[Line]] = {}
    for standing in book.for_stack(layer, on):
        line = Line(standing.rule, standing_of(standing.rule, confirmed))
        sections.setdefault(standing.rule.section.path, []).append(line)
    declared = book.coverage.get(name)
    lines = [line for some in sections.values() for line in some]
    subjects = {rule.id: rule.subject for rule in book.rules}
    rows = tuple(_as_shown(row, subjects) for row in declared.rows) if declared else ()
    return Covered(
        name=name,
        title=declared.title if declared else name,
        as_of=declared.as_of if declared else "",
        sections=tuple((some[0].rule.section, tuple(some)) for some in sections.values()),
        rows=rows,
        by_standing=count(line.standing for line in lines if line.is_judged),
        unjudged=sum(not line.is_judged for line in lines),
        by_state=count(row.state for row in rows),
    )


def _as_shown(row: CoverageRow, subjects: Mapping[str, str]) -> CoverageRow:
    """The row; "unchecked" where no rule of it judges records, "partly" where only some do."""
    if row.state not in WRITTEN or not row.rules:
        return row
    judged = [is_open(subjects[name]) for name in row.rules]
    if not any(judged):
        return replace(row, state="unchecked")
    return row if all(judged) else replace(row, state="partly")


def standing_of(rule: Rule, confirmed: Collection[str]) -> str:
    """How firmly a rule stands for the operation."""
    if rule.weakest_status == "memory":
        return "memory"
    if not is_to_confirm(rule):
        return "read"
    return "confirmed" if rule.fingerprint in confirmed else "to_confirm"
