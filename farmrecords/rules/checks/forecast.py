"""Forecast: no spreading when more rain is foretold than the rule lets pass.

The forecast must speak of the period the rule names. A longer one that stays within the
numbers is good enough; a longer one beyond them, or a shorter one, does not tell.
"""

from decimal import Decimal

from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.conditions import compare_numbers
from farmrecords.rules.facts import UNKNOWN, Facts
from farmrecords.rules.findings import Comparison
from farmrecords.rules.model import RuleOnDay, Verdict

FACTS = ("forecast.amount_in", "forecast.probability_pct", "forecast.horizon_h")


def _beyond(actual: object, comparator: str, limit: object) -> bool | None:
    if not isinstance(actual, Decimal) or not isinstance(limit, Decimal):
        return None
    return compare_numbers(actual, comparator, limit)


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Not met if amount and probability are both beyond the rule's numbers for its period."""
    keys = standing.rule.keys
    amount, probability, horizon = (facts.get(name) for name in FACTS)
    amount_limit = standing.plain[keys["amount"]].value
    period = standing.plain[keys["period"]].value
    much = _beyond(amount, keys["amount_comparator"], amount_limit)
    compared = [_row("rain foretold", amount, keys["amount_comparator"], amount_limit, "in")]
    likely: bool | None = True
    if keys["probability"]:
        limit = standing.plain[keys["probability"]].value
        likely = _beyond(probability, keys["probability_comparator"], limit)
        compared.append(
            _row("probability", probability, keys["probability_comparator"], limit, "%")
        )
    compared.append(_row("period", horizon, "at_least", period, "h"))
    asked = FACTS if keys["probability"] else (FACTS[0], FACTS[2])
    missing = tuple(name for name in asked if facts.get(name) is UNKNOWN)
    params = {"amount": amount, "probability": probability, "period": period}
    longer = _beyond(horizon, "more_than", period)
    if isinstance(horizon, Decimal) and isinstance(period, Decimal) and horizon < period:
        return Verdict(None, "short", params, tuple(compared), ("forecast.horizon_h",))
    if (much is False or likely is False) and longer is not None:
        return Verdict(True, "dry", params, tuple(compared))
    if much and likely and longer is False:
        return Verdict(False, "wet", params, tuple(compared))
    return Verdict(None, "cannot_tell", params, tuple(compared), missing or (FACTS[2],))


def _row(words: str, actual: object, comparator: str, limit: object, unit: str) -> Comparison:
    known = None if actual is UNKNOWN else actual
    return Comparison(words, known, comparator.replace("_", " "), limit, unit)


CHECK = Check(
    "forecast",
    {
        "amount": Key("value"),
        "amount_comparator": Key("word", choices=("at_least", "more_than")),
        "probability": Key("value", required=False),
        "probability_comparator": Key("word", required=False, choices=("at_least", "more_than")),
        "period": Key("value"),
    },
    decide,
    {
        "wet": "Rain of {amount} in was foretold with {probability} % probability within "
        "{period} h; that is more than the rule lets pass.",
        "dry": "The forecast ({amount} in, {probability} %) stays within the rule's numbers.",
        "short": "The forecast kept does not reach over the {period} h the rule asks about.",
    },
    reads=FACTS,
)
