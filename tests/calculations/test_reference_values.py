"""Check values and table rows of the sources that no other test holds, and their printed errors."""

from decimal import Decimal

import pytest

from farmrecords.calculations import animals, calibration, capacity, crop_need, hydraulic, rate
from farmrecords.calculations import storage_budget as budget
from farmrecords.calculations.manure_test import ManureContent
from farmrecords.calculations.maximum import maximum_per_ac
from farmrecords.calculations.nutrients import applied
from farmrecords.calculations.units import (
    GAL_PER_AC_IN,
    P2O5_PER_P,
    SQFT_PER_AC,
    convert,
)


def test_nitrogen_of_a_lagoons_sludge():
    # CV-2.5, North Carolina record 54-0062: 557,065 gal at 5.30 lb available N per 1,000 gal: 2,952
    # lb, tolerance 1
    sludge = ManureContent("liquid", 5.30, None, None, None, None)
    assert applied(557_065_000, "gal", sludge).n_lb == pytest.approx(2952, abs=1)


@pytest.mark.parametrize(
    ("crop", "ends"), [("barley, taken up", (87.5, 106.8)), ("barley grain", (61.3, 74.4))]
)
def test_barley_of_alberta(crop, ends):
    # CV-3.4, Agdex 400/28-3 page 312: 70 bu barley, uptake 87.5-106.8, removal 61.3-74.4 lb N/ac,
    # tolerance 0.06
    found = crop_need.coefficient_range("alberta", crop, "n")
    assert [70 * end for end in found] == pytest.approx(ends, abs=0.06)


# Tables of crop removal, rows marked [read]: N, P2O5, K2O per unit of yield
@pytest.mark.parametrize(
    ("set_id", "crop", "n", "p2o5", "k2o"),
    [
        ("midwest-older", "corn grain", 0.90, 0.37, 0.27),
        ("midwest-older", "corn stover, all recovered", None, None, 1.1),
        ("midwest-older", "corn silage, 35 % dry matter", None, 4.35, None),
        ("midwest-older", "soybean", 3.8, 0.80, 1.40),
        ("midwest-older", "alfalfa hay", 50, 14, 55),
        ("ontario", "corn grain", (0.65, 1.0), (0.37, 0.44), (0.26, 0.30)),
        ("ontario", "soybean", (3.7, 4.0), (0.80, 0.88), (1.38, 1.40)),
        ("ontario", "winter wheat grain", (1.15, 1.25), (0.55, 0.63), (0.35, 0.37)),
        ("ontario", "barley grain", (0.83, 1.11), (0.25, 0.40), (0.23, 0.35)),
        ("ontario", "oat grain", (0.63, 0.80), 0.25, (0.19, 0.20)),
        ("ontario", "cereal rye grain", (1.08, 1.22), (0.34, 0.50), (0.34, 0.40)),
        ("ontario", "dry bean", 2.50, 0.83, 0.83),
        ("ontario", "canola", (2.0, 2.2), (1.11, 1.33), (0.56, 0.67)),
        ("montana", "barley grain", 0.87, 0.36, 0.25),
        ("montana", "barley straw", 14, 4.1, 30),
    ],
)
def test_removal_rows(set_id, crop, n, p2o5, k2o):
    for name, figure in (("n", n), ("p2o5", p2o5), ("k2o", k2o)):
        ends = (figure, figure) if isinstance(figure, (int, float)) else figure
        assert crop_need.coefficient_range(set_id, crop, name) == ends


# Iowa State EPC, spring 1999 (read): bushel rating, mean tons per load of more than 100 weighed
# loads
@pytest.mark.parametrize(
    ("bushels", "tons"),
    [(90, 1.45), (110, 1.75), (150, 2.15), (180, 2.50), (220, 3.0), (260, 3.50), (290, 4.0),
     (320, 4.30), (390, 5.40)],
)  # fmt: skip
def test_weighed_loads_by_rating(bushels, tons):
    assert capacity.BUSHEL_LOADS_TON[bushels] == tons


# By hand: tons per acre of net pounds on sheets of 6x6, 8x8, 10x10 ft
@pytest.mark.parametrize(
    ("pounds", "six", "eight", "ten"),
    [(5, 3.0, 1.7, 1.1), (10, 6.1, 3.4, 2.2), (20, 12.1, 6.8, 4.4), (30, 18.2, 10.2, 6.5),
     (50, 30.3, 17.0, 10.9), (75, 45.4, 25.5, 16.3), (100, 60.5, 34.0, 21.8)],
)  # fmt: skip
def test_sheet_table(pounds, six, eight, ten):
    found = [calibration.sheet_rate_ton_per_ac(pounds, side * side) for side in (6, 8, 10)]
    assert found == pytest.approx([six, eight, ten], abs=0.051)


# By hand: tons per acre of one pound by square feet of the sheet
@pytest.mark.parametrize(
    ("sqft", "tons"),
    [(16, 1.361), (22, 0.990), (25, 0.871), (36, 0.605), (64, 0.340), (100, 0.218), (144, 0.151)],
)
def test_sheet_factors(sqft, tons):
    assert calibration.sheet_rate_ton_per_ac(1, sqft) == pytest.approx(tons, abs=6e-4)


# NRCS national table of manure nutrients (read)
@pytest.mark.parametrize(
    ("animal", "row"),
    [
        ("beef cows", (1.00, 11.50, 10.95, 3.30, 3.79, 3.23, 8.25, 7.44, 1)),
        ("dairy cows", (0.74, 15.24, 10.69, 4.30, 1.92, 1.65, 6.70, 6.04, 1)),
        ("heifers and dairy calves", (1.82, 12.05, 6.06, 1.82, 1.30, 1.10, 5.03, 4.53, 1)),
        ("steers, calves, bulls", (1.64, 10.59, 10.98, 3.30, 3.37, 2.86, 7.87, 7.08, 1)),
        ("swine breeders", (2.67, 6.11, 13.26, 3.32, 4.28, 3.62, 7.85, 7.16, 2)),
        ("swine slaughter", (9.09, 14.69, 11.30, 2.82, 3.29, 2.80, 7.95, 7.16, 2)),
        ("hens and pullets", (250, 11.45, 26.93, 18.46, 9.98, 8.50, 10.44, 9.40, 1)),
        ("broilers", (455, 14.97, 26.83, 16.10, 7.80, 6.61, 10.49, 9.48, 6)),
        ("turkeys, slaughter", (67, 8.18, 30.36, 16.18, 11.83, 10.06, 11.61, 10.44, 2)),
        ("turkey breeders", (50, 9.12, 22.41, 11.20, 13.23, 11.23, 7.60, 6.84, 1)),
    ],
)
def test_national_manure_table(animal, row):
    found = animals.national(animal)
    assert found == animals.UnitManure(*row)
    assert found.n_left < found.n
    assert animals.national_ton_per_year(animal, row[0]) == pytest.approx(row[1])
    with pytest.raises(animals.AnimalError, match="no 'llama'"):
        animals.national("llama")


# Animal units of the law (read): factors of Minnesota and of Iowa 1997
@pytest.mark.parametrize(
    ("law", "animal", "factor"),
    [
        ("minnesota", "mature dairy cow, above 1,000 lb", 1.4),
        ("minnesota", "mature dairy cow, below 1,000 lb", 1.0),
        ("minnesota", "cow-calf pair", 1.2),
        ("minnesota", "calf", 0.2),
        ("minnesota", "slaughter steer or heifer", 1.0),
        ("minnesota", "feeder cattle or heifer", 0.7),
        ("minnesota", "swine, above 300 lb", 0.4),
        ("minnesota", "swine, 55-300 lb", 0.3),
        ("minnesota", "swine, below 55 lb", 0.05),
        ("minnesota", "horse", 1.0),
        ("minnesota", "sheep", 0.1),
        ("minnesota", "layer or broiler, liquid system", 0.033),
        ("minnesota", "layer or broiler, dry, above 5 lb", 0.005),
        ("minnesota", "layer or broiler, dry, below 5 lb", 0.003),
        ("minnesota", "turkey, above 5 lb", 0.018),
        ("minnesota", "turkey, below 5 lb", 0.005),
        ("minnesota", "duck", 0.01),
        ("iowa-1997", "mature dairy cow", 1.4),
        ("iowa-1997", "slaughter or feeder cattle", 1.0),
        ("iowa-1997", "swine, above 55 lb", 0.4),
        ("iowa-1997", "horse", 2.0),
        ("iowa-1997", "sheep", 0.1),
        ("iowa-1997", "layer or broiler", 0.01),
        ("iowa-1997", "turkey", 0.018),
    ],
)
def test_legal_animal_units(law, animal, factor):
    assert animals.legal_units(law, {animal: 1000}) == pytest.approx(1000 * factor)


def test_pile_by_leaning_board():
    # CV-6.6, Agdex 400/28-3 page 130: 4.9 m board, mark 0.9 m up and 2.0 m along: 2.2 m
    assert budget.leaning_board_height(4.9, 0.9, 2.0) == pytest.approx(2.2, abs=0.006)


# Clemson lagoon tables: lb PAN per 1,000 gal, lb N/ac, inches (tolerance 0.01); tons (0.05)
@pytest.mark.parametrize(
    ("pan", "n", "inches"), [(1, 50, 1.84), (4, 150, 1.38), (6, 125, 0.77), (12, 75, 0.23)]
)
def test_clemson_depths(pan, n, inches):
    assert hydraulic.inches_for_nitrogen(n, pan) == pytest.approx(inches, abs=0.01)


@pytest.mark.parametrize(
    ("pan", "n", "tons"), [(15, 150, 10), (35, 175, 5.0), (45, 75, 1.7), (10, 75, 7.5),
                           (25, 150, 6.0), (40, 125, 3.1), (50, 200, 4.0)]
)  # fmt: skip
def test_clemson_tons(pan, n, tons):
    # CV-2.6 and Clemson lagoon tables, solid manure: tons = N / PAN per ton
    manure = ManureContent("solid", pan, None, None, None, None)
    assert maximum_per_ac(manure, n, None, False).units_per_ac == pytest.approx(tons, abs=0.05)


# --- printed errors of sources: the app must not follow them --------------------------------


def test_trap_an_acre_is_not_43_500_square_feet():
    # NOFA soil handbook appendix A prints 43,500
    assert SQFT_PER_AC == 43_560
    assert rate.swath_ac(1, 43_500) < 1


def test_trap_p_is_not_turned_into_p2o5_by_2_23():
    # NOFA soil handbook prints x 2.23; the molar ratio is 2.2914 (NCDA rounds it to 2.29)
    assert float(P2O5_PER_P) == pytest.approx(2.2914, abs=5e-5)


def test_trap_an_acre_foot_is_not_350_850_gallons():
    # Montana State, liquid production prints 350,850; 12 acre-inches are 325,851 (NC certification
    # manual: 27,154 gal per acre-inch)
    assert pytest.approx(325_851, abs=1) == 12 * GAL_PER_AC_IN
    assert float(convert(Decimal(1), "ac_ft", "gal")) == pytest.approx(325_851, abs=1)
    # its sound step: (2.2 - 0.5) / 12 x 4.36 ac = 0.6177 ac-ft, which is 201,267 gal
    runoff = budget.lot_runoff_ac_ft(2.2, 4.36)
    assert runoff == pytest.approx(0.6177, abs=5e-5)
    assert runoff * 12 * GAL_PER_AC_IN == pytest.approx(201_267, abs=5)


def test_trap_volume_is_not_multiplied_by_moisture():
    # Montana State, liquid production: 5.3 gal x 88.4 % printed as 39.78 gal; as-excreted volume
    # needs no moisture at all
    assert animals.manure_cuft(1, 5.3, 1) == 5.3  # neither 4.69 nor the printed 39.78
    assert animals.manure_cuft(1, 5.3, 30) == pytest.approx(159.0)


def test_trap_wisconsins_note_adds_up_to_900():
    # NR 243.05 note as retrieved adds 400 + 300 + 200 and says 1000
    combined = {"cows": 400, "heifers": 300, "calves": 200}
    assert animals.deciding_units(combined, {"cows": 850}) == 900
    assert animals.deciding_units(combined, {"cows": 901}) == 901
    with pytest.raises(animals.AnimalError, match="both tables"):
        animals.deciding_units(combined, {})
