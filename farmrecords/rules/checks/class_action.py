"""Class action: what a field's P risk class permits.

The class comes from the procedure's number by the rule's own bounds, or as entered; where
both are known and differ, both stay possible.
"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.checks.limit import TEMPLATES, against_span
from farmrecords.rules.checks.limits import combined, one_limit
from farmrecords.rules.conditions import any_bundle, unsettled_bundles
from farmrecords.rules.facts import UNKNOWN, Facts
from farmrecords.rules.findings import Comparison
from farmrecords.rules.model import Rule, RuleOnDay, Verdict
from farmrecords.rules.vocabulary import TERMS

Class = Mapping[str, Any]


def class_of(value: Decimal, classes: tuple[Class, ...], standing: RuleOnDay) -> tuple[Class, ...]:
    """The class of a number; two of them on a bound whose side the text leaves open.

    The number has no unit; ``classes`` stand lowest first, each but the last with one bound.
    """
    found: list[Class] = []
    for row in classes:
        bound = standing.plain.get(row["up_to"] or row["below"])
        if bound is None or not isinstance(bound.value, Decimal):
            return (*found, row)
        inside = value <= bound.value if row["up_to"] else value < bound.value
        if bound.bound_unclear and value == bound.value:
            found.append(row)
        elif inside:
            return (*found, row)
    return tuple(found)


def possible_classes(standing: RuleOnDay, facts: Facts) -> tuple[Class, ...]:
    """The classes the field may be in: by its number, by the class entered, or all of them."""
    keys = standing.rule.keys
    classes: tuple[Class, ...] = keys["classes"]
    value = facts.get(keys["value_fact"])
    entered = facts.get(keys["class_fact"]) if keys["class_fact"] else UNKNOWN
    found: tuple[Class, ...] = ()
    if isinstance(value, Decimal):
        found = class_of(value, classes, standing)
    if entered is not UNKNOWN:
        named = tuple(
            row for row in classes if entered in (row["name"], *row["also"]) and row not in found
        )
        found += named
    return found or classes


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Met or not met where each class the field may be in says the same."""
    keys = standing.rule.keys
    rows = possible_classes(standing, facts)
    verdicts = [_permitted(row, standing, facts) for row in rows]
    value = facts.get(keys["value_fact"])
    entered = facts.get(keys["class_fact"]) if keys["class_fact"] else UNKNOWN
    first = Comparison(
        TERMS[keys["value_fact"]].meaning,
        value if isinstance(value, Decimal) else None,
        "is",
        rows[0]["name"] if len(rows) == 1 else None,
    )
    names = tuple(str(row["name"]) for row in rows)
    if len({verdict.answer for verdict in verdicts}) == 1 and verdicts[0].answer is not None:
        # The strictest class speaks where several agree.
        verdict = verdicts[-1]
        params = {**verdict.params, "classes": names}
        compared = (first, *verdict.compared)
        return Verdict(verdict.answer, verdict.key, params, compared, decided_by=names[-1])
    missing = [name for verdict in verdicts for name in verdict.missing]
    if len(rows) > 1:
        unknown = entered is UNKNOWN and value is UNKNOWN
        missing.insert(0, keys["value_fact"] if unknown else "rule.wording")
    compared = (first, *(row for verdict in verdicts for row in verdict.compared))
    params = {"classes": names}
    return Verdict(None, "cannot_tell", params, compared, tuple(dict.fromkeys(missing)))


def _permitted(row: Class, standing: RuleOnDay, facts: Facts) -> Verdict:
    """What one class says to this field's year."""
    if row["needs"]:
        holds, _ = any_bundle(row["needs"], facts.get, standing.cells)
        if not holds:
            missing = unsettled_bundles(row["needs"], facts.get, standing.cells)
            words = " or ".join(bundle.name for bundle in row["needs"])
            return Verdict(holds, "needs", {"needs": words}, (), missing)
    if row["permits"] == "n_based":
        return Verdict(True, "n_based", {})
    if row["permits"] == "planner":
        return Verdict(None, "planner", {}, (), ("rule.wording",))
    if row["permits"] == "none":
        return _none_applied(row["actual"], facts)
    spans = [one_limit(pair, standing, facts.get) for pair in row["limits"]]
    return against_span(standing, facts, combined(spans, row["combine"]), row["actual"], "")


def _none_applied(name: str, facts: Facts) -> Verdict:
    actual = facts.get(name)
    term = TERMS[name]
    if not isinstance(actual, Decimal):
        compared = (Comparison(term.meaning, None, "is", Decimal(0), term.unit),)
        return Verdict(None, "cannot_tell", {}, compared, (name,))
    compared = (Comparison(term.meaning, actual, "is", Decimal(0), term.unit),)
    params = {"actual": actual, "unit": term.unit}
    if actual > 0:
        return Verdict(False, "none_permitted", params, compared)
    return Verdict(True, "none_applied", params, compared)


def complaints(rule: Rule) -> list[str]:
    """Classes out of order or without what they need."""
    found = []
    rows = rule.keys["classes"]
    for number, row in enumerate(rows):
        bounded = bool(row["up_to"]) != bool(row["below"])
        if bounded is (number == len(rows) - 1):
            found.append(f"class {row['name']!r}: each class but the last has one bound")
        if row["permits"] in ("none", "capped") and row["actual"] not in TERMS:
            found.append(f"class {row['name']!r}: name the fact that is limited as 'actual'")
        if (row["permits"] == "capped") is not bool(row["limits"]):
            found.append(f"class {row['name']!r}: limits belong to what is capped")
    return found


CHECK = Check(
    "class_action",
    {
        "value_fact": Key("fact"),
        "class_fact": Key("fact", required=False),
        "classes": Key("classes"),
    },
    decide,
    {
        **TEMPLATES,
        "n_based": "{title}: the class is {classes}, which allows rates by nitrogen.",
        "none_permitted": "{title}: class {classes} permits none; {actual} {unit} went on.",
        "none_applied": "{title}: class {classes} permits none, and none went on.",
        "needs": "{title}: the class is {classes}, and that asks for {needs}.",
        "within": "{title}: the class is {classes}; {actual} {unit} went on and at most {limit} "
        "{unit} may.",
        "beyond": "{title}: class {classes}; {actual} {unit} is past the limit of {high} {unit}.",
        "cannot_tell": "{title}: cannot tell; not known: {missing}.",
    },
    complaints=complaints,
)
