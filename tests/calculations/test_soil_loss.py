"""Soil loss factors against handbook values and independent computation."""

import math

import pytest

from farmrecords.calculations import soil_factors as factors
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
    # USDA AH-537 and AH-703, computed; two decimals
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
    assert factors.contour_p(slope, longest) == p
    assert factors.contour_p(slope, longest + 1) == 1.0


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


# USDA AH-537 and AH-703, K by texture (average; OM < 2 %; OM > 2 %), read: three rows at the ends
# and middle
@pytest.mark.parametrize(
    ("texture", "average", "low", "high"),
    [("clay", 0.22, 0.24, 0.21), ("silt loam", 0.38, 0.41, 0.37),
     ("sandy clay loam", 0.2, 0.2, 0.2),
     ("fine sand", 0.08, 0.09, 0.06), ("sand", 0.02, 0.03, 0.01), ("loam", 0.30, 0.34, 0.26),
     ("clay loam", 0.30, 0.33, 0.28), ("coarse sandy loam", 0.07, 0.07, 0.07),
     ("fine sandy loam", 0.18, 0.22, 0.17), ("heavy clay", 0.17, 0.19, 0.15),
     ("loamy fine sand", 0.11, 0.15, 0.09), ("loamy sand", 0.04, 0.05, 0.04),
     ("loamy very fine sand", 0.39, 0.44, 0.25), ("sandy loam", 0.13, 0.14, 0.12),
     ("silty clay", 0.26, 0.27, 0.26), ("silty clay loam", 0.32, 0.35, 0.30),
     ("very fine sand", 0.43, 0.46, 0.37), ("very fine sandy loam", 0.35, 0.41, 0.33)],
)  # fmt: skip
def test_k_by_texture(texture, average, low, high):
    assert factors.k_by_texture(texture) == average
    assert factors.k_by_texture(texture, 1.9) == factors.k_by_texture(texture, 2) == low
    assert factors.k_by_texture(texture, 2.01) == high


def test_k_by_the_nomograph():
    # USDA AH-537 and AH-703 (read), worked by hand: M = 65 x 85 = 5525; 5525^1.14 = 18465.6
    assert factors.k_nomograph(65, 15, 2.8, 2, 4) == pytest.approx(
        (2.1e-4 * 9.2 * 5525**1.14 + 2.5) / 759
    )
    # structure 4 adds 6.5 / 759, permeability 6 adds 5.0 / 759 more than class 4
    step = factors.k_nomograph(65, 15, 2.8, 4, 6) - factors.k_nomograph(65, 15, 2.8, 2, 4)
    assert step == pytest.approx((6.5 + 5.0) / 759)
    assert factors.k_nomograph(0, 100, 12, 2, 3) == 0


@pytest.mark.parametrize(
    "call",
    [
        lambda: factors.k_by_texture("mud"),
        lambda: factors.k_by_texture("clay", 101),
        lambda: factors.k_nomograph(70, 31, 2, 2, 3),
        lambda: factors.k_nomograph(-1, 30, 2, 2, 3),
        lambda: factors.k_nomograph(50, 30, 12.1, 2, 3),
        lambda: factors.k_nomograph(50, 30, 2, 5, 3),
        lambda: factors.k_nomograph(50, 30, 2, 2, 7),
        lambda: factors.contour_p(-1, 100),
        lambda: factors.contour_p(5, 0),
        lambda: factors.strip_p(5, "D"),
        lambda: soil.delivered_ton_per_ac(1, 1.01),
        lambda: soil.delivered_ton_per_ac(1, -0.01),
    ],
)
def test_impossible_factors_are_refused(call):
    with pytest.raises(SoilLossError):
        call()


# AH-537 table 14 (memory): slope, P of A, B, C, strip width
@pytest.mark.parametrize(
    ("slope", "a", "b", "c", "width"),
    [(2, 0.30, 0.45, 0.60, 130), (5, 0.25, 0.38, 0.50, 100), (8, 0.25, 0.38, 0.50, 100),
     (12, 0.30, 0.45, 0.60, 80), (16, 0.35, 0.52, 0.70, 80), (20, 0.40, 0.60, 0.80, 60),
     (25, 0.45, 0.68, 0.90, 50)],
)  # fmt: skip
def test_contour_strips(slope, a, b, c, width):
    assert [factors.strip_p(slope, one) for one in ("A", "B", "C")] == [
        (a, width), (b, width), (c, width)
    ]  # fmt: skip
    assert factors.strip_p(25.1, "A") == (1.0, None)


def test_residue_and_terraces_lengthen_what_contouring_allows():
    # length + 25 % if residue after seeding regularly covers more than half (memory)
    assert factors.contour_p(10, 150, residue_covered=True) == 0.6
    assert factors.contour_p(10, 150.1, residue_covered=True) == 1.0
    # terrace spacing is the slope length, then P of contouring (memory)
    assert (factors.terrace_p(10, 120), factors.terrace_p(10, 121)) == (0.6, 1.0)


def test_thawing_soil_is_less_steep_from_nine_per_cent_on():
    # (sin / 0.0896)^0.6 for >= 9 % (memory); at 9 % sin is 0.08964, so S is 1.0003
    assert soil.rusle_s(9, 100, thawing=True) == pytest.approx(1.0003, abs=5e-5)
    assert soil.rusle_s(8.9, 100, thawing=True) == soil.rusle_s(8.9, 100)
    assert soil.rusle_s(20, 14, thawing=True) == soil.rusle_s(20, 14)
    assert soil.rusle_ls(20, 100, thawing=True) < soil.rusle_ls(20, 100)


def test_unit_systems_turn_into_each_other():
    # USDA AH-537 and AH-703 (read): R x 17.02, K x 0.1317, A x 2.242
    assert soil.to_metric("r", 100) == pytest.approx(1702)
    assert soil.to_metric("k", 0.37) == pytest.approx(0.048729)
    for factor in ("r", "k", "a"):
        assert soil.to_us(factor, soil.to_metric(factor, 3.0)) == pytest.approx(3.0)
    # a metric product is the metric soil loss, within the rounding of the three factors
    metric = soil.to_metric("r", 185) * soil.to_metric("k", 0.37) * 1.41 * 0.119
    us = soil.soil_loss_ton_per_ac(185, 0.37, 1.41, 0.119, 1)
    assert metric == pytest.approx(soil.to_metric("a", us), rel=1e-3)


def test_delivered_share_of_the_textbook_cropland():
    # USLE-4, S43: 9.7902 gross, 0.60 delivered: 5.8741 t/ac/yr; 180 ac: 2.897 t/day
    delivered = soil.delivered_ton_per_ac(9.7902, 0.60)
    assert delivered == pytest.approx(5.8741, abs=5e-5)
    assert delivered * 180 / 365 == pytest.approx(2.897, abs=5e-4)


def test_the_ends_of_every_range_belong_to_it():
    assert soil.usle_ls(0, 72.6) == pytest.approx(0.065)  # AH-537: the constant of the slope term
    assert soil.rusle_ls(100, 100) > 0
    with pytest.raises(SoilLossError):
        soil.rusle_ls(100.5, 100)
    assert soil.delivered_ton_per_ac(5, 0) == 0
    assert soil.delivered_ton_per_ac(5, 1) == 5
    assert soil.erosivity_from_rain(0) == 0
    assert soil.erosivity_from_rain(0.5) > 0


def test_fifteen_feet_and_850_mm_take_the_second_form():
    # USDA AH-537 and AH-703: slopes shorter than 15 ft have their own S; P < 850 mm the first form
    sine = math.sin(math.atan(0.05))
    assert soil.rusle_s(5, 15) == pytest.approx(10.8 * sine + 0.03)
    at_850 = (587.8 - 1.219 * 850 + 0.004105 * 850**2) * 0.05876
    assert soil.erosivity_from_rain(850) == pytest.approx(at_850)
    assert soil.erosivity_from_rain(849.9) == pytest.approx(0.0483 * 849.9**1.61 * 0.05876)
