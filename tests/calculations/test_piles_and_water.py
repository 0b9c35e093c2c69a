"""Ponds, piles, snow, storm water and soil water against the printed figures."""

import math

import pytest

from farmrecords.calculations import (
    hydraulic,
    piles,
    runoff_water,
    soil_water,
)
from farmrecords.calculations import storage_budget as budget
from farmrecords.calculations import storage_volume as storage
from farmrecords.calculations.units import GAL_PER_CUFT


def test_pond_from_its_top_dimensions():
    # Alberta dugout volumes: bottom (L - 2 z_e d)(W - 2 z_s d), middle (L - z_e d)(W - z_s d)
    length, width, d, end, side = 258.8, 173.8, 9.8, 3.0, 2.0
    pond = storage.Pond.from_top(length, width, d, (end, end), (side, side))
    bottom = (length - 2 * end * d) * (width - 2 * side * d)
    middle = (length - end * d) * (width - side * d)
    assert storage.surface_sqft(pond, 0) == pytest.approx(bottom)
    assert storage.surface_sqft(pond, d / 2) == pytest.approx(middle)
    wanted = d / 6 * (length * width + bottom + 4 * middle)
    assert storage.volume_gal(pond, d) / GAL_PER_CUFT == pytest.approx(wanted)


def test_the_prismoid_of_the_published_lagoon_by_its_three_areas():
    # CV-6.2, North Carolina record 55-0007: 23,000, 33,125.36 and 44,979.44 sq ft over 9.8 ft
    assert storage.prismoid_cuft(9.8, 23_000, 33_125.36, 44_979.44) == pytest.approx(327_452, abs=1)
    pond = storage.Pond.from_bottom(200, 115, 9.8, 3.0)
    areas = [storage.surface_sqft(pond, depth) for depth in (0, 4.9, 9.8)]
    assert areas == pytest.approx([23_000, 33_125.36, 44_979.44])


def test_stack_with_three_open_sides():
    # Alabama AL-ENG-25G: Ax = Hm (Wb - 2 FBs) - 1.5 Hm2; Lm = V / Ax + 0.75 Hm; L = Lm + FBe
    found = piles.open_sided_stack(5000, 40, 7)
    section = 7 * (40 - 2 * 6) - 1.5 * 49
    assert found.section_sqft == pytest.approx(section)
    assert found.stack_length_ft == pytest.approx(5000 / section + 0.75 * 7)
    assert found.building_length_ft == pytest.approx(found.stack_length_ft + 12)
    # with siding no side freeboard is needed: 7 x 40 - 73.5
    assert piles.open_sided_stack(5000, 40, 7, side_freeboard_ft=0).section_sqft == 206.5


def test_pile_sizes_with_a_tape():
    # Agdex 400/28-3 page 129 and page 130: circumference / pi; (bottom - top + width) / 2
    assert piles.diameter_of_round(math.pi * 20) == pytest.approx(20)
    assert piles.diameter_of_windrow(100, 88, 16) == 14
    assert piles.mean_length_ft(100, 88) == 94
    # half of a circle of 14 ft, as standard geometry has it
    assert piles.windrow_cuft(14, 7, 100) == pytest.approx(math.pi * 49 / 2 * 100)
    assert piles.pile_ton(2000, 55) == 55


@pytest.mark.parametrize(
    "call",
    [
        lambda: piles.open_sided_stack(5000, 40, 7.01),
        lambda: piles.open_sided_stack(5000, 12, 5),
        lambda: piles.open_sided_stack(0, 40, 5),
        lambda: piles.open_sided_stack(5000, 40, 5, side_freeboard_ft=-1),
        lambda: piles.open_sided_stack(5000, 40, 5, end_freeboard_ft=-1),
        lambda: piles.diameter_of_round(0),
        lambda: piles.diameter_of_windrow(100, 101, 16),
        lambda: piles.diameter_of_windrow(100, -1, 16),
        lambda: piles.mean_length_ft(90, 100),
        lambda: piles.windrow_cuft(14, 0, 100),
        lambda: piles.pile_ton(1000, math.nan),
    ],
)
def test_piles_that_cannot_be_are_refused(call):
    with pytest.raises(piles.PileError):
        call()


def test_depth_along_a_sloped_wall():
    # Agdex 400/28-3 page 140: cos(90 - slope angle) x (wall length - freeboard along the wall)
    assert budget.depth_from_wall_ft(24 - 4, 30) == pytest.approx(math.cos(math.radians(60)) * 20)


def test_snow_on_an_acre():
    # Vermont (read): 2,715 gal per inch of snow and acre
    assert runoff_water.snow_gal(1, 1) == pytest.approx(2715, abs=0.5)
    assert runoff_water.snow_gal(37, 2, snow_per_water=5) == pytest.approx(budget.rain_gal(14.8, 1))
    for ratio in (0.99, 50.01, math.nan):
        with pytest.raises(budget.BudgetError, match="1 to 50"):
            runoff_water.snow_gal(1, 1, ratio)


def test_storm_water_in_gallons():
    # Montana State, liquid production, sound step: 0.6177 ac-ft, 201,267 gal; not the 217,527 it
    # prints
    assert runoff_water.tight_lot_gal(2.2, 4.36) == pytest.approx(201_267, abs=1)
    # NEH-4 (memory): CN 90 makes S 1.1111; 4 in of rain, worked by hand 3.7778^2 / 4.8889
    inches = (4 - 0.2 / 0.9) ** 2 / (4 + 0.8 / 0.9)
    assert budget.curve_number_runoff_in(4, 90) == pytest.approx(inches)
    assert runoff_water.curve_number_gal(4, 90, 2) == pytest.approx(inches * 2 * 27_154.2857)


# NRCS, feel and appearance (read): low end, inches a foot; None where the copy is empty
@pytest.mark.parametrize(
    ("available", "row"),
    [
        ("0-25", (0.5, 1.0, 1.1, 1.2)),
        ("25-50", (0.3, 0.7, 0.8, 0.8)),
        ("50-75", (0.2, None, 0.4, 0.4)),
        ("75-100", (None, None, 0.0, 0.0)),
        ("100", (0, 0, 0, 0)),
    ],
)
def test_feel_and_appearance_cell_by_cell(available, row):
    for texture, inches in zip(hydraulic.LACKING_IN_PER_FT, row, strict=True):
        if inches is None:
            with pytest.raises(hydraulic.HydraulicError, match="No figure"):
                hydraulic.lacking_in(texture, available)
        else:
            assert hydraulic.lacking_in(texture, available, 12) == pytest.approx(inches)


def test_feel_and_appearance_knows_four_groups_of_soil():
    assert list(hydraulic.LACKING_IN_PER_FT) == [
        "fine sand, loamy fine sand",
        "sandy loam",
        "loam, silt loam, sandy clay loam",
        "clay, clay loam, silty clay loam",
    ]


# Missouri guide (read): available water capacity, in/in
@pytest.mark.parametrize(
    ("texture", "ends"),
    [("fine sandy loam", (0.13, 0.15)), ("sandy loam", (0.09, 0.11)), ("loamy sand", (0.06, 0.08)),
     ("sand", (0.05, 0.08))],
)  # fmt: skip
def test_available_water_capacity(texture, ends):
    assert soil_water.capacity_range(texture) == ends


# Missouri guide (read): salt takes 10 % at 4 mmhos, 20 at 8, 30 at 12, 60 at 20
@pytest.mark.parametrize(
    ("mmhos", "lost"), [(0, 0), (4, 0.10), (8, 0.20), (12, 0.30), (20, 0.60), (16, 0.45)]
)
def test_salt_takes_water(mmhos, lost):
    assert soil_water.share_lost_to_salt(mmhos) == pytest.approx(lost)
    assert soil_water.held_in(0.1, 10, mmhos=mmhos) == pytest.approx(1 - lost)


def test_rock_takes_water_in_proportion_to_its_volume():
    assert soil_water.held_in(0.2, 10, rock_pct=25) == pytest.approx(1.5)
    assert soil_water.held_in(0.2, 10, rock_pct=100) == 0
    assert soil_water.lacking_in(2, 100) == 0
    assert soil_water.lacking_in(2, 0) == 2


@pytest.mark.parametrize(
    "call",
    [
        lambda: soil_water.capacity_range("clay"),  # scrambled in the copy
        lambda: soil_water.share_lost_to_salt(20.1),
        lambda: soil_water.share_lost_to_salt(-0.1),
        lambda: soil_water.held_in(0, 10),
        lambda: soil_water.held_in(0.351, 10),
        lambda: soil_water.held_in(0.2, 0),
        lambda: soil_water.held_in(0.2, 10, rock_pct=101),
        lambda: soil_water.lacking_in(2, 100.1),
        lambda: soil_water.lacking_in(2, -0.1),
    ],
)
def test_soils_that_cannot_be_are_refused(call):
    with pytest.raises(soil_water.SoilWaterError):
        call()
