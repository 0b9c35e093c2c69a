"""Soil shares of a field with soils written by hand; survey files are tested in formats."""

from dataclasses import dataclass, field

import pytest
from shapely import Polygon, box

from farmrecords.calculations.soil_shares import (
    SoilError,
    SoilShares,
    available_water_in,
    dominant_component,
    dominant_condition,
    predominant_unit,
    soil_shares,
    weighted_number,
)


@dataclass(frozen=True)
class Held:
    """A soil, a layer or a unit with the columns a test needs."""

    cokey: str = "1"
    percent: float | None = None
    columns: dict = field(default_factory=dict)
    horizons: tuple = ()
    components: tuple = ()
    top_cm: float | None = None
    bottom_cm: float | None = None

    def number(self, column):
        return self.columns.get(column)

    def text(self, column):
        return self.columns.get(column, "")


STEEP = Held("2", 50, {"slope_r": 8.0, "hydgrp": "C"})
FLAT = Held("1", 50, {"slope_r": 2.0, "hydgrp": "B/D"})
UNKNOWN = Held("3", None, {"hydgrp": "A"})
UNITS = {"100": Held(components=(FLAT, STEEP)), "200": Held(components=(UNKNOWN,))}
SHARES = SoilShares({"100": 30.0, "200": 10.0}, 0.0)


def test_numbers_are_weighted_by_acres_and_percent():
    # by hand: (15 x 2 + 15 x 8) / 30 = 5, over 30 of 40 acres
    found = weighted_number(SHARES, UNITS, "slope_r")
    assert (found.value, found.share) == (5.0, 0.75)


def test_the_class_with_most_acres_wins_and_dual_groups_follow_the_drainage():
    assert dominant_condition(SHARES, UNITS, "hydgrp").share == 0.375
    assert dominant_condition(SHARES, UNITS, "hydgrp", drained=True).value == "B"
    assert dominant_condition(SHARES, UNITS, "hydgrp", drained=False).value == "C"
    assert dominant_condition(SHARES, UNITS, "nothing").value == ""


def test_of_equal_soils_the_steeper_is_dominant():
    assert predominant_unit(SHARES, UNITS) is UNITS["100"]
    assert dominant_component(UNITS["100"]) is STEEP
    assert dominant_component(UNITS["200"]) is None


def test_water_counts_layers_down_to_the_depth():
    # by hand: 20 cm x 0.20 + 30 cm x 0.10 = 7 cm, over 50 of 50 cm
    layers = (
        Held(top_cm=0, bottom_cm=20, columns={"awc_r": 0.2}),
        Held(top_cm=20, bottom_cm=90, columns={"awc_r": 0.1}),
        Held(top_cm=90, bottom_cm=None, columns={"awc_r": 0.1}),
    )
    found = available_water_in(layers, 50)
    assert (found.value, found.share) == (pytest.approx(7 / 2.54), 1.0)
    assert available_water_in((), 50).value is None
    assert available_water_in(layers, 0).value is None


def test_a_field_whose_outline_crosses_itself_is_refused():
    crossed = Polygon([(-89.5, 43), (-89.499, 43.001), (-89.499, 43), (-89.5, 43.001)])
    with pytest.raises(SoilError, match="not valid"):
        soil_shares(crossed, [])
    far = soil_shares(box(-89.5, 43, -89.499, 43.001), [("100", box(0, 0, 1, 1))])
    assert far.acres_by_unit == {}
    assert far.gap_ac == pytest.approx(far.field_ac)
