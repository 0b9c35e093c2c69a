"""Planning ahead: the answer, the most that may go on, and what would change it."""

from datetime import date
from decimal import Decimal

from farmrecords.rules.ahead import ahead, changed_by, most_allowed
from farmrecords.rules.facts import Facts, Feature
from farmrecords.rules.judge import judge
from farmrecords.rules.permits import PermitCondition, rules_of
from farmrecords.rules.rulebook import make_rulebook
from tests.rules.written import rulebook

IOWA = {
    "operation.confinement": True,
    "operation.animal_units": 1200,
    "material.class": "manure",
    "material.form": "liquid",
    "material.stored_in": "formed",
    "load.method": "surface",
    "load.sprayed_restricted": False,
    "load.weather_considered": True,
    "operation.plan_duty": False,
    "material.high_ammonium": False,
    "ground.frozen": True,
    "ground.frozen_depth_in": 8,
    "ground.snow_in": 0,
    "ground.ice_in": 0,
    "features.mapped": True,
}


def test_nothing_against_it_is_yes() -> None:
    on = date(2025, 10, 20)
    facts = Facts({**IOWA, "load.day": on, "ground.frozen": False})

    assert ahead(rulebook(), ("us-ia",), facts, on).answer is True


def test_frozen_ground_is_no_and_injection_would_change_it() -> None:
    on = date(2025, 2, 10)
    answer = ahead(rulebook(), ("us-ia",), Facts({**IOWA, "load.day": on}), on)

    assert answer.answer is False
    assert [change.words for change in answer.changes] == ["injected", "incorporated at once"]


def test_a_later_day_would_change_it() -> None:
    on = date(2025, 3, 30)
    facts = Facts({**IOWA, "load.day": on})

    answer = ahead(rulebook(), ("us-ia",), facts, on, days_ahead=10)

    assert [change.on for change in answer.changes][-1] == date(2025, 4, 2)


def test_a_missing_fact_is_neither_yes_nor_no() -> None:
    on = date(2025, 2, 10)
    facts = Facts({**IOWA, "load.day": on}).without("ground.frozen_depth_in")

    answer = ahead(rulebook(), ("us-ia",), facts, on)

    assert answer.answer is None
    assert "ground.frozen_depth_in" in answer.missing


def test_a_record_that_comes_later_may_be_left_out() -> None:
    on = date(2025, 2, 10)
    facts = Facts({**IOWA, "load.day": on}).without("load.weather_considered")

    answer = ahead(rulebook(), ("us-ia",), facts, on, recorded_later=["IA-F-1"])

    assert "IA-F-1" not in {finding.rule_id for finding in answer.findings}


def test_the_most_is_the_least_of_the_caps() -> None:
    on = date(2024, 1, 20)
    facts = Facts(
        {
            "material.form": "liquid",
            "load.method": "surface",
            "operation.programme": "none",
            "ground.frozen": True,
            "ground.snow_in": 0,
        }
    )

    (most,) = most_allowed(rulebook(), ("us-oh",), facts, on)

    # NRCS 590 (2020) as applied in Ohio: 5,000 gal/ac in winter, 13,500 gal/ac at any time.
    assert (most.amount, most.rule_id) == (Decimal(5000), "OH-W-5-RATE")


def test_no_cap_makes_no_most() -> None:
    assert most_allowed(rulebook(), ("us-vt",), Facts(), date(2024, 6, 1)) == ()


def test_a_draft_without_a_rule_names_the_findings_that_would_go() -> None:
    on = date(2024, 6, 20)
    facts = Facts({"load.in_road_ditch": True})
    rules = [rule for rule in rulebook().rules if rule.id != "MN-SB-7"]
    draft = make_rulebook(rules, rulebook().sections, rulebook().coverage)

    changes = changed_by(rulebook(), draft, ("us-mn",), facts, on, "load")

    assert changes == [("MN-SB-7", "not_met", "no finding")]


def test_the_features_stay_when_another_way_is_tried() -> None:
    on = date(2025, 10, 20)
    facts = Facts(
        {**IOWA, "load.day": on, "ground.frozen": False},
        [Feature("sinkhole", distance_ft=50)],
    )

    answer = ahead(rulebook(), ("us-ia",), facts, on)

    # Iowa Code 459.314: 200 ft, or injected, or incorporated on the same date.
    assert [change.words for change in answer.changes] == ["injected", "incorporated at once"]


def test_the_most_is_what_the_judge_turns_at() -> None:
    """At the most the judge finds it met, a little above no longer: there is no second opinion."""
    on = date(2026, 2, 1)
    for unit, name in (("gal/ac", "load.rate_gal_per_ac"), ("ton/ac", "load.rate_ton_per_ac")):
        condition = PermitCondition(
            "rate_cap", "Cap", "part 3", date(2026, 1, 1), number=Decimal(3000), unit=unit
        )
        section, rules = rules_of([condition], "permit-1", "permit")
        book = rulebook().with_rules(rules, [section])
        (most,) = most_allowed(book, ("permit-1",), Facts({}), on)
        assert (most.amount, most.fact) == (Decimal(3000), name)
        for rate, outcome in ((most.amount, "met"), (most.amount + 1, "not_met")):
            (found,) = judge(book, ("permit-1",), Facts({name: rate}), on, "load")
            assert found.outcome == outcome


def test_a_cap_known_from_memory_names_no_most() -> None:
    """WI-H-7 is memory: 3,000 gal/ac on fine soil with little residue stand there, unconfirmed."""
    facts = Facts(
        {
            "material.form": "liquid",
            "load.method": "surface",
            "field.soil_texture": "fine",
            "field.residue_pct": 10,
        }
    )
    rule = next(one for one in rulebook().rules if one.id == "WI-H-7")
    only = make_rulebook([rule], (), {})
    assert most_allowed(only, ("us-wi",), facts, date(2024, 6, 1)) == ()
