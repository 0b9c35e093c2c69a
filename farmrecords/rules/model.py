"""A rule as it stands in a rule file, and as it stands on one day."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from farmrecords.rules.conditions import Bundle, Condition, Getter, possible_cells
from farmrecords.rules.values import DatedValue

STATUS_ORDER = ("read", "secondary", "memory")
SEVERITIES = ("prohibit", "cap", "require", "plan", "advise")
# A rule that carries this value, in percent of solids, says itself what is solid here.
FORM_BOUND = "solid_from"
LAYERS = ("federal", "state", "permit", "watershed", "county", "standard")
FORCES = ("in_force", "stayed", "superseded", "unclear")


@dataclass(frozen=True, slots=True)
class Section:
    """One rule file: a section of the law."""

    path: str
    jurisdiction: str
    layer: str
    title: str
    citation: str
    status: str
    source: str
    compared_on: date | None
    from_on: date | None
    from_is: str
    fingerprint: str
    text: str


@dataclass(frozen=True, slots=True)
class Force:
    """The legal force of a rule over some days: in force, stayed, superseded or unclear."""

    state: str
    from_on: date
    until_on: date | None
    citation: str

    def covers(self, on: date) -> bool:
        """Whether this state stands on that day."""
        return self.from_on <= on and (self.until_on is None or on <= self.until_on)


@dataclass(frozen=True)
class Rule:
    """One requirement: where it stands, whom it binds, its dated values and its check."""

    id: str
    title: str
    subject: str
    check: str
    severity: str
    citation: str
    status: str
    source: str
    section: Section
    from_on: date
    until_on: date | None
    start_known: bool
    applies: tuple[Condition, ...]
    applies_any: tuple[Bundle, ...]
    exempt: tuple[Bundle, ...]
    exceptions: tuple[Bundle, ...]
    values: tuple[DatedValue, ...]
    keys: Mapping[str, Any]
    words: Mapping[str, str]
    force: tuple[Force, ...]
    enforced_if: tuple[Bundle, ...]
    overrides: tuple[str, ...]
    worksheet: str
    note: str
    fingerprint: str

    @property
    def jurisdiction(self) -> str:
        """The jurisdiction whose rule it is."""
        return self.section.jurisdiction

    @property
    def weakest_status(self) -> str:
        """The weakest source status of the rule and of all its values, in force or not."""
        statuses = [self.status, *(value.status for value in self.values)]
        return max(statuses, key=STATUS_ORDER.index)

    def in_force(self, on: date) -> bool:
        """Whether this rule stands in the book on that day; both ends are inside."""
        return self.from_on <= on and (self.until_on is None or on <= self.until_on)

    def change_days(self) -> Iterator[date]:
        """The days on which this rule, a value or its force begins, or has just ended."""
        spans = [(self.from_on, self.until_on)]
        spans += [(value.from_on, value.until_on) for value in self.values]
        spans += [(force.from_on, force.until_on) for force in self.force]
        for first, last in spans:
            yield first
            if last is not None:
                yield last + timedelta(days=1)

    def on(self, day: date) -> "RuleOnDay":
        """The rule with the values in force on that day."""
        values: dict[str, tuple[DatedValue, ...]] = {}
        for name in dict.fromkeys(value.name for value in self.values):
            standing = [v for v in self.values if v.name == name and v.in_force(day)]
            newest: dict[tuple[Condition, ...], DatedValue] = {}
            for value in standing:
                held = newest.get(value.where)
                if held is None or value.from_on > held.from_on:
                    newest[value.where] = value
            values[name] = tuple(newest.values())
        plain = {name: rows[0] for name, rows in values.items() if len(rows) == 1}
        state = next((force for force in self.force if force.covers(day)), None)
        statuses = [self.status, *(row.status for rows in values.values() for row in rows)]
        return RuleOnDay(self, values, plain, max(statuses, key=STATUS_ORDER.index), state)


@dataclass(frozen=True)
class RuleOnDay:
    """A rule on one day: ``cells`` by name for tables, ``plain`` for single values.

    ``status`` is the weakest source status of the rule and the values in force.
    """

    rule: Rule
    cells: Mapping[str, tuple[DatedValue, ...]]
    plain: Mapping[str, DatedValue]
    status: str
    force: Force | None = None
    remembered: dict[Any, Any] = field(default_factory=dict, compare=False, repr=False)
    _choosing: dict[str, tuple[str, ...]] = field(default_factory=dict, compare=False, repr=False)

    def possible(self, name: str, get: Getter) -> tuple[tuple[DatedValue, ...], bool]:
        """The cells that may be the one, in order, and whether one surely is."""
        return possible_cells(self.cells.get(name, ()), get, self.cells)

    def cell_facts(self, name: str) -> tuple[str, ...]:
        """The facts that choose among the cells of a table, worked out once for each table."""
        found: tuple[str, ...] | None = self._choosing.get(name)
        if found is None:
            where = (condition for cell in self.cells.get(name, ()) for condition in cell.where)
            found = tuple(dict.fromkeys(condition.fact for condition in where))
            self._choosing[name] = found
        return found


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a check found: yes (met), no, or None with the missing facts."""

    answer: bool | None
    key: str
    params: Mapping[str, Any] = field(default_factory=dict)
    compared: tuple[Any, ...] = ()
    missing: tuple[str, ...] = ()
    decided_by: str = ""
    soft: bool = False
