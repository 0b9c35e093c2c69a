"""The distance a feature asks, and the finding, come from one code."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from farmrecords.rules.asks import DistanceAsk, closing_ask, distance_asked
from farmrecords.rules.cases import Case
from farmrecords.rules.facts import Facts, Feature
from farmrecords.rules.judge import judge
from farmrecords.rules.model import Rule
from farmrecords.rules.rulebook import make_rulebook
from farmrecords.rules.vocabulary import FEATURE_KINDS
from tests.rules.written import by_file, rulebook

ON = date(2024, 6, 20)
LARGE = {
    "operation.size_class": "large",
    "operation.subpart": "C",
    "material.class": "manure",
    "features.mapped": True,
}


def test_the_base_distance_is_asked() -> None:
    asks = distance_asked(
        rulebook(), ("us",), Facts(LARGE), Feature("sinkhole", distance_ft=500), ON
    )

    assert [(ask.rule_id, ask.asked_ft, ask.settled) for ask in asks] == [
        ("US-SB-1", Decimal(100), True)
    ]


def test_an_alternative_replaces_the_base() -> None:
    stream = Feature(
        "stream_perennial", down_gradient=True, buffer_width_ft=40, buffer_unspread=True
    )

    (ask,) = distance_asked(rulebook(), ("us",), Facts(LARGE), stream, ON)

    assert (ask.asked_ft, ask.decided_by) == (
        Decimal(35),
        "vegetated buffer without manure on it",
    )


def test_an_unknown_alternative_leaves_two_numbers() -> None:
    stream = Feature("stream_perennial", down_gradient=True, buffer_width_ft=40)

    (ask,) = distance_asked(rulebook(), ("us",), Facts(LARGE), stream, ON)

    assert (ask.least_ft, ask.asked_ft, ask.settled) == (Decimal(35), Decimal(100), False)
    assert ask.missing == ("feature.buffer_unspread",)


def test_a_feature_no_rule_speaks_of_asks_nothing() -> None:
    assert distance_asked(rulebook(), ("us",), Facts(LARGE), Feature("dwelling"), ON) == []


def test_the_largest_ask_of_a_stack_comes_first() -> None:
    facts = Facts({**LARGE, "load.method": "surface"})
    asks = distance_asked(rulebook(), ("us", "us-ia"), facts, Feature("sinkhole"), ON)

    assert [(ask.rule_id, ask.asked_ft) for ask in asks] == [
        ("IA-SB-2", Decimal(200)),
        ("US-SB-1", Decimal(100)),
    ]


def _distance_cases() -> list[str]:
    return sorted(
        path
        for path, cases in by_file().items()
        if any(case.facts.features and case.subject == "load" for case in cases)
    )


@pytest.mark.parametrize("path", _distance_cases())
def test_a_foot_inside_is_too_near_and_a_foot_outside_is_enough(path: str) -> None:
    """Each feature of each situation is placed about the distance its rules ask of it."""
    for case in by_file()[path]:
        for feature in case.facts.features if case.subject == "load" else ():
            _place_about(case, replace(feature, uncertainty_ft=Decimal(0)))


def test_every_rule_of_distance_is_placed_about_by_some_situation() -> None:
    """So that the test above asserts something of each rule whose distance is settled."""
    placed = {
        ask.rule_id
        for path in _distance_cases()
        for case in by_file()[path]
        for feature in (case.facts.features if case.subject == "load" else ())
        for ask in _placeable(case, replace(feature, uncertainty_ft=Decimal(0)))
    }
    wanted = {
        rule.id
        for rule in rulebook().rules
        if rule.check == "distance" and rule.subject == "load" and not _is_weak(rule)
    }
    assert wanted - placed == set()


def _is_weak(rule: Rule) -> bool:
    """Known from memory in part, or bound to being enforced: such a rule is not placed about."""
    return "memory" in {rule.status, *(value.status for value in rule.values)} or bool(
        rule.enforced_if
    )


def _placeable(case: Case, feature: Feature) -> list[DistanceAsk]:
    asks = distance_asked(rulebook(), case.stack, case.facts, feature, case.on)
    return [
        ask
        for ask in asks
        if ask.settled and ask.asked_ft and not _is_weak(rulebook().rule(ask.rule_id))
    ]


def _place_about(case: Case, feature: Feature) -> None:
    for ask in _placeable(case, feature):
        standing = rulebook().rule(ask.rule_id)
        assert ask.asked_ft is not None
        too_near = "notice" if standing.severity == "advise" else "not_met"
        for offset, outcome in ((-1, too_near), (0, "met"), (1, "met")):
            placed = replace(feature, distance_ft=ask.asked_ft + offset)
            facts = case.facts.with_features([placed]).changed(features__mapped=True)
            found = {
                item.rule_id: item.outcome
                for item in judge(rulebook(), case.stack, facts, case.on, "load")
            }
            assert found[ask.rule_id] == outcome, (case.title, ask.rule_id, offset)


# 40 CFR 412.4(c)(5)(i): a 35-ft vegetated buffer where no manure goes replaces the 100 ft.
@pytest.mark.parametrize(
    ("width_ft", "closed_ft"), [(0, 100), (34, 100), (35, 35), (60, 60), (120, 100)]
)
def test_a_wide_buffer_eases_the_distance_to_its_own_edge_at_most(
    width_ft: int, closed_ft: int
) -> None:
    stream = Feature(
        "stream_perennial",
        down_gradient=True,
        buffer_width_ft=width_ft,
        buffer_permanent=True,
    )
    closing = closing_ask(rulebook(), ("us",), Facts(LARGE), stream, ON)
    assert closing is not None
    assert closing[1] == closed_ft


def test_a_rule_from_memory_or_one_that_only_advises_closes_no_ground() -> None:
    stack = tuple(rulebook().coverage)
    seen = set()
    for kind in FEATURE_KINDS:
        for ask in distance_asked(rulebook(), stack, Facts(LARGE), Feature(kind), ON):
            weak = ask.status == "memory" or ask.severity == "advise"
            seen.add(weak)
            if weak:
                assert not ask.closes, ask.rule_id
    assert seen == {True, False}


# Ohio's 590 as the rule files have it: it binds only where a bundle of `enforced_if` holds.
@pytest.mark.parametrize(("distressed", "closes"), [(("distressed",), True), ((), False)])
def test_a_rule_that_is_not_enforced_here_closes_no_ground(
    distressed: tuple[str, ...], closes: bool
) -> None:
    rules = [one for one in rulebook().rules if one.check == "distance" and one.enforced_if]
    asked = 0
    for rule in rules:
        kind = rule.keys["features"][0][0][0]
        facts = Facts({"field.in_watershed": distressed, "operation.discharge_history": False})
        only = make_rulebook([rule], (), {})
        for ask in distance_asked(only, (rule.jurisdiction,), facts, Feature(kind), ON):
            asked += 1
            assert ask.closes is (closes and ask.status != "memory" and ask.severity != "advise")
    assert asked
