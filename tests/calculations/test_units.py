"""Units against published factors and against pint."""

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.calculations import units
from farmrecords.calculations.units import (
    AmountError,
    UnitError,
    convert,
    parse_amount,
    read_number,
)

PINT = pint.UnitRegistry()
PINT_NAMES = {
    "gal": "gallon", "kgal": "1000 gallon", "ac_in": "international_acre * inch",
    "ac_ft": "international_acre * foot", "ft3": "foot**3", "yd3": "yard**3", "bu": "bushel",
    "L": "liter", "m3": "meter**3", "imp_gal": "imperial_gallon", "lb": "pound",
    "ton": "2000 pound",
    "kg": "kilogram", "tonne": "1000 kilogram", "ft": "foot", "in": "inch", "yd": "yard",
    "mile": "5280 foot", "m": "meter", "km": "kilometer", "ac": "international_acre",
    "ft2": "foot**2", "ha": "hectare", "m2": "meter**2",
    "lb_per_gal": "pound/gallon", "lb_per_kgal": "pound/(1000 gallon)",
    "lb_per_100gal": "pound/(100 gallon)", "lb_per_ac_in": "pound/(international_acre*inch)",
    "lb_per_ft3": "pound/foot**3", "lb_per_yd3": "pound/yard**3", "mg_per_L": "milligram/liter",
    "g_per_L": "gram/liter", "kg_per_m3": "kilogram/meter**3", "lb_per_lb": "pound/pound",
    "pct": "gram/(100 gram)", "lb_per_ton": "pound/(2000 pound)", "ppm": "milligram/kilogram",
    "mg_per_kg": "milligram/kilogram", "g_per_kg": "gram/kilogram",
    "kg_per_tonne": "kilogram/(1000 kilogram)", "gal_per_ac": "gallon/international_acre",
    "kgal_per_ac": "1000 gallon/international_acre", "in_depth": "inch",
    "m3_per_ha": "meter**3/hectare", "lb_per_ac": "pound/international_acre",
    "ton_per_ac": "2000 pound/international_acre", "kg_per_ha": "kilogram/hectare",
    "tonne_per_ha": "1000 kilogram/hectare",
}  # fmt: skip
PAIRS = [
    (a, b)
    for a in units.UNITS
    for b in units.UNITS
    if a != b and units.dimension(a) == units.dimension(b)
]
PINT.define("international_acre = 43560 * foot**2")  # pint's own acre is the survey acre


def pint_quantity(unit):
    return PINT.Quantity(1, "dimensionless") * PINT.parse_expression(PINT_NAMES[unit])


@pytest.mark.parametrize(("from_unit", "to_unit"), PAIRS)
def test_every_unit_path_agrees_with_pint(from_unit, to_unit):
    ours = float(convert(Decimal(1), from_unit, to_unit))
    theirs = (pint_quantity(from_unit) / pint_quantity(to_unit)).to("dimensionless").magnitude
    assert ours == pytest.approx(theirs, rel=1e-9)


# Exact units and molar masses; tolerance is half of the last printed digit
@pytest.mark.parametrize(
    ("value", "from_unit", "to_unit", "density", "expected", "tolerance"),
    [
        (
            "1",
            "ac_in",
            "gal",
            None,
            27154.29,
            0.005,
        ),  # exact, NC certification manual and Vermont print 27,154
        ("1", "ac_ft", "gal", None, 325851, 0.5),  # derived
        ("1", "ft3", "gal", None, 7.48052, 5e-6),  # Agdex 400/28-3 page 132
        ("1", "ft3", "yd3", None, 0.0370, 5e-5),  # Agdex 400/28-3 page 132
        ("1", "ft3", "L", None, 28.32, 5e-3),  # Agdex 400/28-3 page 132
        ("1", "ft3", "imp_gal", None, 6.229, 5e-4),  # Agdex 400/28-3 page 132
        ("1", "yd3", "m3", None, 0.7646, 5e-5),  # Agdex 400/28-3 page 132
        ("1", "m3", "ft3", None, 35.31, 5e-3),  # Agdex 400/28-3 page 132
        ("1", "m3", "yd3", None, 1.308, 5e-4),  # Agdex 400/28-3 page 132
        ("1", "gal", "L", None, 3.785, 5e-4),  # Agdex 400/28-3 page 132
        ("1", "gal", "ft3", None, 0.1337, 5e-5),  # Agdex 400/28-3 page 132
        ("1", "gal", "imp_gal", None, 0.8327, 5e-5),  # Agdex 400/28-3 page 132
        ("1", "bu", "ft3", None, 1.2445, 5e-5),  # exact struck bushel
        ("1", "kg_per_ha", "lb_per_ac", None, 0.892179, 5e-7),  # exact definitions
        ("1", "tonne_per_ha", "ton_per_ac", None, 0.446090, 5e-7),  # exact definitions
        ("1", "pct", "lb_per_ton", None, 20, 0),  # NOFA soil handbook, CV-1.3
        ("10", "ppm", "lb_per_ton", None, 0.02, 0),  # CV-1.3
        ("0.01", "pct", "ppm", None, 100, 0),  # CV-1.3
        ("1", "pct", "lb_per_kgal", "8.34", 83.4, 0),  # derived
        ("1", "mg_per_kg", "lb_per_kgal", "8.34", 0.00834, 0),  # derived
        ("1", "mg_per_L", "lb_per_kgal", None, 0.008345, 5e-7),  # derived
        ("1", "lb_per_kgal", "mg_per_L", None, 119.83, 5e-3),  # derived
        ("1", "lb_per_kgal", "lb_per_ac_in", None, 27.154, 5e-4),  # derived
        ("1", "mg_per_L", "lb_per_ac_in", None, 0.2266, 5e-5),  # derived
        ("1", "lb_per_kgal", "lb_per_ton", "8.34", 0.240, 5e-4),  # derived
        ("1", "lb_per_kgal", "lb_per_ton", "8.3", 0.241, 5e-4),  # derived
        ("1", "lb_per_kgal", "lb_per_ton", "8.5", 0.235, 5e-4),  # derived
        ("1", "lb_per_ton", "lb_per_kgal", "8.34", 4.17, 0),  # derived
        ("1", "lb_per_100gal", "lb_per_kgal", None, 10, 0),  # LPELC
        ("1", "g_per_L", "lb_per_kgal", None, 8.345, 5e-4),  # derived
        ("1", "g_per_kg", "lb_per_ton", None, 2, 0),  # derived
        ("974", "kg_per_m3", "lb_per_ft3", None, 60.8, 0.05),  # CV-1.4, Agdex 400/28-3 page 133
        ("8.4", "lb_per_gal", "lb_per_ft3", None, 62.8, 0.05),  # derived
        ("13000", "gal_per_ac", "in_depth", None, 0.479, 5e-4),  # CV-7.1
    ],
)
def test_factor_matches_the_printed_one(value, from_unit, to_unit, density, expected, tolerance):
    density = None if density is None else Decimal(density)
    got = float(convert(Decimal(value), from_unit, to_unit, density))
    assert got == pytest.approx(expected, abs=max(tolerance, 1e-12))


@given(
    value=st.decimals(0, 10**6, places=4),
    pair=st.sampled_from(PAIRS),
)
def test_there_and_back_is_the_same_number(value, pair):
    there = convert(value, pair[0], pair[1])
    back = convert(there, pair[1], pair[0])
    assert abs(back - value) <= abs(value) * Decimal("1e-30")


@given(value=st.decimals(0, 10**5, places=3), density=st.decimals("7", "12", places=2))
def test_density_there_and_back_is_the_same_number(value, density):
    there = convert(value, "lb_per_kgal", "lb_per_ton", density)
    assert abs(convert(there, "lb_per_ton", "lb_per_kgal", density) - value) <= Decimal("1e-20")
    pounds = convert(value, "gal", "lb", density)
    assert abs(pounds - value * density) <= Decimal("1e-20")


def test_phosphorus_and_potassium_factors():
    # 2.2914 and 0.4364, 1.2046 and 0.8301: derived from molar masses
    assert float(units.p_to_p2o5(Decimal(1))) == pytest.approx(2.2914, abs=5e-5)
    assert float(units.p2o5_to_p(Decimal(1))) == pytest.approx(0.4364, abs=5e-5)
    assert float(units.k_to_k2o(Decimal(1))) == pytest.approx(1.2046, abs=5e-5)
    assert float(units.k2o_to_k(Decimal(1))) == pytest.approx(0.8301, abs=5e-5)


@pytest.mark.parametrize(
    ("from_unit", "to_unit", "words"),
    [
        ("gal", "ton", "density"),
        ("ft", "gal", "does not change"),
        ("gal", "barrel", "not known"),
        ("lb_per_kgal", "lb_per_ac", "does not change"),
    ],
)
def test_units_that_do_not_change_into_each_other_are_refused(from_unit, to_unit, words):
    with pytest.raises(UnitError, match=words):
        convert(Decimal(1), from_unit, to_unit)


@pytest.mark.parametrize("density", ["0", "-1", "NaN"])
def test_impossible_density_is_refused(density):
    with pytest.raises(UnitError, match="density"):
        convert(Decimal(1), "gal", "lb", Decimal(density))


def test_a_value_that_is_not_a_number_is_refused():
    with pytest.raises(UnitError, match="NaN"):
        convert(Decimal("NaN"), "gal", "L")


@pytest.mark.parametrize(
    ("text", "unit", "milli", "kind"),
    [
        ("6,500", "gal", 6_500_000, "gal"),
        (" 6500 ", "gallons", 6_500_000, "gal"),
        ("6.5", "kgal", 6_500_000, "gal"),
        ("1,234,567.125", "gal", 1_234_567_125, "gal"),
        ("8.13", "ton", 16_260_000, "lb"),
        (".5", "ton", 1_000_000, "lb"),
        ("16,260", "lb", 16_260_000, "lb"),
        ("0", "gal", 0, "gal"),
        ("1000000000", "gal", 10**12, "gal"),
    ],
)
def test_amount_is_whole_thousandths(text, unit, milli, kind):
    amount = parse_amount(text, unit)
    assert (amount.milli, amount.kind, amount.text, amount.note) == (milli, kind, text, "")


@pytest.mark.parametrize(
    ("text", "unit", "milli"),
    [
        ("1.0005", "gal", 1000),  # half to even: 1000.5 -> 1000
        ("1.0015", "gal", 1002),  # half to even: 1001.5 -> 1002
        ("1", "ac_in", 27_154_286),  # 27,154.285714...
        ("1", "kg", 2205),  # 2.20462... lb
    ],
)
def test_amount_that_is_not_whole_is_rounded_half_to_even_and_says_so(text, unit, milli):
    amount = parse_amount(text, unit)
    assert amount.milli == milli
    assert "Rounded to a thousandth" in amount.note


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "No amount"),
        ("-5", "below zero"),
        ("NaN", "not a number"),
        ("Infinity", "not a number"),
        ("1e5", "exponent"),
        ("6,5", "two ways"),
        ("8,13", "two ways"),
        ("6.500,0", "two ways"),
        ("65,00", "two ways"),
        ("1.2.3", "two ways"),
        ("6 500", "not a number"),
        ("٣٥", "not a number"),  # digits of another script
        ("6500 gal", "not a number"),
        ("1000000001", "more than"),
    ],
)
def test_unreadable_amount_names_the_value_and_the_remedy(text, words):
    with pytest.raises(AmountError, match=words):
        parse_amount(text, "gal")


@pytest.mark.parametrize(("unit", "words"), [("", "no unit"), ("ft", "no unit of"), ("x", "known")])
def test_amount_needs_a_unit_of_volume_or_weight(unit, words):
    with pytest.raises(AmountError, match=words):
        parse_amount("5", unit)


@given(number=st.decimals(0, 10**6, places=3))
def test_a_plain_number_is_read_as_written(number):
    assert read_number(f"{number:f}") == number
    assert read_number(f"{number:,f}") == number
