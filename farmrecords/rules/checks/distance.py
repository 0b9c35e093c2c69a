"""Distance: how near the spread ground came to a feature, and how near it may come.

One code answers both questions: what distance a feature asks for this method, form, ground
and day (``asked_of``), and whether the distance is enough (``decide``). An alternative
replaces the base distance; it is never a second limit.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.checks.limits import one_limit
from farmrecords.rules.conditions import Answer, Bundle, Getter, all_hold, unsettled
from farmrecords.rules.facts import UNKNOWN, Facts, Feature
from farmrecords.rules.findings import Comparison
from farmrecords.rules.model import Rule, RuleOnDay, Verdict
from farmrecords.rules.vocabulary import FEATURE_KINDS

NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class Asked:
    """What one rule asks of one feature: not nearer than ``high_ft``, and surely not nearer
    than ``low_ft``; they differ where an alternative may hold. None is not known."""

    feature: Feature
    concerns: Answer
    low_ft: Decimal | None
    high_ft: Decimal | None
    decided_by: str
    missing: tuple[str, ...]


def getter_for(feature: Feature, facts: Facts) -> Getter:
    """Facts of the load and of the feature under one door."""

    def get(name: str) -> object:
        return feature.get(name) if name.startswith("feature.") else facts.get(name)

    return get  # type: ignore[return-value]


def concerned(standing: RuleOnDay, feature: Feature, get: Getter) -> Answer:
    """Whether the rule speaks of this feature."""
    result: Answer = False
    for kinds, where in standing.rule.keys["features"]:
        if feature.kind not in kinds:
            continue
        holds = all_hold(where, get, standing.cells)
        if holds:
            return True
        if holds is None:
            result = None
    return result


def _why_concerned(standing: RuleOnDay, feature: Feature, get: Getter) -> tuple[str, ...]:
    names: list[str] = []
    for kinds, where in standing.rule.keys["features"]:
        if feature.kind in kinds:
            names.extend(unsettled(where, get, standing.cells))
    return tuple(names)


def asked_of(standing: RuleOnDay, feature: Feature, facts: Facts) -> Asked | None:
    """The distance the rule asks of the feature; None if it does not speak of it."""
    get = getter_for(feature, facts)
    concerns = concerned(standing, feature, get)
    if concerns is False:
        return None
    keys = standing.rule.keys
    base = one_limit((keys["base"], ""), standing, get)
    low, high, missing, decided_by = base.low, base.high, list(base.missing), ""
    if keys["or_larger"]:
        larger = get(keys["or_larger"])
        if not isinstance(larger, Decimal):
            high = None
            missing.append(keys["or_larger"])
        elif high is not None and larger > high:
            low = high = larger
            decided_by = "the larger distance of the other authority"
    for bundle in keys["alternatives"]:
        holds = all_hold(bundle.conditions, get, standing.cells)
        if holds is False:
            continue
        ask = _ask_of(bundle, standing, get)
        low = ask if low is None or ask is None else min(low, ask)
        if holds is None:
            missing.extend(unsettled(bundle.conditions, get, standing.cells))
        elif ask is not None and (high is None or ask < high):
            high, decided_by = ask, bundle.name
    if concerns is None:
        missing.extend(_why_concerned(standing, feature, get))
    return Asked(feature, concerns, low, high, decided_by, tuple(dict.fromkeys(missing)))


def _ask_of(bundle: Bundle, standing: RuleOnDay, get: Getter) -> Decimal | None:
    if bundle.asks_fact:
        value = get(bundle.asks_fact)
        return value if isinstance(value, Decimal) else None
    if not bundle.asks:
        return NONE
    return one_limit((bundle.asks, ""), standing, get).low


def _enough(asked: Asked) -> bool | None:
    """Whether the distance is enough; nearer to the limit than its doubt is cannot tell."""
    distance, doubt = asked.feature.distance_ft, asked.feature.uncertainty_ft
    if not isinstance(distance, Decimal) or not isinstance(doubt, Decimal):
        return None
    if asked.high_ft is not None and distance >= asked.high_ft + doubt:
        return True
    farthest = _farthest(asked.feature, distance)
    if asked.low_ft is not None and farthest < asked.low_ft and farthest <= asked.low_ft - doubt:
        return False if asked.concerns else None
    return None


def _farthest(feature: Feature, distance: Decimal) -> Decimal:
    """How far the spread ground may have kept: without a track, as far as the field reaches."""
    return max(distance, feature.farthest_ft) if _place_unknown(feature) else distance


def _place_unknown(feature: Feature) -> bool:
    return isinstance(feature.farthest_ft, Decimal)


def _comparison(asked: Asked) -> Comparison:
    feature = asked.feature
    distance = feature.distance_ft if isinstance(feature.distance_ft, Decimal) else None
    words = feature.name or FEATURE_KINDS[feature.kind]
    return Comparison(words, distance, "at_least", asked.high_ft, "ft")


def _missing(asked: Asked) -> Iterator[str]:
    if asked.feature.distance_ft is UNKNOWN:
        yield "feature.distance_ft"
    if asked.feature.uncertainty_ft is UNKNOWN:
        yield "feature.uncertainty_ft"
    yield from asked.missing


def _rank(item: tuple[Asked, bool | None]) -> tuple[int, Decimal]:
    """The feature that decides comes first: too near, then unsettled, then the least room."""
    asked, answer = item
    distance = asked.feature.distance_ft
    room = Decimal(-1)
    if isinstance(distance, Decimal) and asked.high_ft is not None:
        room = distance - asked.high_ft
    return ({False: 0, None: 1, True: 2}[answer], room)


def decide(standing: RuleOnDay, facts: Facts) -> Verdict | None:
    """The verdict over all features the rule speaks of, and those nobody looked for."""
    found = [asked for f in facts.features if (asked := asked_of(standing, f, facts)) is not None]
    ranked = sorted(((asked, _enough(asked)) for asked in found), key=_rank)
    compared = tuple(_comparison(asked) for asked, _ in ranked)
    unseen = _not_looked_for(standing.rule, facts)
    if ranked and ranked[0][1] is False:
        return _too_near(ranked[0][0], compared)
    if unseen:
        names = tuple(FEATURE_KINDS[kind] for kind in unseen)
        return Verdict(None, "not_looked_for", {"kinds": names}, compared, ("features.mapped",))
    if not ranked:
        return Verdict(True, "none_there", {}, ())
    asked, answer = ranked[0]
    if answer:
        return Verdict(True, "far_enough", _params(asked), compared, decided_by=asked.decided_by)
    missing = tuple(dict.fromkeys(n for a, ok in ranked if ok is None for n in _missing(a)))
    if missing:
        return Verdict(None, "distance_unsettled", _params(asked), compared, missing)
    key = "place_unknown" if _place_unknown(asked.feature) else "doubtful"
    return Verdict(None, key, _params(asked), compared, ("feature.distance_ft",))


def _too_near(asked: Asked, compared: tuple[Comparison, ...]) -> Verdict:
    name = asked.feature.name or FEATURE_KINDS[asked.feature.kind]
    return Verdict(False, "nearer", _params(asked), compared, decided_by=name)


def _params(asked: Asked) -> dict[str, object]:
    feature = asked.feature
    kind = FEATURE_KINDS[feature.kind]
    article = "an" if kind[0] in "aeiou" else "a"
    return {
        "feature": f"{feature.name} ({kind})" if feature.name else f"{article} {kind}",
        "distance": feature.distance_ft if isinstance(feature.distance_ft, Decimal) else None,
        "doubt": feature.uncertainty_ft if isinstance(feature.uncertainty_ft, Decimal) else None,
        "asked": asked.high_ft,
        "least": asked.low_ft,
    }


def _not_looked_for(rule: Rule, facts: Facts) -> tuple[str, ...]:
    """Kinds that are neither on the map nor stated to be absent."""
    if facts.get("features.mapped") is True:
        return ()
    stated = facts.get("features.none_stated")
    if not isinstance(stated, tuple):
        stated = ()
    entered = {feature.kind for feature in facts.features}
    kinds = dict.fromkeys(kind for kinds, _ in rule.keys["features"] for kind in kinds)
    return tuple(kind for kind in kinds if kind not in entered and kind not in stated)


def complaints(rule: Rule) -> list[str]:
    """A distance that is not in feet."""
    names = {rule.keys["base"], *(bundle.asks for bundle in rule.keys["alternatives"])}
    return [
        f"the distance {value.name!r} is in {value.unit}, not ft"
        for value in rule.values
        if value.name in names and value.unit != "ft"
    ]


CHECK = Check(
    "distance",
    {
        "features": Key("features"),
        "base": Key("value"),
        "or_larger": Key("fact", required=False),
        "alternatives": Key("bundles", required=False),
    },
    decide,
    {
        "nearer": "The nearest edge of the spread ground was {distance} ft from {feature}; "
        "{least} ft is asked here.",
        "far_enough": "The nearest edge of the spread ground was {distance} ft from {feature}; "
        "{asked} ft is asked here.",
        "none_there": "No feature that this rule keeps a distance from is near the spread ground.",
        "doubtful": "The spread ground was {distance} ft from {feature}, give or take {doubt} "
        "ft; {asked} ft is asked here, so it cannot be told which side it is on.",
        "place_unknown": "The field reaches to {distance} ft from {feature} and this load has no "
        "track, so it cannot be told how near it came; {asked} ft is asked here.",
        "distance_unsettled": "The spread ground was {distance} ft from {feature}; whether "
        "{asked} ft is asked here cannot be told, not known: {missing}.",
        "not_looked_for": "Nobody has said whether these are near the ground: {kinds}. Enter them "
        "or state that there are none.",
    },
    complaints=complaints,
)
