"""Conditions of a permit become rules of the operation's own layer."""

from datetime import date
from decimal import Decimal

import pytest

from farmrecords.rules.errors import RuleFileError
from farmrecords.rules.facts import Facts, Feature
from farmrecords.rules.judge import judge
from farmrecords.rules.permits import PermitCondition, PermitConditionError, rules_of
from tests.rules.written import rulebook

ON = date(2025, 5, 6)
SINCE = date(2025, 1, 1)
DOCUMENT = "permit of 1 January 2025"


def outcomes(condition: PermitCondition, facts: Facts, on: date = ON) -> dict[str, str]:
    section, rules = rules_of([condition], "permit-7", DOCUMENT)
    joined = rulebook().with_rules(rules, [section])
    found = judge(joined, ("permit-7",), facts, on, "load")
    return {item.rule_id: item.outcome for item in found}


@pytest.mark.parametrize(("distance", "outcome"), [(149, "not_met"), (150, "met")])
def test_a_stricter_distance_is_judged(distance: int, outcome: str) -> None:
    condition = PermitCondition(
        "setback", "Wells", "part 4.2", SINCE, number=Decimal(150), features=["well_drinking"]
    )
    facts = Facts({"features.mapped": True}, [Feature("well_drinking", distance_ft=distance)])

    assert outcomes(condition, facts) == {"permit-7-1": outcome}


@pytest.mark.parametrize(
    ("on", "outcome"),
    [
        (date(2025, 10, 31), "met"),
        (date(2025, 11, 1), "not_met"),
        (date(2026, 4, 15), "not_met"),
        (date(2026, 4, 16), "met"),
    ],
)
def test_a_closed_season_has_both_ends_inside(on: date, outcome: str) -> None:
    condition = PermitCondition(
        "closed_season", "Winter", "part 5", SINCE, first="11-01", last="04-15"
    )

    assert outcomes(condition, Facts({"load.day": on}), on) == {"permit-7-1": outcome}


@pytest.mark.parametrize(("rate", "outcome"), [(8000, "met"), (8001, "not_met")])
def test_a_cap_on_the_rate_is_judged(rate: int, outcome: str) -> None:
    condition = PermitCondition(
        "rate_cap", "Rate", "part 6", SINCE, number=Decimal(8000), unit="gal/ac"
    )

    assert outcomes(condition, Facts({"load.rate_gal_per_ac": rate})) == {"permit-7-1": outcome}


def test_frozen_ground_may_be_barred() -> None:
    condition = PermitCondition("winter_barred", "Frozen ground", "part 7", SINCE)

    assert outcomes(condition, Facts({"ground.frozen": True})) == {"permit-7-1": "not_met"}


def test_a_condition_ends_with_its_last_day() -> None:
    condition = PermitCondition(
        "winter_barred", "Frozen ground", "part 7", SINCE, until_on=date(2025, 5, 5)
    )

    assert outcomes(condition, Facts({"ground.frozen": True})) == {}


def test_a_title_with_a_quotation_mark_stays_one_text() -> None:
    condition = PermitCondition("winter_barred", 'The "north" field\nonly', "part 7", SINCE)

    _, rules = rules_of([condition], "permit-7", DOCUMENT)

    assert rules[0].title == 'The "north" field only'


@pytest.mark.parametrize(
    ("condition", "words"),
    [
        (PermitCondition("setback", "Wells", "4", SINCE), "a number of ft is needed"),
        (
            PermitCondition("rate_cap", "Rate", "4", SINCE, number=Decimal(1), unit="in"),
            "counts in gal/ac or ton/ac, not in 'in'",
        ),
        (PermitCondition("curfew", "Night", "4", SINCE), "no kind of condition 'curfew'"),
    ],
)
def test_a_condition_that_lacks_something_is_refused(
    condition: PermitCondition, words: str
) -> None:
    with pytest.raises(PermitConditionError, match=words):
        rules_of([condition], "permit-7", DOCUMENT)


def test_a_day_that_does_not_exist_is_refused_by_the_reader() -> None:
    condition = PermitCondition(
        "closed_season", "Winter", "part 5", SINCE, first="02-30", last="04-15"
    )

    with pytest.raises(RuleFileError, match="no day of the year"):
        rules_of([condition], "permit-7", DOCUMENT)


def test_the_joined_rulebook_has_another_fingerprint() -> None:
    condition = PermitCondition("winter_barred", "Frozen ground", "part 7", SINCE)
    section, rules = rules_of([condition], "permit-7", DOCUMENT)

    assert rulebook().with_rules(rules, [section]).fingerprint != rulebook().fingerprint
