"""The largest amount that a plan's limits allow."""

import pytest

from farmrecords.calculations.manure_test import ManureContent
from farmrecords.calculations.maximum import NutrientLimit, left_under_limits, maximum_per_ac
from farmrecords.calculations.nutrients import NutrientError

# CV-2.1, S-MT5: available N 8.53 and P2O5 18 lb/ton; need 160 N, 50 P2O5: 18.8 and 2.8 ton/ac
MANURE = ManureContent("solid", 8.53, None, None, 18.0, None)


def test_published_maximum():
    assert maximum_per_ac(MANURE, 160, 50, False).units_per_ac == pytest.approx(18.8, abs=0.05)
    limited = maximum_per_ac(MANURE, 160, 50, True)
    assert (limited.units_per_ac, limited.set_by) == (pytest.approx(2.8, abs=0.05), "P2O5")


def test_what_comes_from_elsewhere_uses_up_the_limit():
    assert maximum_per_ac(MANURE, 160, None, False, 160).units_per_ac == 0
    assert maximum_per_ac(MANURE, 160, None, False, 200).units_per_ac == 0
    assert maximum_per_ac(MANURE, 10, 5000, True).set_by == "N"


@pytest.mark.parametrize(
    ("content", "limit", "words"),
    [
        (MANURE, None, "states no N limit"),
        (MANURE, -1, "cannot be"),
        (ManureContent("solid", None, None, None, None, None), 100, "does not state"),
        (ManureContent("solid", 0.0, None, None, None, None), 100, "no amount follows"),
    ],
)
def test_a_missing_figure_gives_no_maximum(content, limit, words):
    with pytest.raises(NutrientError, match=words):
        maximum_per_ac(content, limit, None, False)


def test_a_limit_of_nothing_allows_nothing_and_is_no_mistake():
    assert maximum_per_ac(MANURE, 0, None, False).units_per_ac == 0


def test_equal_limits_are_set_by_nitrogen():
    even = ManureContent("solid", 10.0, None, None, 10.0, None)
    assert maximum_per_ac(even, 50, 50, True).set_by == "N"


def test_a_trace_of_a_nutrient_still_limits():
    trace = ManureContent("solid", 0.5, None, None, None, None)
    assert maximum_per_ac(trace, 160, None, False).units_per_ac == 320
    left = left_under_limits([NutrientLimit("N", 160.0, 0.0, 0.5)], 1.0, "solid")
    assert left.amount_milli == 640_000_000  # 160 lb / 0.5 lb per ton are 320 tons


def test_a_field_without_acres_takes_nothing():
    left = left_under_limits([NutrientLimit("N", 160.0, 0.0, 25.0)], 0.0, "liquid")
    assert left.amount_milli == 0
