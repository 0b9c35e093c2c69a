"""Check values and table rows of units, densities, credits, yields, tanks and loads."""

import math
from decimal import Decimal

import pytest

from farmrecords.calculations import (
    capacity,
    credited,
    crop_need,
    density,
    piles,
    recommendation,
    road_load,
)
from farmrecords.calculations import storage_volume as storage
from farmrecords.calculations.available_nitrogen import (
    AvailabilityError,
    available_share,
    factor,
    system_named,
)
from farmrecords.calculations.manure_test import ManureContent
from farmrecords.calculations.nutrients import applied
from farmrecords.calculations.units import GAL_PER_CUFT, convert, k_to_k2o, p_to_p2o5


# Exact units and molar masses (read); tolerance is half of the last printed digit
@pytest.mark.parametrize(
    ("value", "unit", "to", "printed", "tolerance"),
    [
        ("1", "yd3", "ft3", 27, 0),  # Agdex 400/28-3 page 132
        ("1", "yd3", "L", 764.6, 0.05),  # Agdex 400/28-3 page 132
        ("1", "m3", "L", 1000, 0),  # Agdex 400/28-3 page 132
        ("1", "m3", "imp_gal", 220.0, 0.05),  # Agdex 400/28-3 page 132
        ("1", "ac", "ft2", 43_560, 0),  # UMass, spreader calibration
        ("1", "pct", "ppm", 10_000, 0),  # NOFA soil handbook
        ("1", "ppm", "lb_per_ton", 0.002, 0),  # NOFA soil handbook
        ("1", "mg_per_kg", "lb_per_ton", 0.002, 0),  # NOFA soil handbook
        ("1", "lb_per_ac", "kg_per_ha", 1.12085, 5e-6),  # exact units
        ("1", "ton_per_ac", "tonne_per_ha", 2.242, 5e-4),  # exact units
    ],
)
def test_printed_factor(value, unit, to, printed, tolerance):
    found = float(convert(Decimal(value), unit, to))
    assert found == pytest.approx(printed, abs=max(tolerance, 1e-12))


def test_phosphate_and_potash_as_printed():
    # NCDA 2.29, LPELC 1.20 (read); molar masses: 2.29137
    assert float(p_to_p2o5(Decimal(1))) == pytest.approx(2.29, abs=0.005)
    assert float(p_to_p2o5(Decimal(1))) == pytest.approx(2.29137, abs=1.5e-5)
    assert float(k_to_k2o(Decimal(1))) == pytest.approx(1.20, abs=0.005)
    # Vadas et al. 2009: 1 lb P2O5/ac = 0.489161 kg P/ha
    kg = float(convert(1 / p_to_p2o5(Decimal(1)), "lb_per_ac", "kg_per_ha"))
    assert kg == pytest.approx(0.489161, abs=2e-6)


def test_bulk_density_of_a_pail():
    # CV-1.4, Agdex 400/28-3 page 133: 20 L pail, 19.48 kg net: 974 kg/m3 = 60.8 lb/ft3, exact
    found = density.pail_kg_per_m3(19.48, 20)
    assert found == pytest.approx(974, abs=1e-9)
    pounds = convert(Decimal(str(round(found, 6))), "kg_per_m3", "lb_per_ft3")
    assert float(pounds) == pytest.approx(60.8, abs=0.05)


# Manure densities (read)
@pytest.mark.parametrize(
    ("material", "unit", "ends"),
    [
        ("liquid, measured range", "lb_per_gal", [8, 9]),
        ("liquid, usual", "lb_per_gal", [8.3, 8.5]),
        ("liquid, gallons to tons", "lb_per_gal", [8.4, 8.4]),
        ("liquid, planning", "lb_per_cuft", [62, 62]),
        ("solid, planning", "lb_per_cuft", [55, 55]),
        ("horse manure", "lb_per_bu", [40, 40]),
        ("horse manure", "lb_per_yd3", [800, 800]),
        ("broiler manure", "lb_per_bu", [50, 50]),
        ("broiler manure", "lb_per_yd3", [1000, 1000]),
        ("other manures", "lb_per_bu", [80, 80]),
        ("other manures", "lb_per_yd3", [1700, 1700]),
        ("compost", "lb_per_bu", [50, 50]),
        ("manure by the bushel, rule of thumb", "lb_per_bu", [75, 75]),
    ],
)
def test_planning_densities(material, unit, ends):
    row = density.planning_figures()[material]
    assert (row[unit], row["evidence"]) == (ends, "read")


def test_planning_densities_in_tons():
    # Manure densities: 0.0042 ton per gal, 0.031 and 0.0275 ton per cubic foot
    held = density.planning_figures()
    assert held["liquid, gallons to tons"]["lb_per_gal"][0] / 2000 == pytest.approx(0.0042)
    assert piles.pile_ton(1, held["liquid, planning"]["lb_per_cuft"][0]) == pytest.approx(0.031)
    assert piles.pile_ton(1, held["solid, planning"]["lb_per_cuft"][0]) == pytest.approx(0.0275)


def test_five_buckets_make_a_density():
    # LPELC, manure density: mean of at least five / 5 is lb/gal, mean x 1.5 is lb/ft3
    found = density.from_buckets([40, 41, 42, 43, 44])
    assert (found.lb_per_gal, found.lb_per_cuft) == (8.4, 63)
    # the printed 1.5 is the exact 7.48052 / 5 within 0.3 per cent
    assert found.lb_per_cuft == pytest.approx(found.lb_per_gal * GAL_PER_CUFT, rel=0.003)
    with pytest.raises(density.DensityError, match="at least 5"):
        density.from_buckets([40, 41, 42, 43])
    with pytest.raises(density.DensityError, match="weigh the bucket empty"):
        density.from_buckets([40, 41, 42, 43, 0])
    for kilograms, litres in ((0, 20), (19, 0), (math.nan, 20)):
        with pytest.raises(density.DensityError, match="above 0"):
            density.pail_kg_per_m3(kilograms, litres)


def test_first_year_nitrogen_of_a_published_example():
    # CV-2.3, Iowa State EPC, 2001: 231 lb N applied, 88 lb credited (38 %); tolerance 0.5
    put_on = applied(35_600_000, "lb", ManureContent("solid", 13.0, None, None, 6.0, 10.0))
    assert put_on.n_lb == pytest.approx(231, abs=0.5)
    assert credited.credited_lb(put_on.n_lb, 0.38) == pytest.approx(88, abs=0.5)


def test_acres_of_a_published_example():
    # CV-2.4, Missouri EQ392: 3,420 + 6,045 = 9,465 lb; need 165 lb/ac: 57 ac; tolerance 0.5
    need = crop_need.nitrogen_need(195, {"soybean": 30}).needed_lb_per_ac
    assert credited.acres_for(3420 + 6045, need) == pytest.approx(57.4, abs=0.05)
    assert credited.acres_for(9465, need) == pytest.approx(57, abs=0.5)
    # and 8,250 lb P2O5 x 0.95 = 7,838 lb (exact 7,837.5)
    found = credited.phosphate_and_potash("MO", 1, 8250, None)
    assert found.p2o5_lb == pytest.approx(7838, abs=0.5)
    assert found.evidence == "read"


def test_missouri_credits_95_per_cent_and_states_no_nitrogen():
    # Missouri EQ392 (read): P2O5 and K2O 95 %
    mo = system_named("MO")
    assert (available_share(mo, "p2o5"), available_share(mo, "k2o")) == (0.95, 0.95)
    with pytest.raises(AvailabilityError, match="holds no total table"):
        factor(mo, "total", "any")


@pytest.mark.parametrize(
    ("material", "share"), [("feedlot manure", 0.47), ("compost", 0.37), ("poultry litter", 0.52)]
)
def test_nebraska_over_three_years(material, share):
    # Nebraska extension, manure nitrogen use (read): older three-year shares of total N
    held = credited.three_year_shares()
    assert (held["rows"][material], held["evidence"]) == (share, "read")


def test_alberta_phosphorus_over_three_years():
    # Agdex 400/28-3 (read): 70, 20, 6 % of P in years 1 to 3, K 90 % in the first
    years = [credited.phosphate_and_potash("AB", year, 100, 100) for year in (1, 2, 3)]
    assert [one.p2o5_lb for one in years] == pytest.approx([70, 20, 6])
    assert [one.k2o_lb for one in years] == [90, None, None]


@pytest.mark.parametrize(
    "call",
    [
        lambda: credited.credited_lb(-1, 0.5),
        lambda: credited.credited_lb(1, 1.01),
        lambda: credited.credited_lb(1, -0.01),
        lambda: credited.acres_for(-1, 100),
        lambda: credited.acres_for(1, 0),
    ],
)
def test_impossible_credits_are_refused(call):
    with pytest.raises(credited.CreditError):
        call()


def test_a_share_of_nothing_and_of_all():
    assert credited.credited_lb(100, 0) == 0
    assert credited.credited_lb(100, 1) == 100
    assert credited.acres_for(0, 100) == 0


def test_barley_by_the_sets_own_product():
    # CV-3.4, Agdex 400/28-3 page 312: 70 bu; uptake 87.5 to 106.8, removal 61.3 to 74.4; tolerance
    # 0.06. The set's
    # product is the middle of the two ends
    taken_up = crop_need.removal("alberta", "barley, taken up", 70).n_lb_per_ac
    removed = crop_need.removal("alberta", "barley grain", 70).n_lb_per_ac
    assert taken_up == pytest.approx((87.5 + 106.8) / 2, abs=0.06)
    assert removed == pytest.approx((61.3 + 74.4) / 2, abs=0.06)


# Extension services (read): Iowa 0.9, 1.1 or 1.2 lb/bu; Nebraska 35 + 1.2 x expected yield
@pytest.mark.parametrize(
    ("rule", "pounds"),
    [("iowa-low", 180), ("iowa-middle", 220), ("iowa-high", 240), ("nebraska-simple", 275)],
)
def test_nitrogen_of_200_bushels(rule, pounds):
    assert recommendation.by_yield_goal_lb_per_ac(rule, 200) == pytest.approx(pounds)
    assert recommendation.rules("yield_goal")[rule]["evidence"] == "read"


def test_rotation_rates_and_legume_credits_as_read():
    # Iowa State: 124 and 181 lb at a price ratio of 0.10; North Platte NRD and Landwise step 3
    # credits
    rates = {name: one["n_lb_per_ac"] for name, one in recommendation.rules("rotation").items()}
    assert rates == {"iowa-corn-after-soybean": 124, "iowa-corn-after-corn": 181}
    credits = {
        name: one["credit_lb_per_ac"] for name, one in recommendation.rules("legume").items()
    }
    assert credits == {
        "nebraska-alfalfa-good": [80, 120],
        "nebraska-alfalfa-half": [40, 60],
        "nebraska-dry-bean": [40, 40],
        "ontario-alfalfa": [100, 100],
    }


def test_a_planned_yield_exactly_at_its_ceiling_is_within():
    # Iowa rule: best four of five, 195; Nebraska: mean + 5 %, 195.3
    nebraska = crop_need.realistic_yield(
        [180, 200, 150, 190, 210], "mean plus margin", margin_pct=5
    )
    assert recommendation.against_ceiling(195.3, nebraska).is_within
    over = recommendation.against_ceiling(195.4, nebraska)
    assert not over.is_within
    assert over.above_per_ac == pytest.approx(0.1)
    assert recommendation.against_ceiling(0, 0).is_within
    for planned, ceiling in ((-1, 10), (10, math.nan)):
        with pytest.raises(crop_need.CropError, match="0 or more"):
            recommendation.against_ceiling(planned, ceiling)


@pytest.mark.parametrize(("rule", "goal"), [("ohio", 200), ("iowa-low", -1)])
def test_an_unknown_rule_or_goal_is_refused(rule, goal):
    with pytest.raises(crop_need.CropError):
        recommendation.by_yield_goal_lb_per_ac(rule, goal)


def test_trap_the_short_cut_for_round_tanks_is_2_1_per_cent_high():
    # Utah State, CNMP step 7.1: L x D x D x 0.8 x 7.5 against pi / 4 and 7.48052
    tank = storage.HorizontalCylinder(6, 20)
    assert 20 * 6 * 6 * 0.8 * 7.5 / storage.volume_gal(tank, 6) == pytest.approx(1.021, abs=5e-4)


def test_box_tank_of_utah():
    # Utah State, CNMP step 7.1: L x W x H x 7.5 for a rectangular tank; 7.48052 is exact
    assert storage.volume_gal(storage.Rectangular(10, 6, 4), 4) == pytest.approx(1800, rel=0.003)


def test_weight_of_a_load_needs_a_density_for_gallons():
    assert road_load.load_weight_lb(1_000_000, "gal", 8.4) == 8400
    assert road_load.load_weight_lb(1_000_000, "lb") == 1000
    for amount, density_lb in ((1000, None), (1000, 0.0), (-1, 8.4)):
        with pytest.raises(capacity.CapacityError):
            road_load.load_weight_lb(amount, "gal", density_lb)


def test_wheels_and_hitch_together_are_everything():
    axles = capacity.axle_loads([2000, 5000, 5000], 50_000, [0.1, 0.45, 0.45])
    assert road_load.road_load_lb(axles, [True, False, False]) == (55_000, 7000)
    assert road_load.road_load_lb(axles, [False] * 3) == (62_000, 0)
    with pytest.raises(capacity.CapacityError, match="each axle"):
        road_load.road_load_lb(axles, [True])
    with pytest.raises(capacity.CapacityError, match="each axle"):
        road_load.road_load_lb([], [])
    with pytest.raises(capacity.CapacityError, match="not a number"):
        road_load.road_load_lb([capacity.Axle(math.nan, None, None)], [False])
