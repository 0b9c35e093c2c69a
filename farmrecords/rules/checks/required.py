"""Required: one of some bundles of conditions must hold as a whole."""

from farmrecords.rules.checks.barred import compared_with
from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.conditions import Bundle, any_bundle, unsettled_bundles
from farmrecords.rules.facts import Facts
from farmrecords.rules.model import RuleOnDay, Verdict


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Met if one bundle holds; not met if none can; cannot tell if one might."""
    bundles: tuple[Bundle, ...] = standing.rule.keys["any"]
    holds, bundle = any_bundle(bundles, facts.get, standing.cells)
    compared = tuple(row for item in bundles for row in compared_with(item, standing, facts))
    if holds and bundle is not None:
        shown = compared_with(bundle, standing, facts)
        return Verdict(True, "held", {"way": bundle.name}, shown, (), bundle.name)
    if holds is None:
        missing = unsettled_bundles(bundles, facts.get, standing.cells)
        return Verdict(None, "cannot_tell", {}, compared, missing)
    ways = " or ".join(bundle.name for bundle in bundles)
    return Verdict(False, "lacking", {"ways": ways}, compared)


CHECK = Check(
    "required",
    {"any": Key("bundles")},
    decide,
    {
        "held": "{title}: yes, {way}.",
        "lacking": "{title}: this is asked here and was not done: {ways}.",
    },
)
