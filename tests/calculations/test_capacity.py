"""Spreaders, axles and what a field may still receive."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from farmrecords.calculations import capacity
from farmrecords.calculations import storage_volume as storage
from farmrecords.calculations.capacity import CapacityError

GAL = 1728 / 231


def test_bushel_rated_loads():
    # CV-4.5: ten loads of a 220 bu spreader on 4 ac: 7.5 tons per acre
    assert 10 * capacity.BUSHEL_LOADS_TON[220] / 4 == 7.5


def test_liquid_tank_is_filled_to_nine_tenths():
    assert capacity.tank_load_gal(4500) == 4050  # S-IA99, S-WADP


def test_box_by_bucket_weight():
    # S-USU: lb per 5-gal bucket x 1.5 x L x W x H / 2000
    assert capacity.box_load_ton(40, 12 * 6 * 3) == 40 * 1.5 * 12 * 6 * 3 / 2000


def test_axles_share_the_load():
    axles = capacity.axle_loads([2000, 10_000], 50_000, [0.1, 0.9], [7000, 54_999])
    assert [axle.within for axle in axles] == [True, False]
    assert sum(axle.carried_lb for axle in axles) == 62_000
    assert capacity.axle_loads([1], 1, [1])[0].within is None


def test_remaining_never_falls_below_nothing():
    assert capacity.remaining(8000, 20, 200_000_000, "gal").amount_milli == 0
    tons = capacity.remaining(5, 10, 0, "lb", 16_000_000)
    assert (tons.amount_milli, tons.whole_loads) == (100_000_000, 6)


@pytest.mark.parametrize(
    "call",
    [
        lambda: capacity.tank_load_gal(-1),
        lambda: capacity.tank_load_gal(100, 0),
        lambda: capacity.tank_load_gal(100, 1.1),
        lambda: capacity.box_load_cuft(1, 1, math.nan),
        lambda: capacity.axle_loads([], 1, []),
        lambda: capacity.axle_loads([1, 1], 1, [0.5]),
        lambda: capacity.axle_loads([1, 1], 1, [0.5, 0.6]),
        lambda: capacity.axle_loads([1, 1], 1, [1.5, -0.5]),
        lambda: capacity.remaining(1, 1, 0, "gal", 0),
        lambda: capacity.remaining(-1, 1, 0, "gal"),
    ],
)
def test_impossible_sizes_are_refused(call):
    with pytest.raises(CapacityError):
        call()


@given(share=st.floats(0, 1), diameter=st.floats(2, 30), length=st.floats(2, 80))
@example(share=2.220446049250313e-16, diameter=3.0, length=2.0)  # full but for the last digit
def test_lying_tank_is_symmetric_and_inverts(share, diameter, length):
    tank = storage.HorizontalCylinder(diameter, length)
    full = math.pi / 4 * diameter**2 * length * GAL
    low = storage.volume_gal(tank, share * diameter)
    high = storage.volume_gal(tank, diameter - share * diameter)
    assert low + high == pytest.approx(full, rel=1e-9)
    assert storage.depth_ft(tank, low) == pytest.approx(share * diameter, abs=1e-4)


@given(d=st.floats(1, 20), bottom=st.floats(10, 200), z=st.floats(0, 5))
def test_round_pond_follows_the_printed_formula(d, bottom, z):
    # S-10A2: V = 1.05 z2 d3 + 1.57 Db z d2 + 0.79 Db2 d (coefficients rounded in print)
    pond = storage.RoundPond(bottom, 20, z)
    printed = 1.05 * z**2 * d**3 + 1.57 * bottom * z * d**2 + 0.79 * bottom**2 * d
    assert storage.volume_gal(pond, d) / GAL == pytest.approx(printed, rel=0.007)


def test_round_shapes_refuse_what_cannot_be():
    for build in (
        lambda: storage.RoundPond(0, 10, 2),
        lambda: storage.RoundPond(10, 10, -1),
        lambda: storage.HorizontalCylinder(8, 0),
    ):
        with pytest.raises(storage.StorageShapeError):
            build()
