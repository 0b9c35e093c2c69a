"""What animals bring beside their daily manure, against the printed tables."""

import math
from decimal import Decimal

import pytest

from farmrecords.calculations import (
    animal_tables,
    animals,
)
from farmrecords.calculations import storage_volume as storage
from farmrecords.calculations.units import GAL_PER_CUFT, convert


def test_layers_of_a_published_example():
    # CV-5.2, Purdue ID-206: 30,000 layers, 40 ton a month, "nearly 500" ton a year (480); tolerance
    # 5 %
    lb_per_day = 40 * 2000 / 30_000 / (365 / 12)
    year = animals.manure_ton(30_000, lb_per_day, 365)
    assert year == pytest.approx(480)
    assert year == pytest.approx(500, rel=0.05)
    assert animals.manure_ton(30_000, lb_per_day, 365 / 12) == pytest.approx(40)


def test_horse_manure_on_a_pad():
    # CV-5.3, Rutgers, storing manure: 25 yd3 = 675 ft3 on 12 x 12 ft are 4.7 ft deep (printed 3 to
    # 5)
    cuft = float(convert(Decimal(25), "yd3", "ft3"))
    assert cuft == 675
    pad = storage.Rectangular(12, 12, 8)
    assert storage.depth_ft(pad, cuft * GAL_PER_CUFT) == pytest.approx(4.7, abs=0.05)
    # and 50 lb a day are 9 ton a year
    assert animals.manure_ton(1, 50, 365) == pytest.approx(9, abs=0.15)


# Wisconsin A3601 (read): tons, first-year available N, P2O5, K2O, S of one animal
@pytest.mark.parametrize(
    ("animal", "row"),
    [
        ("dairy, 500 lb", (7.8, 25, 25, 60, 5)),
        ("dairy, 1,400 lb", (21.9, 65, 65, 175, 20)),
        ("beef, 750 lb", (8.2, 35, 40, 65, 5)),
        ("beef, 1,250 lb", (13.7, 55, 70, 110, 10)),
        ("finishing pig, 150 lb", (1.8, 5, 5, 15, 5)),
        ("finishing pig, 200 lb", (2.4, 10, 10, 15, 5)),
        ("sow and litter, 375 lb", (4.1, 15, 10, 30, 5)),
        ("layer, 4 lb", (0.038, 0.50, 0.50, 0.35, 0.05)),
        ("broiler, 2 lb", (0.026, 0.35, 0.35, 0.25, 0.05)),
    ],
)
def test_a_years_nutrients_of_the_wisconsin_table(animal, row):
    assert animal_tables.yearly_nutrients(animal, 1) == animal_tables.YearOfNutrients(*row)
    ten = animal_tables.yearly_nutrients(animal, 10)
    assert ten.ton == pytest.approx(10 * row[0])
    assert ten.k2o_lb == pytest.approx(10 * row[3])


# Wisconsin A3601 (read): pounds a day as printed
@pytest.mark.parametrize(
    ("animal", "lb"),
    [("dairy, 500 lb", 43), ("dairy, 1,400 lb", 120), ("beef, 750 lb", 45), ("beef, 1,250 lb", 75),
     ("finishing pig, 150 lb", 9.8), ("finishing pig, 200 lb", 13.1),
     ("sow and litter, 375 lb", 22.5), ("layer, 4 lb", 0.21), ("broiler, 2 lb", 0.14)],
)  # fmt: skip
def test_pounds_a_day_of_the_wisconsin_table(animal, lb):
    assert animals.excreted("wisconsin-a3601", animal).lb_per_day == lb


def test_volume_by_weight_and_wash_water_of_the_handbook():
    # AWMFH of 1992 (read): 1.30 ft3/day for 1,000 lb; derived from it: 0.60 ft3 of wash water
    per_day = animal_tables.manure_cuft_per_day("dairy: lactating, dry, heifers")
    assert per_day == 1.30
    assert animals.manure_cuft(animals.mass_units(100, 1400), per_day, 90) == pytest.approx(16_380)
    assert animal_tables.tables()["wash_water"]["rows"]["milking centre"] == 0.60
    assert animal_tables.wash_water_cuft(140, 90, 0.60) == pytest.approx(7560)


# Densities of bedding (memory); sawdust 12 reproduces CV-6.1
@pytest.mark.parametrize(
    ("material", "lb"),
    [("straw, loose", 2.5), ("straw, chopped", 7), ("hay, loose", 4), ("hay, chopped", 6),
     ("shavings", 9), ("sawdust", 12), ("soil", 75), ("sand", 105), ("limestone", 95)],
)  # fmt: skip
def test_weights_of_bedding(material, lb):
    assert animal_tables.bedding_lb_per_cuft(material) == lb
    assert animal_tables.tables()["bedding"]["evidence"] == "memory"


# Planning figures of extension services (read)
@pytest.mark.parametrize(
    ("name", "value", "unit"),
    [
        ("finishing pig, bowl drinkers or wet/dry feeders", 1.0, "gal/day"),
        ("finishing pig, water drunk, bowl or wet/dry feeders", 0.24, "gal/lb of feed"),
        ("finishing pig, water drunk, nipple drinkers", 0.33, "gal/lb of feed"),
        ("horse, 1,000 lb, with bedding", 2.4, "cu ft/day"),
        ("horse, manure of a year", 11, "cu yd"),
    ],
)
def test_planning_figures_of_animals(name, value, unit):
    row = animal_tables.planning_figures()[name]
    assert (row["value"], row["unit"], row["evidence"]) == (value, unit, "read")


def test_unlisted_animals_count_by_their_weight_in_minnesota_alone():
    # Minn. Stat. 116.06 subd. 4a (read): average pounds / 1,000
    assert animal_tables.unlisted_units("minnesota", 40, 250) == 10
    assert animal_tables.unlisted_units("minnesota", 0, 250) == 0
    with pytest.raises(animals.AnimalError, match="says nothing"):
        animal_tables.unlisted_units("iowa-1997", 40, 250)
    with pytest.raises(animals.AnimalError, match="0 or more"):
        animal_tables.unlisted_units("minnesota", -1, 250)
    with pytest.raises(animals.AnimalError, match="average weight"):
        animal_tables.unlisted_units("minnesota", 1, math.nan)


def test_animals_excreted_while_confined():
    # 150 lb, 2.4 ft3, 0.99 lb N a day (memory): 10 cows, 100 days, half of the time inside
    found = animal_tables.excreted_in_period("asabe-d384.2", "lactating dairy cow", 10, 100, 0.5)
    assert (found.animal_days, found.ton, found.cuft) == (500, 37.5, pytest.approx(1200))
    assert (found.n_lb, found.row.evidence) == (pytest.approx(495), "memory")
    read = animal_tables.excreted_in_period("wisconsin-a3601", "dairy, 1,400 lb", 50, 365)
    assert (read.ton, read.cuft, read.n_lb) == (1095, None, None)  # CV-5.1; no volume stated


@pytest.mark.parametrize(
    "call",
    [
        lambda: animal_tables.yearly_nutrients("llama", 1),
        lambda: animal_tables.yearly_nutrients("layer, 4 lb", -1),
        lambda: animal_tables.bedding_lb_per_cuft("mud"),
        lambda: animal_tables.wash_water_cuft(1, -1, 0.6),
        lambda: animal_tables.places_gal(1, math.inf, 1),
        lambda: animal_tables.excreted_in_period("wisconsin-a3601", "layer, 4 lb", -1, 1),
        lambda: animal_tables.excreted_in_period("wisconsin-a3601", "layer, 4 lb", 1, -1),
        lambda: animal_tables.excreted_in_period("wisconsin-a3601", "layer, 4 lb", 1, 1, 1.01),
    ],
)
def test_animals_that_cannot_be_are_refused(call):
    with pytest.raises(animals.AnimalError):
        call()
