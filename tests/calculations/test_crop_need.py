"""Crop removal, realistic yields and nitrogen need against published examples."""

import pytest

from farmrecords.calculations.crop_need import (
    CropError,
    coefficient,
    irrigation_nitrogen_lb_per_ac,
    nitrogen_need,
    realistic_yield,
    removal,
    removal_from_analysis_lb_per_ac,
    removal_sets,
)


def test_published_removals():
    # CV-3.1 IPNI, fall 2008 no. 4; CV-3.2 Michigan State factors, 2017, tolerance 0.6
    assert removal("midwest-older", "corn grain", 200).k2o_lb_per_ac == pytest.approx(54)
    corn = removal("midwest-older", "corn grain", 150)
    assert (corn.n_lb_per_ac, corn.p2o5_lb_per_ac, corn.k2o_lb_per_ac) == pytest.approx(
        (135, 56, 41), abs=0.6
    )
    # Michigan State factors, 2017: 40 bu soybeans take 152 / 32 / 56
    beans = removal("midwest-older", "soybean", 40)
    assert (beans.n_lb_per_ac, beans.p2o5_lb_per_ac, beans.k2o_lb_per_ac) == pytest.approx(
        (152, 32, 56)
    )


def test_silage_by_its_own_analysis():
    # CV-3.3 Cornell, certified crop adviser CA6-59: 86.8 -> 87 lb P2O5, 4.35 lb per ton printed
    pounds = removal_from_analysis_lb_per_ac(20, 35, 0.62)
    assert pounds == pytest.approx(86.8)
    assert pounds / 20 == pytest.approx(4.35, abs=0.015)


def test_a_nutrient_the_set_does_not_state_is_unknown():
    assert removal("tri-state-2020", "soybean", 50).n_lb_per_ac is None


def test_straw_counts_by_the_share_baled():
    half = removal("montana", "barley straw", 2.0, share_taken=0.5)
    assert half.k2o_lb_per_ac == 30.0


@pytest.mark.parametrize(
    ("bushels", "low", "high"), [(70, 0.83, 1.11)]
)  # Ontario field crop news, May 2025 barley grain N range
def test_a_range_takes_its_middle(bushels, low, high):
    assert removal("ontario", "barley grain", bushels).n_lb_per_ac == pytest.approx(
        bushels * (low + high) / 2
    )


def test_every_set_says_how_well_it_is_known():
    for one in removal_sets().values():
        assert one.evidence in ("read", "memory")
        assert one.source
        for crop in one.crops:
            assert any(coefficient(one.id, crop, n) is not None for n in ("n", "p2o5", "k2o"))


def test_realistic_yield_rules():
    # Iowa: mean of the best four of five county yields; Nebraska: five-year mean + 5 %
    years = [180, 200, 150, 190, 210]
    assert realistic_yield(years, "mean of best", best=4) == 195
    assert realistic_yield(years, "mean plus margin", margin_pct=5) == pytest.approx(195.3)
    assert realistic_yield(years, "mean plus margin", margin_pct=10) == pytest.approx(204.6)


def test_need_after_credits():
    # CV-2.4 Missouri EQ392: 195 - 30 = 165; 9,465 lb / 165 = 57 ac
    need = nitrogen_need(195, {"soybean": 30})
    assert need.needed_lb_per_ac == 165
    assert 9465 / need.needed_lb_per_ac == pytest.approx(57.4, abs=0.05)
    assert nitrogen_need(100, {"alfalfa": 150}).needed_lb_per_ac == 0


def test_a_rotation_rate_already_holds_the_legume():
    # Iowa State: 124 lb for corn after soybean; no credit may be taken again
    need = nitrogen_need(124, {"soybean": 50, "starter": 10}, ["soybean"])
    assert (need.needed_lb_per_ac, need.left_out) == (114, ("soybean",))


def test_irrigation_water_brings_nitrogen():
    assert irrigation_nitrogen_lb_per_ac(1, 1) == 0.2266  # exact units, derived


@pytest.mark.parametrize(
    "call",
    [
        lambda: removal("midwest-older", "corn grain", -1),
        lambda: removal("midwest-older", "corn grain", 10, 1.1),
        lambda: removal("nowhere", "corn grain", 10),
        lambda: removal("montana", "corn grain", 10),
        lambda: coefficient("montana", "barley grain", "s"),
        lambda: removal_from_analysis_lb_per_ac(20, 135, 0.6),
        lambda: realistic_yield([], "mean plus margin"),
        lambda: realistic_yield([180], "mean of best", best=2),
        lambda: realistic_yield([-1], "mean plus margin"),
        lambda: nitrogen_need(100, {"soybean": -1}),
    ],
)
def test_impossible_crop_figures_are_refused(call):
    with pytest.raises(CropError):
        call()
