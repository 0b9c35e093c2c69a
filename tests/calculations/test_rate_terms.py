"""Linear and narrative rate terms, what limits leave, and the day a test is too old."""

import dataclasses
import datetime as dt

import pytest

from farmrecords.calculations.maximum import NutrientLimit, amount_per_ac, left_under_limits
from farmrecords.calculations.nutrients import NutrientError
from farmrecords.calculations.rate_terms import (
    EXAMPLE,
    METHOD_VERSION,
    RateInputs,
    is_recent_test,
    yearly_rate,
)

# Constructed on Montana's step 5: 40 ac, N 160, P2O5 50, PAN 8.53, P2O5 18
LINEAR = RateInputs(
    "linear", "North 40", "corn", 2025, "solid", 40.0, False, 160.0, 50.0, 8.53, 18.0
)


def test_linear_rate_of_the_reference_case():
    found = yearly_rate(LINEAR)
    assert found.n_units_per_ac == pytest.approx(18.7573, abs=5e-5)
    assert found.p2o5_units_per_ac == pytest.approx(2.7778, abs=5e-5)
    assert (found.amount, found.set_by) == (pytest.approx(750.29, abs=0.005), "N")
    limited = yearly_rate(dataclasses.replace(LINEAR, is_p_limited=True))
    assert (limited.amount, limited.set_by) == (pytest.approx(111.11, abs=0.005), "P2O5")


def test_narrative_rate_takes_all_other_sources_off():
    # By hand: 160 - 40 - 10 - 30 = 80; 80 / 8.53 = 9.3787 ton/ac; 375.15 ton
    found = yearly_rate(EXAMPLE)
    assert found.units_per_ac == pytest.approx(9.3787, abs=5e-5)
    assert found.amount == pytest.approx(375.15, abs=0.005)
    more = dataclasses.replace(EXAMPLE, residual_manure_n_lb_per_ac=60, other_n_lb_per_ac=20)
    assert yearly_rate(more).units_per_ac == 0
    over = dataclasses.replace(EXAMPLE, other_n_lb_per_ac=81)
    assert yearly_rate(over).amount == 0


def test_narrative_phosphorus_from_elsewhere_comes_off_too():
    inputs = dataclasses.replace(
        EXAMPLE, is_p_limited=True, fertilizer_p2o5_lb_per_ac=14, other_p2o5_lb_per_ac=18
    )
    found = yearly_rate(inputs)
    assert (found.units_per_ac, found.set_by) == (pytest.approx(1.0), "P2O5")
    assert yearly_rate(dataclasses.replace(inputs, p2o5_limit_lb_per_ac=5000)).set_by == "N"


def test_liquid_amounts_are_gallons():
    liquid = dataclasses.replace(LINEAR, form="liquid", manure_n_lb_per_unit=20.0)
    assert yearly_rate(liquid).amount == pytest.approx(8 * 1000 * 40)
    assert amount_per_ac(8.0, "liquid") == 8000.0


def test_the_snapshot_holds_every_input_and_cannot_be_changed():
    found = yearly_rate(EXAMPLE)
    record = dataclasses.asdict(found)
    assert record["method_version"] == METHOD_VERSION
    assert set(record["inputs"]) == {field.name for field in dataclasses.fields(RateInputs)}
    assert record["inputs"]["soil_n_lb_per_ac"] == 30.0
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.units_per_ac = 1.0
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.inputs.soil_n_lb_per_ac = 0.0
    again = yearly_rate(RateInputs(**record["inputs"]))
    assert again == found


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"n_limit_lb_per_ac": -1.0}, "N limit is -1"),
        ({"spreadable_ac": float("nan")}, "spreadable acres"),
        ({"p2o5_limit_lb_per_ac": -0.1}, "P2O5 limit"),
        ({"manure_n_lb_per_unit": 0.0}, "no amount follows"),
        ({"manure_n_lb_per_unit": float("inf")}, "no amount follows"),
        ({"manure_p2o5_lb_per_unit": float("nan")}, "P2O5 of the manure is nan"),
        ({"soil_n_lb_per_ac": 1.0}, "soil N is given"),
        ({"other_p2o5_lb_per_ac": 1.0}, "other P2O5 is given"),
        ({"is_p_limited": True, "p2o5_limit_lb_per_ac": None}, "missing"),
        ({"is_p_limited": True, "manure_p2o5_lb_per_unit": None}, "missing"),
        ({"is_p_limited": True, "manure_p2o5_lb_per_unit": 0.0}, "missing"),
    ],
)
def test_terms_that_give_no_rate_are_refused(change, words):
    with pytest.raises(NutrientError, match=words):
        yearly_rate(dataclasses.replace(LINEAR, **change))


# By hand, 12 months: sampled 2024-05-02; spread 2025-04-20 valid, 2025-05-03 invalid (12 months)
@pytest.mark.parametrize(
    ("applied", "recent"),
    [
        (dt.date(2025, 4, 20), True),
        (dt.date(2025, 5, 2), True),
        (dt.date(2025, 5, 3), False),
        (dt.date(2024, 5, 2), True),
        (dt.date(2024, 5, 1), False),
        (dt.date(2026, 1, 1), False),
        (dt.date(2025, 6, 1), False),
    ],
)
def test_a_test_is_recent_within_the_months_of_the_rule(applied, recent):
    assert is_recent_test(dt.date(2024, 5, 2), applied, 12) is recent


# 160 lb/ac x 40 ac = 6,400 lb; 3,200 put on; 3,200 / 25 lb per 1,000 gal = 128,000 gal
def test_what_is_left_under_the_limits():
    nitrogen = NutrientLimit("N", 160.0, 3200.0, 25.0)
    phosphate = NutrientLimit("P2O5", 50.0, 1000.0, 10.0)  # 1,000 lb left: 100,000 gal
    left = left_under_limits([nitrogen, phosphate], 40.0, "liquid", [4_000_000, 6_000_000])
    assert (left.amount_milli, left.limited_by, left.loads) == (100_000_000, "P2O5", 20.0)
    only = left_under_limits([nitrogen], 40.0, "solid")
    assert (only.amount_milli, only.loads) == (256_000_000, None)  # 128 tons in pounds


def test_nothing_is_left_at_or_over_a_limit():
    for applied_lb in (6400.0, 6401.0):
        left = left_under_limits([NutrientLimit("N", 160.0, applied_lb, 25.0)], 40.0, "liquid")
        assert left.amount_milli == 0
    just_under = left_under_limits([NutrientLimit("N", 160.0, 6399.0, 25.0)], 40.0, "liquid")
    assert just_under.amount_milli == 40_000


def test_manure_without_the_nutrient_is_not_limited_by_it():
    assert left_under_limits([NutrientLimit("N", 160.0, 0.0, 0.0)], 40.0, "liquid") is None
    assert left_under_limits([], 40.0, "liquid") is None
    with pytest.raises(NutrientError, match="does not state N"):
        left_under_limits([NutrientLimit("N", 160.0, 0.0, None)], 40.0, "liquid")
    with pytest.raises(NutrientError, match="acres"):
        left_under_limits([], -1.0, "liquid")


def test_equal_rates_are_set_by_nitrogen_and_a_trace_of_it_is_enough():
    even = dataclasses.replace(
        LINEAR, is_p_limited=True, p2o5_limit_lb_per_ac=160.0, manure_p2o5_lb_per_unit=8.53
    )
    assert yearly_rate(even).set_by == "N"
    trace = dataclasses.replace(LINEAR, manure_n_lb_per_unit=0.5)
    assert yearly_rate(trace).units_per_ac == 320
