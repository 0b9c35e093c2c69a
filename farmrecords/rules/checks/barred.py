"""Barred: not to be done while one of some bundles of conditions holds.

Closed seasons, frozen, snow-covered and saturated ground, ground that takes no manure.
"""

from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.conditions import Bundle, any_bundle, unsettled_bundles
from farmrecords.rules.facts import UNKNOWN, Facts
from farmrecords.rules.findings import Comparison
from farmrecords.rules.model import RuleOnDay, Verdict
from farmrecords.rules.values import Window
from farmrecords.rules.vocabulary import TERMS


def compared_with(bundle: Bundle, standing: RuleOnDay, facts: Facts) -> tuple[Comparison, ...]:
    """What a bundle held against the facts, one comparison for each condition."""
    found = []
    for condition in bundle.conditions:
        term = TERMS[condition.fact]
        actual = facts.get(condition.fact)
        limit: object = condition.operand
        if condition.names_value():
            possible, _ = standing.possible(condition.names_value(), facts.get)
            limit = possible[-1].value if possible else None
        elif condition.operator.endswith("_fact"):
            limit = facts.get(str(condition.operand))
        found.append(
            Comparison(
                term.meaning,
                None if actual is UNKNOWN else actual,
                condition.operator.removesuffix("_fact").replace("_", " "),
                str(limit) if isinstance(limit, Window) else limit,
                term.unit,
            )
        )
    return tuple(found)


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Met if no bundle holds; not met if one does; cannot tell if one might."""
    bundles: tuple[Bundle, ...] = standing.rule.keys["barred"]
    holds, bundle = any_bundle(bundles, facts.get, standing.cells)
    if holds and bundle is not None:
        compared = compared_with(bundle, standing, facts)
        return Verdict(False, "barred", {"reason": bundle.name}, compared, (), bundle.name)
    if holds is None:
        missing = unsettled_bundles(bundles, facts.get, standing.cells)
        compared = tuple(row for item in bundles for row in compared_with(item, standing, facts))
        return Verdict(None, "cannot_tell", {}, compared, missing)
    compared = tuple(row for item in bundles for row in compared_with(item, standing, facts))
    return Verdict(True, "not_barred", {}, compared)


CHECK = Check(
    "barred",
    {"barred": Key("bundles")},
    decide,
    {
        "barred": "{title}: not allowed here: {reason}.",
        "not_barred": "{title}: nothing was found that stands against it.",
    },
)
