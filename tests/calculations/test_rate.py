"""Rates of loads and how a load is shared over fields."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.calculations import rate
from farmrecords.calculations.rate import RateError


def test_rate_of_a_weighed_load():
    # CV-4.3 (derived): gross 28,640, tare 12,380 lb; 22 ft by 1,450 ft; 11.10 tons per acre
    net = rate.net_weight_milli(28_640_000, 12_380_000)
    assert net == 16_260_000
    acres = rate.swath_ac(22, 1450)
    assert acres == pytest.approx(0.7323, abs=5e-5)
    assert rate.rate_per_ac(net, "lb", acres) == pytest.approx(11.10, abs=0.005)


def test_rate_of_counted_loads():
    # CV-4.5: ten loads of 3.0 tons on 4.0 ac are 7.5 tons per acre
    assert rate.rate_per_ac(rate.counted_loads_milli(10, 6_000_000), "lb", 4.0) == 7.5


@pytest.mark.parametrize("acres", [0, -1, float("nan"), float("inf")])
def test_rate_needs_acres(acres):
    with pytest.raises(RateError, match="covered area"):
        rate.rate_per_ac(1000, "gal", acres)


def test_impossible_amounts_are_refused():
    with pytest.raises(RateError, match="below 0"):
        rate.rate_per_ac(-1, "gal", 1)
    with pytest.raises(RateError, match="swapped"):
        rate.net_weight_milli(12_380_000, 28_640_000)
    with pytest.raises(RateError, match="backwards"):
        rate.meter_milli(2000, 1999)
    with pytest.raises(RateError, match="rose"):
        rate.split_by_weight_drop(1000, [(10, 11)])
    with pytest.raises(RateError, match="cannot be"):
        rate.counted_loads_milli(-1, 1000)


def test_equal_readings_are_an_amount_of_nothing():
    assert rate.meter_milli(2000, 2000) == 0
    assert rate.net_weight_milli(5, 5) == 0


def test_drive_length_gives_the_wanted_rate_back():
    # WAC 173-308-270 form: gallons / width x 43,560 / rate
    length = rate.drive_length_ft(4_000_000, "gal", 30, 5000)
    assert length == pytest.approx(4000 / 30 * 43560 / 5000)
    assert rate.rate_per_ac(4_000_000, "gal", rate.swath_ac(30, length)) == pytest.approx(5000)
    tons = rate.drive_length_ft(16_260_000, "lb", 22, 11.10)
    assert tons == pytest.approx(1450, abs=0.65)  # CV-4.3 backwards, rate printed to 0.005


@given(
    total=st.integers(0, 10**12),
    shares=st.lists(st.floats(0, 1e6), min_size=1, max_size=12).filter(lambda s: sum(s) > 0),
)
def test_shares_add_up_to_the_load_exactly(total, shares):
    parts = rate.split_exactly(total, shares)
    assert sum(parts) == total
    assert all(part >= 0 for part in parts)
    whole = sum(shares)
    for part, share in zip(parts, shares, strict=True):
        assert abs(part - total * share / whole) <= 1 + total * 1e-12


@pytest.mark.parametrize("shares", [[], [0, 0], [1, -1], [float("nan")]])
def test_a_load_without_shares_is_refused(shares):
    with pytest.raises(RateError):
        rate.split_exactly(10, shares)


def test_a_share_of_nothing_gets_nothing():
    assert rate.split_exactly(10, [0, 2.5]) == [0, 10]


@given(
    amount=st.integers(1, 10**10),
    acres=st.lists(st.floats(0.1, 100), min_size=2, max_size=6),
)
def test_fields_that_share_by_area_get_the_same_rate(amount, acres):
    parts = rate.split_exactly(amount, acres)
    whole = rate.rate_per_ac(amount, "gal", sum(acres))
    for part, own in zip(parts, acres, strict=True):
        assert abs(rate.rate_per_ac(part, "gal", own) - whole) <= 0.001 / own + whole * 1e-9


def test_rate_unit_follows_the_kind():
    assert (rate.rate_unit("gal"), rate.rate_unit("lb")) == ("gal_per_ac", "ton_per_ac")
