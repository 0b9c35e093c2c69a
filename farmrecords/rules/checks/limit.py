"""Limit: an amount, rate, share or count against a number, another fact, or both."""

from decimal import Decimal
from typing import Any

from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.checks.limits import Span, combined, held_against, one_limit
from farmrecords.rules.conditions import NUMBER_OPERATORS
from farmrecords.rules.facts import Facts
from farmrecords.rules.findings import Comparison
from farmrecords.rules.model import RuleOnDay, Verdict
from farmrecords.rules.vocabulary import TERMS


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Met, not met, or cannot tell where the amount or the limit is known too loosely.

    ``at_least_actual`` names a fact that is never above the actual amount (the rate over the
    whole field beside the rate on the covered ground): alone it can show a breach, never a rate
    that is kept.
    """
    keys = standing.rule.keys
    spans = [one_limit(pair, standing, facts.get) for pair in keys["limit"]]
    span = combined(spans, keys["combine"] or "least")
    return against_span(standing, facts, span, keys["actual"], keys["at_least_actual"])


def against_span(
    standing: RuleOnDay, facts: Facts, span: Span, name: str, floor_name: str
) -> Verdict:
    """The verdict on one fact, with its floor where only that is known, against a limit."""
    comparator = standing.rule.keys.get("comparator") or "at_most"
    actual = facts.get(name)
    floor = facts.get(floor_name) if floor_name else None
    term = TERMS[name]
    if isinstance(actual, Decimal):
        compared = (_comparison(term.meaning, actual, comparator, span, term.unit),)
        answer = held_against(actual, comparator, span)
        params = _params(actual, span, term.unit)
        if answer is None:
            missing = span.missing or ("rule.wording",)
            return Verdict(None, "loose", params, compared, missing)
        return Verdict(answer, "within" if answer else "beyond", params, compared)
    if isinstance(floor, Decimal) and comparator in ("at_most", "less_than"):
        floor_term = TERMS[floor_name]
        compared = (_comparison(floor_term.meaning, floor, comparator, span, term.unit),)
        params = _params(floor, span, term.unit)
        if held_against(floor, comparator, span) is False:
            return Verdict(False, "beyond_whole_field", params, compared)
        return Verdict(None, "whole_field_only", params, compared, (name, *span.missing))
    compared = (_comparison(term.meaning, None, comparator, span, term.unit),)
    return Verdict(None, "cannot_tell", {}, compared, (name, *span.missing))


def _comparison(words: str, actual: Any, comparator: str, span: Span, unit: str) -> Comparison:
    limit = span.exact if span.exact is not None else (span.high or span.low)
    return Comparison(words, actual, comparator, limit, unit)


def _params(actual: Decimal, span: Span, unit: str) -> dict[str, Any]:
    return {"actual": actual, "limit": span.exact, "low": span.low, "high": span.high, "unit": unit}


TEMPLATES = {
    "within": "{title}: {actual} {unit}; the limit here is {limit} {unit}.",
    "beyond": "{title}: {actual} {unit} is past the limit of {high} {unit}.",
    "beyond_whole_field": "{title}: even over the whole field it is {actual} {unit}; the limit "
    "here is {high} {unit}.",
    "whole_field_only": "{title}: over the whole field it is {actual} {unit}, but how much ground "
    "was covered is not known, so the rate there may be higher.",
    "loose": "{title}: {actual} {unit}; the limit is not settled, not known: {missing}.",
}

CHECK = Check(
    "limit",
    {
        "actual": Key("fact"),
        "at_least_actual": Key("fact", required=False),
        "comparator": Key("word", choices=NUMBER_OPERATORS),
        "limit": Key("limits"),
        "combine": Key("word", required=False, choices=("least", "greatest")),
    },
    decide,
    TEMPLATES,
)
