"""Ends of ranges belong to them: the smallest and largest figures, and what lies outside."""

import math

import pytest

from farmrecords.calculations import (
    animal_tables,
    biosolids,
    capacity,
    credited,
    density,
    irrigation,
    passes,
    piles,
    recommendation,
    road_load,
    runoff_water,
    soil_test,
    soil_water,
    storage_budget,
    water_extractable,
)
from farmrecords.calculations.calibration import CalibrationError
from farmrecords.calculations.hydraulic import HydraulicError
from farmrecords.calculations.p_loss import PLossError


@pytest.mark.parametrize(
    ("found", "wanted"),
    [
        (lambda: credited.credited_lb(0, 0.5), 0),
        (lambda: credited.credited_lb(0.5, 1), 0.5),
        (lambda: credited.acres_for(1, 0.5), 2),
        (lambda: credited.acres_for(0.5, 1), 0.5),
        (lambda: soil_test.converted(0, "tri-state-2019"), 0),
        (lambda: soil_test.converted(0.5, "ppm-lb-per-ac"), 1),
        (lambda: soil_test.mean_above([0, 0.5, 200], 150), 200),
        (lambda: recommendation.by_yield_goal_lb_per_ac("nebraska-simple", 0), 35),
        (lambda: recommendation.by_yield_goal_lb_per_ac("iowa-low", 0.5), 0.45),
        (lambda: biosolids.liquid_p2o5_lb_per_kgal(0, 1000), 0),
        (lambda: biosolids.liquid_p2o5_lb_per_kgal(0.5, 1000), 8.34 * 0.005 * 2.27),
        (lambda: water_extractable.extractable_pct(0, 0.5), 0),
        (lambda: water_extractable.extractable_pct(0.5, 0.5), 100),
        (lambda: water_extractable.p_kg_per_ha(0.5), 0.5 * 61.947524 / 141.944524 * 1.1208512),
        (lambda: irrigation.amount_gal(0, 0.5), 0),
        (lambda: irrigation.amount_gal(0.5, 0.5), 15),
        (lambda: irrigation.depth_in(0, 0.5), 0),
        (lambda: irrigation.depth_in(0.5, 0.5), 1 / 27_154.285714),
        (lambda: runoff_water.snow_gal(1, 1, 1), 27_154.285714),
        (lambda: runoff_water.snow_gal(1, 1, 1.5), 27_154.285714 / 1.5),
        (lambda: runoff_water.snow_gal(1, 1, 50), 27_154.285714 / 50),
        (lambda: road_load.load_weight_lb(0, "lb"), 0),
        (lambda: road_load.load_weight_lb(1000, "gal", 0.5), 0.5),
        (lambda: soil_water.held_in(0.1, 0.5), 0.05),
        (lambda: soil_water.held_in(0.35, 1), 0.35),
        (lambda: piles.diameter_of_windrow(10, 10, 4), 2),
        (lambda: piles.diameter_of_windrow(10, 0, 4), 7),
        (lambda: piles.open_sided_stack(1000, 40, 7, 0, 0).section_sqft, 206.5),
        (lambda: density.pail_kg_per_m3(0.5, 0.5), 1000),
        (lambda: passes.width_from_throw_ft(0.5, 0), 0.5),
        (lambda: passes.width_from_throw_ft(100, 0.99), 1),
        (lambda: passes.flow_rate_ton_per_ac(0.5, 1, 1), 0.12375),
        (lambda: density.from_buckets([0.5] * 5).mean_net_lb, 0.5),
    ],
)
def test_an_end_of_the_range_is_inside(found, wanted):
    assert found() == pytest.approx(wanted)


def test_no_time_inside_is_no_manure():
    found = animal_tables.excreted_in_period("wisconsin-a3601", "dairy, 1,400 lb", 50, 365, 0)
    assert (found.animal_days, found.ton) == (0, 0)


@pytest.mark.parametrize(
    ("call", "error"),
    [
        (lambda: credited.credited_lb(math.inf, 0.5), credited.CreditError),
        (lambda: credited.acres_for(math.inf, 100), credited.CreditError),
        (lambda: soil_test.converted(math.inf, "ohio-older"), soil_test.SoilTestError),
        (lambda: water_extractable.extractable_pct(1, math.inf), PLossError),
        (lambda: irrigation.depth_in(math.inf, 1), HydraulicError),
        (lambda: irrigation.depth_in(1, math.inf), HydraulicError),
        (lambda: runoff_water.snow_gal(-1, 1), storage_budget.BudgetError),
        (lambda: road_load.load_weight_lb(1, "gal", -1), capacity.CapacityError),
        (lambda: passes.width_from_throw_ft(0, 0.1), CalibrationError),
        (lambda: passes.width_from_throw_ft(math.inf, 0.1), CalibrationError),
        (lambda: passes.width_from_throw_ft(40, 1), CalibrationError),
        (lambda: passes.width_from_throw_ft(40, -0.01), CalibrationError),
        (lambda: passes.flow_rate_ton_per_ac(0, 20, 4), CalibrationError),
        (lambda: passes.flow_rate_ton_per_ac(math.inf, 20, 4), CalibrationError),
        (lambda: density.planning_lb_per_cuft("liquid, usual"), density.DensityError),
        (lambda: density.planning_lb_per_cuft("horse manure"), density.DensityError),
    ],
)
def test_what_is_endless_or_outside_is_refused(call, error):
    with pytest.raises(error):
        call()


def test_an_equation_solved_backwards_gives_its_start_again():
    # CONV-1 turned round: (10.224 + 8.08) / 0.832 = 22
    assert soil_test.converted(10.224, "ohio-older", backwards=True) == pytest.approx(22)
    assert soil_test.converted(0, "ohio-older", backwards=True) == pytest.approx(8.08 / 0.832)


def test_a_stack_exactly_as_wide_as_its_slopes_has_no_section():
    # height x width - 1.5 height^2 is 0 at 7.5 ft of width and 5 ft of height
    with pytest.raises(piles.PileError, match="wider building"):
        piles.open_sided_stack(1000, 7.5, 5, 0, 0)
    assert piles.open_sided_stack(1000, 7.6, 5, 0, 0).section_sqft == pytest.approx(0.5)
