"""Soil loss factors against handbook values and independent computation."""

import math

import pytest

from farmrecords.calculations import soil_loss as soil
from farmrecords.calculations.soil_loss import SoilLossError


def test_usle_handbook_example():
    # USLE-1, AH-537 (inputs memory): 11.5 t/ac; USLE-2: LS 1.4018, the table prints 1.41
    assert soil.soil_loss_ton_per_ac(185, 0.37, 1.41, 0.119, 1) == pytest.approx(11.5, abs=0.05)
    assert soil.usle_ls(8, 200) == pytest.approx(1.4018, abs=5e-5)


def test_reference_plot():
    # USLE-3: 9 %, 72.6 ft
    assert soil.usle_ls(9, 72.6) == pytest.approx(0.9993, abs=5e-5)
    assert soil.rusle_s(9, 72.6) == pytest.approx(1.0059, abs=5e-5)


def test_textbook_cropland():
    # USLE-4, S43: gross 9.7902 t/ac; 180 ac delivered at 0.60: 1057.3 t/yr
    gross = soil.soil_loss_ton_per_ac(200, 0.37, 1.08, 0.49, 0.25)
    assert gross == pytest.approx(9.7902, abs=5e-5)
    assert gross * 0.60 * 180 == pytest.approx(1057.3, abs=0.05)


def test_rusle_cases():
    # RUSLE-1 and RUSLE-2, computed; RUSLE-3: a filing's table prints 0.78, equation within 4 %
    low, moderate, high = (soil.rusle_ls(2, 100, r) for r in ("low", "moderate", "high"))
    assert (low, moderate, high) == pytest.approx((0.2572, 0.2660, 0.2789), abs=5e-5)
    assert soil.rusle_m(12) == pytest.approx(0.5457, abs=5e-5)
    assert soil.rusle_s(12, 150) == pytest.approx(1.5016, abs=5e-5)
    assert soil.rusle_ls(12, 150) == pytest.approx(2.2312, abs=5e-5)
    assert soil.rusle_ls(100 * 18 / 380, 380, "low") == pytest.approx(0.78, rel=0.04)


M_TABLE = """0.2 .02 .04 .07|0.5 .04 .08 .16|1 .08 .15 .26|2 .14 .24 .39|3 .18 .31 .47|
4 .22 .36 .53|5 .25 .40 .57|6 .28 .43 .60|8 .32 .48 .65|10 .35 .52 .68|
14 .40 .57 .72|16 .41 .59 .74|
20 .44 .61 .76|25 .47 .64 .78|30 .49 .66 .79|40 .52 .68 .81|50 .54 .70 .82|
60 .55 .71 .83"""


@pytest.mark.parametrize("row", M_TABLE.split("|"))
def test_rusle_exponent_table(row):
    # p_index.md 8, computed; two decimals
    slope, *printed = (float(number) for number in row.split())
    ours = [soil.rusle_m(slope, ratio) for ratio in ("low", "moderate", "high")]
    assert ours == pytest.approx(printed, abs=0.0051)


@pytest.mark.parametrize(
    ("slope", "p", "longest"),
    [(2, 0.6, 400), (5, 0.5, 300), (8, 0.5, 200), (12, 0.6, 120), (16, 0.7, 80), (20, 0.8, 60),
     (25, 0.9, 50)],
)  # fmt: skip
def test_contouring_counts_up_to_its_longest_slope(slope, p, longest):
    # AH-537 table 13 (memory)
    assert soil.contour_p(slope, longest) == p
    assert soil.contour_p(slope, longest + 1) == 1.0


def test_slope_class_turns_at_nine_per_cent_not_at_the_sine():
    below, at = soil.rusle_s(8.999, 100), soil.rusle_s(9, 100)
    assert below == pytest.approx(10.8 * math.sin(math.atan(0.08999)) + 0.03)
    assert at == pytest.approx(16.8 * math.sin(math.atan(0.09)) - 0.50)
    assert soil.rusle_s(5, 14.9) == pytest.approx(3 * math.sin(math.atan(0.05)) ** 0.8 + 0.56)


def test_erosivity_and_metric_factors():
    assert soil.erosivity_from_rain(500) == pytest.approx(0.0483 * 500**1.61 * 0.05876)
    assert soil.to_metric("r", 100) == pytest.approx(1702)
    assert soil.to_metric("k", 0.37) == pytest.approx(0.0487, abs=5e-5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: soil.usle_ls(-1, 100),
        lambda: soil.rusle_ls(5, 0),
        lambda: soil.soil_loss_ton_per_ac(1, 1, 1, 1, -1),
        lambda: soil.erosivity_from_rain(-1),
    ],
)
def test_impossible_slopes_are_refused(call):
    with pytest.raises(SoilLossError):
        call()
