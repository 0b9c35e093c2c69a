"""Planning ahead: may I spread here, how much at most, and what would change the answer.

The same judge answers; here it is only asked again with one fact changed at a time.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from farmrecords.rules.facts import Facts
from farmrecords.rules.findings import Finding, differing
from farmrecords.rules.judge import judge
from farmrecords.rules.rulebook import Rulebook
from farmrecords.rules.vocabulary import TERMS

RATE_FACTS = ("load.rate_gal_per_ac", "load.rate_ton_per_ac")
RATE_WORDS = tuple(TERMS[name].meaning for name in RATE_FACTS)
NOTHING = Decimal(0)
A_LITTLE = Decimal(1).scaleb(-1)
# Ways of placing manure that a farm can choose: facts laid over the planned ones.
WAYS: tuple[tuple[str, dict[str, object]], ...] = (
    ("injected", {"load.method": "injected"}),
    (
        "incorporated at once",
        {
            "load.method": "incorporated",
            "load.incorporated_within_h": 0,
            "load.incorporated_same_date": True,
            "load.incorporated_immediately": True,
        },
    ),
)


@dataclass(frozen=True, slots=True)
class Most:
    """The most that may go on by the rules that name a number for it, and which rule it is."""

    amount: Decimal
    fact: str
    rule_id: str


@dataclass(frozen=True, slots=True)
class Change:
    """One change that turns the answer to yes, and what stays unknown then."""

    words: str
    on: date
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ahead:
    """``answer``: True (nothing stands against it), False, or None (cannot tell)."""

    answer: bool | None
    findings: tuple[Finding, ...]
    missing: tuple[str, ...]
    most: tuple[Most, ...]
    changes: tuple[Change, ...]


def ahead(
    rulebook: Rulebook,
    stack: Sequence[str],
    facts: Facts,
    on: date,
    *,
    recorded_later: Sequence[str] = (),
    days_ahead: int = 0,
    confirmed: Collection[str] = (),
) -> Ahead:
    """The answer for a load that is only planned.

    ``recorded_later`` names rules that can only be met afterwards (records of weather); their
    findings are left out. ``days_ahead`` is how many further days are tried for an opening.
    ``confirmed`` holds fingerprints of rules held against the official text.

    >>> from farmrecords.rules.rulebook import read_rulebook
    >>> on = date(2025, 1, 10)
    >>> facts = Facts({"load.day": on, "material.class": "manure"})
    >>> ahead(read_rulebook(), ["us-vt"], facts, on).answer
    False
    """
    findings = tuple(
        finding
        for finding in judge(rulebook, stack, facts, on, "load", confirmed=confirmed)
        if finding.rule_id not in recorded_later
    )
    answer, missing = _answer(findings)
    changes: tuple[Change, ...] = ()
    if answer is not True:
        tried = _tried(facts, on, days_ahead)
        changes = tuple(_helping(rulebook, stack, tried, recorded_later))
    return Ahead(answer, findings, missing, most_allowed(rulebook, stack, facts, on), changes)


def _answer(findings: Sequence[Finding]) -> tuple[bool | None, tuple[str, ...]]:
    outcomes = {finding.outcome for finding in findings}
    missing = tuple(
        dict.fromkeys(
            name
            for finding in findings
            if finding.outcome == "cannot_tell"
            for name in finding.missing
        )
    )
    if "not_met" in outcomes:
        return False, missing
    return (None if "cannot_tell" in outcomes else True), missing


def _tried(facts: Facts, on: date, days_ahead: int) -> Iterator[tuple[str, date, Facts]]:
    """One change at a time: another way of placing it, then later days."""
    for words, laid in WAYS:
        if facts.get("load.method") != laid["load.method"]:
            yield words, on, Facts({**facts.values_by_name, **laid}, facts.features)
    for number in range(1, days_ahead + 1):
        day = on + timedelta(days=number)
        later = Facts({**facts.values_by_name, "load.day": day}, facts.features)
        yield f"on {day.isoformat()}", day, later


def _helping(
    rulebook: Rulebook,
    stack: Sequence[str],
    tried: Iterator[tuple[str, date, Facts]],
    recorded_later: Sequence[str],
) -> Iterator[Change]:
    """The changes after which nothing is not met; of the later days only the first."""
    opened = False
    for words, day, facts in tried:
        if opened and words.startswith("on "):
            return
        findings = [
            finding
            for finding in judge(rulebook, stack, facts, day, "load")
            if finding.rule_id not in recorded_later
        ]
        answer, missing = _answer(findings)
        if answer is not False:
            opened = words.startswith("on ")
            yield Change(words, day, missing)


def most_allowed(
    rulebook: Rulebook, stack: Sequence[str], facts: Facts, on: date
) -> tuple[Most, ...]:
    """The least of the caps on the rate of one load, for gallons and for tons per acre.

    The judge says them: a cap counts where a rate of nothing is met, the number it names is still
    met, and any more is not. Caps that only advise, known from memory, or whose scope or number
    is not settled, name no number here.
    """
    found: list[Most] = []
    for name in RATE_FACTS:
        caps = [
            Most(limit, name, rule_id)
            for rule_id, limit in _named_at(rulebook, stack, _at_rate(facts, name, NOTHING), on)
            if _turns(rulebook, stack, facts, on, Most(limit, name, rule_id))
        ]
        found += sorted(caps, key=lambda cap: (cap.amount, cap.rule_id))[:1]
    return tuple(found)


def _at_rate(facts: Facts, name: str, rate: Decimal) -> Facts:
    return facts.without("load.rate_basis").derived(name, rate)


def _named_at(
    rulebook: Rulebook, stack: Sequence[str], facts: Facts, on: date
) -> Iterator[tuple[str, Decimal]]:
    """Each rule that compares the rate with a number and finds it met, and that number."""
    for finding in judge(rulebook, stack, facts, on, "load"):
        if finding.outcome != "met":
            continue
        for row in finding.compared:
            if row.words in RATE_WORDS and isinstance(row.limit, Decimal):
                yield finding.rule_id, row.limit


def _turns(rulebook: Rulebook, stack: Sequence[str], facts: Facts, on: date, cap: Most) -> bool:
    """Whether the rule is met at the number and no longer above it; a mere notice is no turn."""
    outcomes = []
    for rate in (cap.amount, cap.amount + A_LITTLE):
        found = judge(rulebook, stack, _at_rate(facts, cap.fact, rate), on, "load")
        outcomes += [one.outcome for one in found if one.rule_id == cap.rule_id]
    return outcomes in (["met", "not_met"], ["met", "cannot_tell"])


def changed_by(
    now: Rulebook,
    draft: Rulebook,
    stack: Sequence[str],
    facts: Facts,
    on: date,
    subject: str,
) -> list[tuple[str, str, str]]:
    """(rule, outcome now, outcome under the draft) for each finding a draft would change.

    A rule that says nothing has "no finding".
    """
    before = judge(now, stack, facts, on, subject)
    after = judge(draft, stack, facts, on, subject)
    return [(one.rule_id, was, becomes) for one, was, becomes in differing(before, after)]
