"""Nearness of covered ground to features."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from farmrecords.calculations.geodesy import FT_M, GEOD, LocalPlane, area_ac
from farmrecords.calculations.setback_geometry import (
    acres_outside,
    acres_within,
    closed_ground,
    combined_uncertainty_ft,
    cut_out,
    is_within,
    nearness,
    places_about,
    spreadable,
    widened,
)

PLANE = LocalPlane(-89.5, 43.0)


def metres(geometry):
    return PLANE.unproject(geometry)


def test_uncertainties_combine_as_squares():
    assert combined_uncertainty_ft(3, 4, 12) == 13
    for wrong in (-1, float("nan")):
        with pytest.raises(ValueError, match="cannot be"):
            combined_uncertainty_ft(wrong)


def test_places_within_the_bound_come_nearest_first_by_ground():
    ground, next_one = metres(box(0, 0, 100, 100)), metres(box(0, -100, 100, -50))
    places = [
        metres(Point(100 + 100 * FT_M, 50)),
        metres(LineString([(0, 100 + 35 * FT_M), (100, 100 + 35 * FT_M)])),
        Polygon(),
        metres(Point(5000, 0)),
    ]
    found = nearness([ground, next_one, ground], places, 120, farthest_of=[2])
    assert [(near.ground, near.place) for near in found] == [(0, 1), (0, 0), (2, 1), (2, 0)]
    assert [near.distance_ft for near in found] == pytest.approx([35, 100, 35, 100], abs=1e-3)
    # to the farthest corner: straight down to the line, and across the square to the point
    across = math.hypot(100 + 100 * FT_M, 50) / FT_M
    assert [near.farthest_ft for near in found[:2]] == [None, None]
    assert [near.farthest_ft for near in found[2:]] == pytest.approx(
        [35 + 100 / FT_M, across], abs=1e-3
    )


def test_a_bound_holds_on_both_sides():
    ground, place = metres(box(0, 0, 100, 100)), metres(Point(100 + 100 * FT_M, 50))
    assert nearness([ground], [place], 100.01)
    assert not nearness([ground], [place], 99.99)
    flat = PLANE.project(ground), PLANE.project(place)
    assert is_within(*flat, 100.01)
    assert not is_within(*flat, 99.99)
    assert not is_within(flat[0], Polygon(), 1e9)


@settings(max_examples=60, deadline=None)
@given(
    latitude=st.floats(-60, 70),
    bearing=st.floats(0, 360),
    away_ft=st.floats(0, 20_000),
)
def test_the_quick_look_never_leaves_out_what_is_within(latitude, bearing, away_ft):
    lon, lat, _back = GEOD.fwd(-89.5, latitude, bearing, away_ft * FT_M)
    here = (-89.5, latitude, -89.5, latitude)
    assert places_about(here, [Point(lon, lat)], away_ft * 1.000001 + 0.001) == [0]


def test_the_quick_look_leaves_out_what_is_clearly_farther():
    here = (-89.5, 43.0, -89.5, 43.0)
    for bearing in (0, 90, 180, 270):
        lon, lat, _back = GEOD.fwd(-89.5, 43.0, bearing, 1500 * FT_M)
        assert places_about(here, [Point(lon, lat)], 1450) == []
        assert places_about(here, [Point(lon, lat)], 1500.01) == [0]


def test_no_place_and_no_ground_is_no_nearness():
    assert nearness([metres(box(0, 0, 10, 10))], [Polygon()], 100) == []
    assert nearness([], [metres(Point(0, 0))], 100) == []


@pytest.mark.parametrize("reach_ft", [-1, math.nan, math.inf])
def test_a_distance_that_cannot_be_kept_is_refused(reach_ft):
    with pytest.raises(ValueError, match="cannot be kept; give 0 or more"):
        widened(Point(0, 0), reach_ft)


def test_acres_outside_a_boundary():
    boundary = metres(box(0, 0, 100, 100))
    assert acres_outside(metres(box(10, 10, 90, 90)), boundary) == 0
    assert acres_outside(boundary, boundary) == 0
    beyond = acres_outside(metres(box(50, 0, 150, 100)), boundary)
    assert beyond == pytest.approx(5000 / 4046.8564224, rel=1e-4)
    assert acres_outside(metres(box(200, 0, 300, 100)), boundary) == pytest.approx(
        10000 / 4046.8564224, rel=1e-4
    )


def test_acres_within_a_distance_of_a_line():
    field = metres(box(0, 0, 400, 400))
    ditch = metres(LineString([(-100, 0), (500, 0)]))
    expected = 400 * 100 * FT_M / 4046.8564224
    assert acres_within(field, ditch, 100) == pytest.approx(expected, rel=1e-4)
    left, acres = spreadable(field, [(ditch, 100), (Point(), 50)])
    assert acres == pytest.approx(area_ac(field) - expected, rel=1e-4)
    assert area_ac(left) == acres


def test_a_field_wholly_inside_a_setback_has_no_acres_left():
    field = metres(box(0, 0, 10, 10))
    assert spreadable(field, [(metres(Point(5, 5)), 500)])[1] == 0.0


@pytest.mark.parametrize("reach_ft", [400, 750, 1000])
def test_no_ground_left_is_nearer_to_a_point_than_its_distance(reach_ft):
    """A circle is drawn with corners; between two of them it must not fall short of the reach."""
    field = metres(box(-600, -600, 600, 600))
    well = metres(Point(0, 0))
    left, acres = spreadable(field, [(well, reach_ft)])
    (nearest,) = nearness([left], [well], 5000)
    assert reach_ft <= nearest.distance_ft < reach_ft * 1.0001
    # the whole 1,200 m square less the circle: 1,440,000 m2 - pi r2
    circle_ac = math.pi * (reach_ft * FT_M) ** 2 / 4046.8564224
    assert acres == pytest.approx(1_440_000 / 4046.8564224 - circle_ac, rel=1e-4)


@pytest.mark.parametrize("reach_ft", [400, 750, 1000])
def test_acres_within_and_acres_left_are_the_field(reach_ft):
    field = metres(box(-600, -600, 600, 600))
    well = metres(Point(0, 0))
    within = acres_within(field, well, reach_ft)
    assert within + spreadable(field, [(well, reach_ft)])[1] == pytest.approx(
        area_ac(field), rel=1e-9
    )


def test_what_closes_nothing_more_is_not_named():
    """A feature whose distance does not reach the field, or reaches only closed ground."""
    field = metres(box(0, 0, 100, 100))
    ditch = metres(LineString([(-10, -50), (-10, 150)]))
    far = metres(Point(5000, 0))
    hidden = metres(Point(0, 50))
    kept = [(far, 100.0), (ditch, 100.0), (hidden, 10.0)]
    assert cut_out(field, kept)[1] == (1,)
    parts = closed_ground(field, kept)
    assert parts[0] is None
    assert area_ac(parts[1]) == pytest.approx((100 * FT_M - 10) * 100 / 4046.8564224, rel=2e-4)
