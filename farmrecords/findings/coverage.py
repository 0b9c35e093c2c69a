"""What is checked for an operation and what is not, from the declared coverage of its stack."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from farmrecords.findings.confirming import is_to_confirm, weakest_status
from farmrecords.rules.coverage import CoverageRow, count
from farmrecords.rules.model import Rule, Section
from farmrecords.rules.rulebook import Rulebook

STATES = ("encoded", "partly", "not_encoded", "elsewhere")


@dataclass(frozen=True)
class Line:
    """A rule in force and how firmly it stands: read, confirmed, to_confirm or memory."""

    rule: Rule
    standing: str


@dataclass(frozen=True)
class Covered:
    """One layer of the stack: its rules in force by section, its rows, and both counted."""

    name: str
    title: str
    as_of: str
    sections: tuple[tuple[Section, tuple[Line, ...]], ...]
    rows: tuple[CoverageRow, ...]
    by_standing: dict[str, int]
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
    return Covered(
        name=name,
        title=declared.title if declared else name,
        as_of=declared.as_of if declared else "",
        sections=tuple((some[0].rule.section, tuple(some)) for some in sections.values()),
        rows=declared.rows if declared else (),
        by_standing=count(line.standing for line in lines),
        by_state=declared.counts() if declared else {},
    )


def standing_of(rule: Rule, confirmed: Collection[str]) -> str:
    """How firmly a rule stands for the operation."""
    if weakest_status(rule) == "memory":
        return "memory"
    if not is_to_confirm(rule):
        return "read"
    return "confirmed" if rule.fingerprint in confirmed else "to_confirm"
