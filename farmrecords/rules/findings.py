"""What a rule says about a record: met, not met, cannot tell, or a notice."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Literal

from farmrecords.rules.facts import UNKNOWN
from farmrecords.rules.vocabulary import TERMS

Outcome = Literal["met", "not_met", "cannot_tell", "notice"]
Standing = Literal["firm", "to_confirm", "memory"]
# A parameter that names which field of several the finding concerns; it goes before the sentence.
ON_FIELD = "on_field"
OUTCOMES: tuple[Outcome, ...] = ("not_met", "cannot_tell", "notice", "met")

# Units that stand for many, and what one of them is called.
SINGLE = {"weeks": "week", "days": "day"}

COMPARATOR_WORDS = {
    "at_least": "at least",
    "more_than": "more than",
    "at_most": "at most",
    "less_than": "less than",
    "is": "",
    "between": "between",
}


def of_one(text: str, many: str, one: str) -> str:
    """A sentence in which a count of one has its unit in the singular.

    >>> of_one("1 weeks is past the limit of 0 weeks, not 1.1 weeks or 21 weeks", "weeks", "week")
    '1 week is past the limit of 0 weeks, not 1.1 weeks or 21 weeks'
    """
    return re.sub(rf"(?<![\d.,])1 {re.escape(many)}\b", f"1 {one}", text)


def shown(value: object) -> str:
    """A value as a person reads it: no trailing zeros, days as ISO text, words without bars.

    >>> shown(Decimal("82.50")), shown(Decimal("100")), shown(date(2025, 4, 1)), shown(True)
    ('82.5', '100', '2025-04-01', 'yes')
    """
    if value is None or value is UNKNOWN:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        text = f"{round(value, 2):,f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    if isinstance(value, datetime):
        return value.strftime("%Y-%m-%d %H:%M")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return ", ".join(shown(item) for item in value) if value else "none"
    if isinstance(value, str):
        return value.replace("_", " ")
    return str(value)


@dataclass(frozen=True, slots=True)
class Comparison:
    """One pair of numbers that was held against each other, in words a farmer reads.

    ``actual`` or ``limit`` is None when it is not known. ``unit`` belongs to both.
    """

    words: str
    actual: Any
    comparator: str
    limit: Any
    unit: str = ""

    def text(self) -> str:
        """The comparison in one line.

        >>> Comparison("distance", Decimal(82), "at_least", Decimal(100), "ft").text()
        'distance: 82 ft; asked: at least 100 ft'
        """
        unit = f" {self.unit}" if self.unit else ""
        actual = shown(self.actual) + (unit if self.actual is not None else "")
        if self.limit is None:
            return f"{self.words}: {actual}"
        if self.limit is UNKNOWN:
            return f"{self.words}: {actual}; asked: {shown(UNKNOWN)}"
        words = COMPARATOR_WORDS.get(self.comparator, self.comparator)
        return f"{self.words}: {actual}; asked: {words} {shown(self.limit)}{unit}".replace(
            "  ", " "
        )


@dataclass(frozen=True, slots=True)
class Finding:
    """What one rule says about one record on one day.

    ``message_key`` and ``params`` carry the sentence for translation; ``sentence`` is made from
    them on asking. ``section`` is the rule file's section (``us/412_4_setbacks``), ``status`` the
    status of the source (read, secondary, memory) and ``decided_by`` the alternative, exception
    or feature that settled the outcome.
    """

    rule_id: str
    title: str
    outcome: Outcome
    standing: Standing
    message_key: str
    template: str
    params: Mapping[str, Any]
    compared: tuple[Comparison, ...]
    missing: tuple[str, ...]
    citation: str
    section: str
    status: str
    decided_by: str = ""
    jurisdiction: str = ""
    severity: str = ""
    source: str = ""
    rule_fingerprint: str = ""
    worksheet_name: str = ""
    worksheet_inputs: tuple[tuple[str, Any], ...] = ()

    @property
    def sentence(self) -> str:
        """The plain sentence for the farmer, in English."""
        words = "; ".join(TERMS[name].meaning for name in self.missing)
        text = self.template.format_map(_Shown({**self.params, "missing": words}))
        unit = self.params.get("unit", "")
        if unit in SINGLE:
            text = of_one(text, unit, SINGLE[unit])
        return f"{self.params[ON_FIELD]}: {text}" if ON_FIELD in self.params else text

    def as_dict(self) -> dict[str, Any]:
        """The finding in plain types, for JSON."""
        return {
            "rule": self.rule_id,
            "title": self.title,
            "outcome": self.outcome,
            "standing": self.standing,
            "sentence": self.sentence,
            "message_key": self.message_key,
            "compared": [item.text() for item in self.compared],
            "missing": list(self.missing),
            "citation": self.citation,
            "section": self.section,
            "status": self.status,
            "decided_by": self.decided_by,
            "jurisdiction": self.jurisdiction,
            "severity": self.severity,
            "rule_fingerprint": self.rule_fingerprint,
            "worksheet": self.worksheet_name,
        }


class _Shown(dict[str, Any]):
    """Parameters of a sentence, each shown as a person reads it."""

    def __init__(self, params: Mapping[str, Any]) -> None:
        super().__init__({name: shown(value) for name, value in params.items()})

    def __missing__(self, name: str) -> str:
        return "not known"


NO_FINDING = "no finding"
COUNTED: tuple[str, ...] = (*OUTCOMES, "to_confirm")


def counted_under(outcome: str, standing: str) -> str:
    """The heading a finding counts under: its outcome, or apart while its rule is to confirm.

    >>> counted_under("not_met", "to_confirm"), counted_under("cannot_tell", "to_confirm")
    ('to_confirm', 'cannot_tell')
    """
    apart = standing == "to_confirm" and outcome in ("met", "not_met")
    return "to_confirm" if apart else outcome


def differing(
    before: Iterable[Finding], after: Iterable[Finding]
) -> Iterator[tuple[Finding, str, str]]:
    """Each finding whose outcome changed, in the order of rules: it, and both outcomes.

    A rule that says nothing on one side has "no finding" there.
    """
    was = {finding.rule_id: finding for finding in before}
    becomes = {finding.rule_id: finding for finding in after}
    for rule_id in sorted({*was, *becomes}):
        old, new = was.get(rule_id), becomes.get(rule_id)
        said = (old.outcome if old else NO_FINDING, new.outcome if new else NO_FINDING)
        either = new or old
        if said[0] != said[1] and either is not None:
            yield either, *said
