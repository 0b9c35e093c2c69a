"""Standing, force, form, windows and the sentence of a finding."""

from datetime import date
from decimal import Decimal

import pytest

from farmrecords.rules.facts import Facts, Feature
from farmrecords.rules.findings import Finding, shown
from farmrecords.rules.judge import judge
from farmrecords.rules.values import Window
from tests.rules.written import rulebook

ON = date(2024, 6, 20)


def findings(stack: tuple[str, ...], facts: Facts, on: date = ON) -> dict[str, Finding]:
    return {item.rule_id: item for item in judge(rulebook(), stack, facts, on, "load")}


def test_a_read_source_stands_firm() -> None:
    facts = Facts({"load.in_road_ditch": True})

    found = findings(("us-mn",), facts)["MN-SB-7"]

    assert (found.outcome, found.standing) == ("not_met", "firm")


def test_a_secondary_source_is_to_confirm_until_someone_does() -> None:
    facts = Facts({"ground.frozen": True, "material.class": "manure"})
    rule = rulebook().rule("VT-W-2")

    before = findings(("us-vt",), facts)["VT-W-2"]
    after = judge(rulebook(), ("us-vt",), facts, ON, "load", confirmed={rule.fingerprint})

    assert before.standing == "to_confirm"
    assert {item.standing for item in after if item.rule_id == "VT-W-2"} == {"firm"}


def test_a_confirmation_of_another_text_does_not_count() -> None:
    facts = Facts({"ground.frozen": True, "material.class": "manure"})

    found = judge(rulebook(), ("us-vt",), facts, ON, "load", confirmed={"0" * 64})

    assert {item.standing for item in found if item.rule_id == "VT-W-2"} == {"to_confirm"}


def test_a_rule_known_from_memory_cannot_tell_and_shows_its_numbers() -> None:
    facts = Facts({"features.mapped": True}, [Feature("stream_perennial", distance_ft=5)])

    found = findings(("us-vt",), facts)["VT-SB-2-WATER"]

    assert (found.outcome, found.standing) == ("cannot_tell", "memory")
    assert [(row.actual, row.limit) for row in found.compared] == [(Decimal(5), Decimal(25))]


def test_a_read_rule_with_a_secondary_value_is_to_confirm() -> None:
    facts = Facts(
        {
            "operation.confinement": True,
            "operation.animal_units": 900,
            "material.form": "liquid",
            "material.class": "manure",
            "material.stored_in": "formed",
            "load.method": "surface",
            "load.day": date(2025, 1, 10),
            "ground.snow_in": 3,
        }
    )

    found = findings(("us-ia",), facts, date(2025, 1, 10))["IA-W-1"]

    assert (found.outcome, found.standing) == ("not_met", "to_confirm")


def test_the_plain_sentence_names_distance_feature_and_what_is_asked() -> None:
    facts = Facts(
        {
            "operation.size_class": "large",
            "operation.subpart": "C",
            "material.class": "manure",
            "features.mapped": True,
        },
        [Feature("stream_perennial", distance_ft=82, down_gradient=True)],
    )

    found = findings(("us",), facts)["US-SB-1"]

    assert found.sentence == (
        "The nearest edge of the spread ground was 82 ft from a perennial stream; "
        "100 ft is asked here."
    )
    assert found.message_key == "distance.nearer"


def test_the_sentence_of_an_unsettled_scope_says_what_is_not_known() -> None:
    facts = Facts(
        {"material.class": "manure", "features.mapped": True},
        [Feature("sinkhole", distance_ft=20)],
    )

    found = findings(("us",), facts)["US-SB-1"]

    assert found.outcome == "cannot_tell"
    assert "legal class" in found.sentence


def test_a_feature_too_near_decides_though_others_are_far_or_not_known() -> None:
    facts = Facts(
        {
            "operation.size_class": "large",
            "operation.subpart": "C",
            "material.class": "manure",
        },
        [
            Feature("sinkhole", name="Far hole", distance_ft=900),
            Feature("sinkhole", name="Near hole", distance_ft=40),
            Feature("sinkhole", name="Unmeasured hole"),
        ],
    )

    found = findings(("us",), facts)["US-SB-1"]

    assert (found.outcome, found.decided_by) == ("not_met", "Near hole")
    assert [row.words for row in found.compared] == ["Near hole", "Unmeasured hole", "Far hole"]


@pytest.mark.parametrize(
    ("day", "inside"),
    [
        (date(2024, 12, 14), False),
        (date(2024, 12, 15), True),
        (date(2025, 2, 28), True),
        (date(2025, 4, 1), True),
        (date(2025, 4, 2), False),
    ],
)
def test_a_window_over_the_turn_of_the_year_has_both_ends_inside(day: date, inside: bool) -> None:
    assert Window((12, 15), (4, 1)).contains(day) is inside


@pytest.mark.parametrize(
    ("day", "inside"),
    [(date(2024, 2, 29), True), (date(2025, 2, 28), True), (date(2025, 3, 1), False)],
)
def test_the_end_of_february_moves_with_the_leap_year(day: date, inside: bool) -> None:
    assert Window((11, 16), (2, 0)).contains(day) is inside


def test_the_end_of_december_is_the_31st() -> None:
    assert Window((11, 16), (12, 0)).contains(date(2024, 12, 31)) is True


def test_an_end_that_the_text_leaves_open_is_neither() -> None:
    window = Window((12, 15), (4, 1), first_unclear=True, last_unclear=True)

    assert window.contains(date(2024, 12, 15)) is None
    assert window.contains(date(2025, 4, 1)) is None
    assert window.contains(date(2025, 1, 1)) is True


def test_numbers_are_shown_without_needless_zeros() -> None:
    assert [shown(Decimal(text)) for text in ("100", "82.50", "13500", "0.333")] == [
        "100",
        "82.5",
        "13,500",
        "0.33",
    ]


def test_a_rule_changes_nothing_before_its_first_day() -> None:
    before = rulebook().not_in_force(("us-oh",), date(2015, 7, 2))

    assert "OH-F-1" in {rule.id for rule in before}


def test_rules_of_one_stretch_of_days_are_bound_once() -> None:
    first = rulebook().for_stack(("us", "us-vt"), date(2024, 3, 1))
    second = rulebook().for_stack(("us", "us-vt"), date(2024, 3, 2))

    assert first is second
