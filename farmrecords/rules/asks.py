"""What distance a feature asks for this method, form, ground and day.

Zones, spreadable acres and "may I spread here?" ask here; the finding uses the same code.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from farmrecords.rules.checks.distance import asked_of, getter_for
from farmrecords.rules.conditions import Getter, any_bundle, unsettled_bundles
from farmrecords.rules.facts import Facts, Feature
from farmrecords.rules.judge import scope_lacks, scope_of, with_form
from farmrecords.rules.model import FORM_BOUND, Rule, RuleOnDay
from farmrecords.rules.rulebook import Rulebook


@dataclass(frozen=True, slots=True)
class DistanceAsk:
    """What one rule asks of one feature.

    ``asked_ft`` is the distance to keep to be sure (None: not known); ``least_ft`` the distance
    below which it is surely too near; ``settled`` whether the two are one and the rule surely
    applies. ``decided_by`` names the alternative that replaced the base distance. ``closes``
    tells whether going nearer could ever be not met: a rule known from memory, one that only
    advises, one that is stayed or not enforced here closes no ground.
    """

    rule_id: str
    title: str
    feature: Feature
    asked_ft: Decimal | None
    least_ft: Decimal | None
    settled: bool
    decided_by: str
    missing: tuple[str, ...]
    citation: str
    status: str
    severity: str
    jurisdiction: str
    closes: bool = True


def distance_asked(
    rulebook: Rulebook, stack: Sequence[str], facts: Facts, feature: Feature, on: date
) -> list[DistanceAsk]:
    """The distances the stack's rules ask of the feature, largest first; feet.

    A rule that does not apply, or that an exception clears, asks nothing and is left out.

    >>> from farmrecords.rules.rulebook import read_rulebook
    >>> facts = Facts({"material.class": "manure", "load.method": "surface"})
    >>> asks = distance_asked(
    ...     read_rulebook(), ["us-ia"], facts, Feature("sinkhole"), date(2024, 6, 20)
    ... )
    >>> asks[0].rule_id, asks[0].asked_ft
    ('IA-SB-2', Decimal('200'))
    """
    found = []
    for standing in rulebook.for_stack(stack, on, "load"):
        if standing.rule.check == "distance":
            ask = _ask(standing, facts, feature)
            if ask is not None:
                found.append(ask)
    return sorted(found, key=lambda ask: (-(ask.asked_ft or Decimal(0)), ask.rule_id))


def largest_ft(rules: Iterable[Rule]) -> Decimal:
    """The largest distance in feet that any of the rules can name itself, whatever the day.

    Whoever looks for features near some ground must look at least this far. A distance that
    another authority sets for one feature (the wellhead authority) is not among them.

    >>> from farmrecords.rules.rulebook import read_rulebook
    >>> largest_ft([read_rulebook().rule("US-SB-1")])
    Decimal('100')
    """
    found = [Decimal(0)]
    for rule in rules:
        if rule.check == "distance":
            bundles = rule.keys["alternatives"] or ()
            names = {rule.keys["base"], *(bundle.asks for bundle in bundles)}
            found += [
                value.value
                for value in rule.values
                if value.name in names and isinstance(value.value, Decimal)
            ]
    return max(found)


def _ask(standing: RuleOnDay, facts: Facts, feature: Feature) -> DistanceAsk | None:
    rule = standing.rule
    if FORM_BOUND in standing.cells:
        facts = with_form(standing, facts)
    get = getter_for(feature, facts)
    scope = scope_of(standing, get)
    cleared, _ = any_bundle(rule.exceptions, get, standing.cells)
    if scope is False or cleared:
        return None
    asked = asked_of(standing, feature, facts)
    if asked is None:
        return None
    missing = (
        *(scope_lacks(standing, get) if scope is None else ()),
        *unsettled_bundles(rule.exceptions, get, standing.cells),
        *asked.missing,
    )
    sure = scope is True and cleared is False and asked.concerns is True
    return DistanceAsk(
        rule_id=rule.id,
        title=rule.title,
        feature=feature,
        asked_ft=asked.high_ft,
        least_ft=asked.low_ft if sure else Decimal(0),
        settled=sure and asked.high_ft is not None and asked.high_ft == asked.low_ft,
        decided_by=asked.decided_by,
        missing=tuple(dict.fromkeys(missing)),
        citation=rule.citation,
        status=standing.status,
        severity=rule.severity,
        jurisdiction=rule.jurisdiction,
        closes=_closes(standing, get),
    )


def _closes(standing: RuleOnDay, get: Getter) -> bool:
    """Whether a breach would weigh more than a notice; what is not known may weigh it."""
    if standing.status == "memory" or standing.rule.severity == "advise":
        return False
    if standing.force is not None and standing.force.state == "stayed":
        return False
    bundles = standing.rule.enforced_if
    return not bundles or any_bundle(bundles, get, standing.cells)[0] is not False


def closing_ask(
    rulebook: Rulebook, stack: Sequence[str], facts: Facts, feature: Feature, on: date
) -> tuple[DistanceAsk, Decimal] | None:
    """The rule that closes the most ground round the feature, and how far, in feet; or None.

    Where a rule asks less beside a buffer that no manure went on, the ground outside the buffer
    counts as such: the distance is the eased one, and never less than the width of the buffer.

    >>> from farmrecords.rules.rulebook import read_rulebook
    >>> facts = Facts({"material.class": "manure", "load.method": "surface"})
    >>> on = date(2024, 6, 20)
    >>> closing_ask(read_rulebook(), ["us-ia"], facts, Feature("sinkhole"), on)[1]
    Decimal('200')
    """
    asks = _closing(rulebook, stack, facts, feature, on)
    width = feature.buffer_width_ft
    if isinstance(width, Decimal) and width > 0 and feature.buffer_unspread is not True:
        clear = replace(feature, buffer_unspread=True)
        eased = _closing(rulebook, stack, facts, clear, on)
        for rule_id, (ask, reach_ft) in asks.items():
            if rule_id in eased:
                outside_ft = max(eased[rule_id][1], width)
                asks[rule_id] = min((ask, reach_ft), (eased[rule_id][0], outside_ft), key=_reach)
    return max(asks.values(), key=lambda pair: (pair[1], pair[0].rule_id), default=None)


def _reach(pair: tuple[DistanceAsk, Decimal]) -> Decimal:
    return pair[1]


def _closing(
    rulebook: Rulebook, stack: Sequence[str], facts: Facts, feature: Feature, on: date
) -> dict[str, tuple[DistanceAsk, Decimal]]:
    asks = distance_asked(rulebook, stack, facts, feature, on)
    return {ask.rule_id: (ask, ask.asked_ft) for ask in asks if ask.closes and ask.asked_ft}
