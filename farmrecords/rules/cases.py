"""Written situations: facts, a day, a stack, and the findings expected.

Rule authors, tests and users write the same form; ``manage.py judge`` runs it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from farmrecords.rules.facts import FactError, Facts, Feature
from farmrecords.rules.findings import OUTCOMES, Finding, shown
from farmrecords.rules.judge import judge
from farmrecords.rules.reader import load_toml
from farmrecords.rules.rulebook import Rulebook
from farmrecords.rules.tables import Table
from farmrecords.rules.vocabulary import SUBJECTS

# "none" expects that the rule makes no finding: it does not apply or does not stand.
EXPECTED = (*OUTCOMES, "none")


@dataclass(frozen=True, slots=True)
class Expected:
    """What a case expects of one rule; ``missing`` are facts that must be named."""

    rule: str
    outcome: str
    missing: tuple[str, ...]
    limit: Decimal | None
    standing: str


@dataclass(frozen=True, slots=True)
class Case:
    """One written situation."""

    path: str
    title: str
    on: date
    stack: tuple[str, ...]
    subject: str
    facts: Facts
    expected: tuple[Expected, ...]
    source: str

    def found(self, rulebook: Rulebook) -> list[Finding]:
        """The findings of this situation under a rulebook."""
        return judge(rulebook, self.stack, self.facts, self.on, self.subject)


def case_files(place: Path) -> Iterator[Path]:
    """The case file, or each case file of a folder in order of path."""
    if place.is_file():
        yield place
    else:
        yield from sorted(place.rglob("*.toml"))


def read_cases(path: Path, shown_path: str = "") -> list[Case]:
    """The cases of a file: one, or a list under ``[[cases]]`` that share ``[base]``."""
    shown_path = shown_path or path.as_posix()
    data = load_toml(path, shown_path)
    if "cases" not in data:
        return [_read_case(shown_path, data)]
    whole = Table(shown_path, "", data)
    base = whole.raw("base") or {}
    rows = whole.rows("cases", True)
    whole.finish()
    return [
        _read_case(f"{shown_path} case {number}", _joined(base, row))
        for number, row in enumerate(rows, 1)
    ]


def _joined(base: Mapping[str, Any], row: Mapping[str, Any]) -> dict[str, Any]:
    """A case of a list: the shared parts, with its own laid over them."""
    both = {**base, **row}
    for key in ("case", "facts"):
        both[key] = {**_flat(base.get(key, {})), **_flat(row.get(key, {}))}
    return both


def _flat(data: Mapping[str, Any], prefix: str = "") -> dict[str, Any]:
    """Dotted names from nested tables, so that ``ground.frozen = true`` may stand bare."""
    found: dict[str, Any] = {}
    for key, value in data.items():
        if isinstance(value, dict):
            found.update(_flat(value, f"{prefix}{key}."))
        else:
            found[f"{prefix}{key}"] = value
    return found


def _read_case(path: str, data: Mapping[str, Any]) -> Case:
    whole = Table(path, "", data)
    head = whole.table("case", True)
    title, day = head.text("title"), head.day("on")
    assert day is not None
    stack, source = head.texts("stack", True), head.text("source", False)
    subject = head.text("subject", choices=SUBJECTS)
    head.finish()
    values = _flat(whole.table("facts").pairs())
    rows = whole.rows("features")
    expected = tuple(
        _read_expected(Table(path, f"expect {number}", row))
        for number, row in enumerate(whole.rows("expect"), 1)
    )
    whole.finish()
    unknown = {name: None for name, value in values.items() if value == "UNKNOWN"}
    try:
        features = [Feature(**_feature(row)) for row in rows]
        facts = Facts({"load.day": day, **values, **unknown}, features)
    except (FactError, TypeError) as error:
        raise whole.fail("facts", str(error).rstrip("."), "mend the fact") from error
    return Case(path, title, day, stack, subject, facts, expected, source)


def _feature(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: None if value == "UNKNOWN" else value for name, value in row.items()}


def _read_expected(table: Table) -> Expected:
    rule = table.text("rule")
    outcome = table.text("outcome", choices=EXPECTED)
    missing = table.texts("missing")
    limit = table.amount("limit") if table.has("limit") else None
    standing = table.text("standing", False, ("firm", "to_confirm", "memory"))
    table.finish()
    return Expected(rule, outcome, missing, limit, standing)


def differences(case: Case, found: Sequence[Finding]) -> list[str]:
    """Where the findings are not as the case expects, in words."""
    by_rule = {finding.rule_id: finding for finding in found}
    wrong = []
    for expected in case.expected:
        finding = by_rule.get(expected.rule)
        outcome = finding.outcome if finding else "none"
        if outcome != expected.outcome:
            wrong.append(f"{expected.rule}: expected {expected.outcome}, found {outcome}")
            continue
        if finding is None:
            continue
        for name in expected.missing:
            if name not in finding.missing:
                wrong.append(f"{expected.rule}: {name} is not named as missing")
        limits = [row.limit for row in finding.compared]
        if expected.limit is not None and expected.limit not in limits:
            given = ", ".join(shown(limit) for limit in limits)
            wrong.append(f"{expected.rule}: expected limit {expected.limit}, found {given}")
        if expected.standing and expected.standing != finding.standing:
            wrong.append(f"{expected.rule}: stands {finding.standing}, not {expected.standing}")
    return wrong
