"""Soil surveys: tables by their column lists, shares of a field, and null that is never zero.

Expected values are worked by hand from the small survey in `soil_files`.
"""

import pytest
from shapely.geometry import Polygon

from farmrecords.calculations import soil_shares
from farmrecords.formats.common import FormatError
from farmrecords.formats.ssurgo import read_soil_polygons, read_soil_tables
from tests.formats import soil_files
from tests.formats.samples import QUAD, packed

NEAR = (-89.5, 43.0, -89.495, 43.0036)
FIELD = Polygon(QUAD)


@pytest.fixture(scope="module")
def tables():
    return read_soil_tables(soil_files.survey()).items[0]


@pytest.fixture(scope="module")
def shares():
    rows = read_soil_polygons(soil_files.survey(), NEAR).items
    return soil_shares.soil_shares(FIELD, [(row.kind, row.geometry) for row in rows])


def test_tables_are_put_together_by_their_keys(tables):
    unit = tables.units["100"]
    assert (unit.symbol, unit.name, tables.saved) == ("PnA", "Example silt loam", "09/12/2024")
    first, second = unit.components
    assert (first.name, first.percent, first.number("slope_r")) == ("Example", 80, 1)
    assert second.number("slope_r") is None
    assert first.flooding == ("Occasional",)


def test_the_surface_horizon_passes_over_organic_layers(tables):
    surface = tables.units["100"].components[0].surface
    assert (surface.name, surface.values["kwfact"]) == ("A", ".37")
    assert tables.units["200"].components[0].surface is None


def test_only_polygons_near_the_field_are_read():
    rows = read_soil_polygons(soil_files.survey(), NEAR).items
    assert [(row.name, row.kind) for row in rows] == [("PnA", "100"), ("RdB", "200")]


def test_shares_add_up_to_the_field(shares):
    # 40.290596 ac: reference on data formats, section 3.1; the border halves the field.
    assert shares.field_ac == pytest.approx(40.290596, abs=1e-3)
    assert shares.acres_by_unit["100"] == pytest.approx(20.145298, abs=1e-3)
    assert shares.is_whole


def test_ground_without_a_map_unit_is_a_gap(shares):
    west = read_soil_polygons(soil_files.survey(), NEAR).items[0]
    half = soil_shares.soil_shares(FIELD, [(west.kind, west.geometry)])
    assert half.gap_ac == pytest.approx(20.145298, abs=1e-3)
    assert not half.is_whole
    assert half.field_ac == pytest.approx(shares.field_ac)


# By hand: (0.5·80·1 + 0.5·90·4) / (0.5·80 + 0.5·90) = 220/85; the soil without a slope is left
# out, not counted as 0. The value rests on (0.40 + 0.45) of the field.
def test_a_number_is_weighted_over_the_soils_that_have_it(shares, tables):
    found = soil_shares.weighted_number(shares, tables.units, "slope_r")
    assert found.value == pytest.approx(220 / 85, rel=1e-4)
    assert found.share == pytest.approx(0.85, rel=1e-4)
    assert soil_shares.weighted_number(shares, tables.units, "tfact") == soil_shares.Weighted(
        None, 0.0
    )


# By hand: B/D 0.40; C 0.075 + 0.45 = 0.525 of the field.
def test_classes_are_counted_never_averaged(shares, tables):
    found = soil_shares.dominant_condition(shares, tables.units, "hydgrp")
    assert found.value == "C"
    assert found.share == pytest.approx(0.525, rel=1e-4)


@pytest.mark.parametrize(("drained", "expected"), [(True, "B"), (False, "D"), (None, "B/D")])
def test_a_dual_group_follows_the_tile_drainage(tables, drained, expected):
    one_unit = soil_shares.SoilShares({"100": 10.0}, 0.0)
    found = soil_shares.dominant_condition(one_unit, tables.units, "hydgrp", drained)
    assert found.value == expected


def test_the_predominant_unit_and_its_dominant_soil_are_named(tables):
    shares = soil_shares.SoilShares({"100": 30.0, "200": 10.0}, 0.0)
    unit = soil_shares.predominant_unit(shares, tables.units)
    assert unit.symbol == "PnA"
    assert soil_shares.dominant_component(unit).name == "Example"


# By hand to 100 cm: 20 cm × 0.20 + 75 cm × 0.10 = 11.5 cm = 4.5276 in, over 95 of 100 cm.
def test_water_held_is_summed_over_the_horizons_that_have_it(tables):
    found = soil_shares.available_water_in(tables.units["100"].components[0].horizons, 100)
    assert found.value == pytest.approx(11.5 / 2.54)
    assert found.share == pytest.approx(0.95)
    assert (
        soil_shares.available_water_in(tables.units["200"].components[0].horizons, 100).value
        is None
    )


def without(name):
    return packed({key: v for key, v in soil_files.tables().items() if name not in key})


@pytest.mark.parametrize(
    "data",
    [
        b"",
        packed({"readme.txt": b"x"}),
        without("mstabcol"),
        without("mapunit"),
        packed(soil_files.tables() | {"WI025/tabular/comp.txt": '"a"|"b"\n'}),
        packed(soil_files.tables() | {"WI025/tabular/comp.txt": '"a\n'}),
        packed(soil_files.tables() | {"WI025/tabular/mstabcol.txt": "a\n"}),
        packed(soil_files.tables() | {"WI025/tabular/comp.txt": b"\0\0"}),
    ],
)
def test_a_damaged_survey_is_refused(data):
    with pytest.raises(FormatError) as refused:
        read_soil_tables(data)
    assert refused.value.reason


def test_a_survey_without_a_map_is_refused():
    with pytest.raises(FormatError, match="soil map"):
        read_soil_polygons(packed(soil_files.tables()), NEAR)
