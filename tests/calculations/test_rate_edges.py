"""Rates at their edges: what is just possible and just not, and who gets the odd thousandth."""

import math

import pytest

from farmrecords.calculations import rate
from farmrecords.calculations.rate import RateError


def test_nothing_weighed_counted_or_emptied_is_possible() -> None:
    assert rate.net_weight_milli(5000, 0) == 5000
    assert rate.net_weight_milli(0, 0) == 0
    assert rate.counted_loads_milli(0, 6000) == 0
    assert rate.counted_loads_milli(3, 0) == 0
    assert rate.counted_loads_milli(1, 1) == 1
    assert rate.meter_drop(10, 10) == 0


@pytest.mark.parametrize(
    "call",
    [
        lambda: rate.net_weight_milli(5000, -1),
        lambda: rate.net_weight_milli(4999, 5000),
        lambda: rate.counted_loads_milli(-1, 6000),
        lambda: rate.counted_loads_milli(3, -1),
        lambda: rate.meter_drop(10, 11),
        lambda: rate.swath_ac(0, 100),
        lambda: rate.drive_length_ft(1000, "gal", 30, 0),
    ],
)
def test_just_below_nothing_is_refused(call) -> None:
    with pytest.raises(RateError):
        call()


def test_the_largest_remainder_gets_the_odd_thousandth() -> None:
    # 10 in the shares 1 : 3 : 2 are 1.67, 5, 3.33: the rest belongs to the first
    assert rate.split_exactly(10, [1, 3, 2]) == [2, 5, 3]
    # 10 in the shares 2 : 3 : 1 are 3.33, 5, 1.67: here to the last
    assert rate.split_exactly(10, [2, 3, 1]) == [3, 5, 2]


def test_capacity_counts_all_loads() -> None:
    assert not rate.is_beyond_capacity(180, 6, 3, 10)
    assert rate.is_beyond_capacity(181, 6, 3, 10)
    assert rate.is_beyond_capacity(61, 6, None, 10)
    assert not rate.is_beyond_capacity(60, 6, 0, 10)


def test_one_of_several_equal_loads() -> None:
    assert rate.each_load_milli(600, 3) == 200
    assert rate.each_load_milli(600, 0) == 600


def test_shading_by_the_highest_rate() -> None:
    assert rate.share_of_highest([]) == []
    assert rate.share_of_highest([0, 0]) == [0.0, 0.0]
    assert rate.share_of_highest([1, 2]) == [0.5, 1.0]
    assert rate.share_of_highest([0.5]) == [1.0]


@pytest.mark.parametrize("acres", [0.0, -0.1, math.inf, math.nan])
def test_acres_that_cannot_be_have_no_rate(acres):
    with pytest.raises(RateError, match="covered area"):
        rate.rate_per_ac(1, "gal", acres)


def test_a_strip_of_a_foot_has_acres():
    assert rate.swath_ac(1, 1) == pytest.approx(1 / 43_560)  # square feet of an acre (definition)
