"""Laboratory figures against published worked examples."""

from decimal import Decimal

import pytest

from farmrecords.calculations.manure_test import (
    ManureContent,
    ManureTestError,
    ReportedValue,
    doubts,
    needs_density,
    normalise,
)


def value(analyte, figure, unit, basis="as_is"):
    return ReportedValue(analyte, Decimal(figure), unit, basis)


SOLIDS = value("solids_pct", "10.5", "pct")


def test_dry_figure_becomes_as_is():
    # CV-1.1, S-LPELC example A: 10.5 % solids, 1.4 % P dry -> 2.9 lb P, 6.73 lb P2O5 per ton
    content = normalise([SOLIDS, value("p", "1.4", "pct", "dry")], "solid")
    assert content.p2o5 == pytest.approx(6.73, abs=0.05)
    assert content.p2o5 / 2.2914 == pytest.approx(2.94, abs=0.001)


def test_moisture_serves_as_well_as_solids():
    moist = normalise(
        [value("moisture_pct", "89.5", "pct"), value("p", "1.4", "pct", "dry")], "solid"
    )
    dry = normalise([SOLIDS, value("p", "1.4", "pct", "dry")], "solid")
    assert moist.p2o5 == dry.p2o5


@pytest.mark.parametrize(
    ("percent", "lb_per_ton", "tons", "lb_per_ac"),
    [
        ("0.96", 19.1, 4, 76.4),
        ("0.89", 17.8, 4, 71.2),
        ("2.01", 40.2, 2, 80.4),
        ("4.0", 80.0, 2, 160.0),
    ],
)
def test_percent_to_pounds_per_ton(percent, lb_per_ton, tons, lb_per_ac):
    # CV-1.2, S-OH34 Table 1; tolerance 0.5
    content = normalise([value("total_n", percent, "pct")], "solid")
    assert content.total_n == pytest.approx(lb_per_ton, abs=0.5)
    assert content.total_n * tons == pytest.approx(lb_per_ac, abs=0.5)


def test_organic_nitrogen_is_the_rest():
    # CV-2.1, S-MT5: total 21, ammonium 8, nitrate 0 -> organic 13
    content = normalise(
        [
            value("total_n", "21", "lb_per_ton"),
            value("ammonium_n", "8", "lb_per_ton"),
            value("nitrate_n", "0", "lb_per_ton"),
        ],
        "solid",
    )
    assert (content.total_n, content.ammonium_n, content.organic_n) == (21.0, 8.0, 13.0)


def test_kjeldahl_nitrogen_lacks_the_nitrate():
    content = normalise(
        [
            value("tkn", "20", "lb_per_kgal"),
            value("ammonium_n", "8", "lb_per_kgal"),
            value("nitrate_n", "1", "lb_per_kgal"),
        ],
        "liquid",
    )
    assert (content.total_n, content.organic_n) == (21.0, 12.0)


def test_total_from_its_parts():
    content = normalise(
        [value("organic_n", "13", "lb_per_kgal"), value("ammonium_n", "8", "lb_per_kgal")], "liquid"
    )
    assert content.total_n == 21.0
    assert "sum of its parts" in content.notes[0]


def test_what_was_not_tested_is_unknown_not_nothing():
    content = normalise([value("total_n", "25", "lb_per_kgal")], "liquid")
    assert (content.ammonium_n, content.organic_n, content.p2o5, content.k2o) == (None,) * 4


def test_density_is_assumed_only_when_it_is_needed_and_said():
    per_volume = normalise([value("total_n", "25", "lb_per_kgal")], "liquid")
    assert (per_volume.density_lb_per_gal, per_volume.density_assumed) == (None, False)
    by_weight = normalise([value("total_n", "0.3", "pct")], "liquid")
    assert (by_weight.total_n, by_weight.density_assumed) == (pytest.approx(25.02), True)
    assert "8.34" in by_weight.notes[0]
    measured = normalise([value("total_n", "0.3", "pct")], "liquid", Decimal("8.5"))
    assert (measured.total_n, measured.density_assumed) == (pytest.approx(25.5), False)


def test_potassium_becomes_potash():
    content = normalise([value("k", "10", "lb_per_kgal")], "liquid")
    assert content.k2o == pytest.approx(12.046, abs=5e-4)  # x 1.2046


def test_no_basis_but_moisture_is_taken_as_is_and_said():
    content = normalise([SOLIDS, value("total_n", "0.5", "pct", None)], "solid")
    assert content.total_n == 10.0
    assert "no basis" in content.notes[0]


def test_a_figure_per_volume_needs_no_basis():
    assert normalise([value("total_n", "25", "lb_per_kgal", None)], "liquid").total_n == 25.0


@pytest.mark.parametrize(
    ("values", "form", "words"),
    [
        ([value("total_n", "0.5", "pct", None)], "solid", "neither a basis nor a moisture"),
        ([value("p", "1.4", "pct", "dry")], "solid", "no solids or moisture"),
        ([SOLIDS, value("p", "30", "lb_per_kgal", "dry")], "liquid", "always as-is"),
        ([value("phosphorus", "3", "pct")], "solid", "p or p2o5"),
        ([value("total_n", "3", "gal")], "solid", "concentration"),
        ([value("total_n", "3", "furlong")], "solid", "not known"),
        ([value("total_n", "-3", "pct")], "solid", "0 or more"),
        ([value("total_n", "NaN", "pct")], "solid", "0 or more"),
        ([value("total_n", "3", "pct"), value("total_n", "4", "pct")], "solid", "twice"),
        ([value("total_n", "8", "lb_per_ton"), value("ammonium_n", "9", "lb_per_ton")], "solid",
         "above total N"),
        ([value("p", "10", "lb_per_ton"), value("p2o5", "10", "lb_per_ton")], "solid",
         "do not agree"),
        ([value("solids_pct", "105", "pct")], "solid", "between"),
        ([SOLIDS, value("moisture_pct", "80", "pct")], "solid", "add up to 100"),
        ([value("total_n", "25", "lb_per_kgal")], "solid", "pounds per gallon"),
        ([value("total_n", "150", "pct")], "solid", "weigh more than"),
        ([value("total_n", "21", "lb_per_ton"), value("ammonium_n", "8", "lb_per_ton"),
          value("organic_n", "9", "lb_per_ton")], "solid", "do not add up"),
    ],
)  # fmt: skip
def test_unusable_test_names_the_figure_and_the_remedy(values, form, words):
    with pytest.raises(ManureTestError, match=words):
        normalise(values, form)


def test_ammonium_equal_to_total_is_still_possible():
    both = [value("total_n", "8", "lb_per_ton"), value("ammonium_n", "8", "lb_per_ton")]
    assert normalise(both, "solid").organic_n == 0.0


@pytest.mark.parametrize(("density", "ok"), [("6.99", False), ("7", True), ("12", True),
                                             ("12.01", False)])  # fmt: skip
def test_density_outside_what_a_liquid_can_be_is_refused(density, ok):
    if ok:
        assert normalise([value("total_n", "1", "pct")], "liquid", Decimal(density)).total_n > 0
    else:
        with pytest.raises(ManureTestError, match="outside"):
            normalise([value("total_n", "1", "pct")], "liquid", Decimal(density))


def content(n, p2o5, form="liquid"):
    return ManureContent(form, n, None, None, p2o5, None)


def test_telltale_factor_asks():
    assert "P and P2O5" in doubts(content(25, 4.37), content(25, 10.0))[0].words
    assert "1,000 gallons" in doubts(content(0.025, 10), content(25, 10.0))[0].words
    assert "density" in doubts(content(25 * 8.34, 10), content(25, 10.0))[0].words


def test_ordinary_change_does_not_ask():
    assert doubts(content(25, 14), content(21, 10.0)) == ()
    assert doubts(content(25 * 2.29, 10), content(25, 10.0)) == ()  # nitrogen has no oxide factor
    assert doubts(content(25, 4.37, "solid"), content(25, 10.0)) == ()


def test_solids_alone_need_no_density():
    assert not needs_density([SOLIDS], "liquid")
