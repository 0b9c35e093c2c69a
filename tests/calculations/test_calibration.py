"""Calibration against published sheet tables and patterns known beforehand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.calculations import calibration as cal
from farmrecords.calculations.calibration import CalibrationError


def test_a_56_inch_sheet_reads_tons_per_acre():
    # CV-4.1 Iowa State EPC, 2001: (56/12)^2 = 21.78 ft2 = 1/2000 ac
    sheet = (56 / 12) ** 2
    assert sheet == pytest.approx(21.78, abs=0.005)
    assert cal.sheet_rate_ton_per_ac(12, sheet) == pytest.approx(12, abs=0.005)


def test_a_22_foot_sheet_factor():
    # CV-4.2 North Dakota State, 2008: 3 ft x 7 ft 4 in, 0.990
    assert cal.sheet_rate_ton_per_ac(1, 3 * (7 + 4 / 12)) == pytest.approx(0.990, abs=5e-4)


# By hand: pounds on 6x6, 8x8, 10x10 ft sheets
@pytest.mark.parametrize(
    ("lb", "rates"),
    [
        (5, (3.0, 1.7, 1.1)),
        (10, (6.1, 3.4, 2.2)),
        (20, (12.1, 6.8, 4.4)),
        (30, (18.2, 10.2, 6.5)),
        (50, (30.3, 17.0, 10.9)),
        (75, (45.4, 25.5, 16.3)),
        (100, (60.5, 34.0, 21.8)),
    ],
)
def test_sheet_table(lb, rates):
    computed = [cal.sheet_rate_ton_per_ac(lb, side**2) for side in (6, 8, 10)]
    assert computed == pytest.approx(rates, abs=0.051)


def test_coefficient_of_variation_uses_the_sample_form():
    # CV-4.4: 16.3 % (the population form would give 14.6)
    assert cal.coefficient_of_variation_pct([14, 12, 9, 11, 13]) == pytest.approx(16.3, abs=0.05)


def test_flow_form():
    # 495 = 43,560 / 88 (memory); tons per acre = lb/min x 0.2475 / (width x mph)
    assert cal.flow_rate_gal_per_ac(1, 1, 1) == 495


def test_triangle_pattern_is_even_at_half_its_base():
    # triangles of base 40 ft laid 20 ft apart add up to a constant: elementary geometry
    trays = [0, 1, 2, 3, 4, 3, 2, 1, 0]
    across = cal.overlapped(trays, 5, 20, "racetrack")
    assert across == pytest.approx([4] * len(across))
    assert cal.best_spacing_ft(trays, 5, "racetrack", 1) == 20


def test_one_sided_pattern_needs_racetrack_passes():
    ramp = [0, 1, 2, 3, 4, 5, 6, 7]
    even = cal.coefficient_of_variation_pct(cal.overlapped(ramp, 5, 20, "racetrack"))
    mirrored = cal.coefficient_of_variation_pct(cal.overlapped(ramp, 5, 20, "back and forth"))
    assert even != pytest.approx(mirrored)


@given(trays=st.lists(st.floats(0.1, 10), min_size=3, max_size=12))
def test_a_symmetric_pattern_does_not_care_how_one_drives(trays):
    row = trays + trays[::-1]
    racetrack = cal.overlapped(row, 5, 20, "racetrack")
    back = cal.overlapped(row, 5, 20, "back and forth")
    assert racetrack * 2 == pytest.approx(back)


@given(trays=st.lists(st.integers(0, 20), min_size=4, max_size=12), count=st.integers(2, 8))
def test_overlap_neither_makes_nor_loses_manure(trays, count):
    trays = [float(v) for v in trays]
    across = cal.overlapped(trays, 5, 5 * count, "racetrack")
    assert sum(across) == pytest.approx(sum(trays))


def test_effective_width_is_between_the_half_rates():
    # Agdex 400/28-3 page 201: the two places with 50 % of the maximum
    assert cal.effective_width_ft([0, 2, 6, 8, 8, 6, 2, 0], 5) == pytest.approx(20)
    assert cal.effective_width_ft([8, 8, 8], 5) == 10


def test_no_spacing_within_the_limit():
    assert cal.best_spacing_ft([0, 0, 9, 0, 0], 5, "racetrack", 1) is None


@pytest.mark.parametrize(
    "call",
    [
        lambda: cal.sheet_rate_ton_per_ac(5, 0),
        lambda: cal.sheet_rate_ton_per_ac(-1, 20),
        lambda: cal.mean_sheet_rate_ton_per_ac([1, 2], 20),
        lambda: cal.coefficient_of_variation_pct([1]),
        lambda: cal.coefficient_of_variation_pct([0, 0]),
        lambda: cal.effective_width_ft([0, 0], 5),
        lambda: cal.effective_width_ft([], 5),
        lambda: cal.flow_rate_gal_per_ac(100, 0, 4),
        lambda: cal.overlapped([1, 2], 5, 0, "racetrack"),
    ],
)
def test_impossible_calibrations_are_refused(call):
    with pytest.raises(CalibrationError):
        call()
