"""Acres and distances against geographiclib, PROJ and published values of this project."""

import math

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod
from shapely import LineString, MultiPolygon, Point, Polygon, box

from farmrecords.calculations.geodesy import (
    FT_M,
    GeometryError,
    LocalPlane,
    area_ac,
    distance_ft,
    length_ft,
    united,
)

# Computed: pyproj and geographiclib agree on 163,050.257616 m2 and 1,615.253827 m
QUAD = Polygon([(-89.5, 43.0), (-89.495, 43.0), (-89.495, 43.0036), (-89.5, 43.0036)])
SQM_PER_AC = 4046.8564224


def judged_sqm(polygon):
    poly = Geodesic.WGS84.Polygon()
    for lon, lat in polygon.exterior.coords[:-1]:
        poly.AddPoint(lat, lon)
    return abs(poly.Compute()[2])


def test_quad_has_its_known_acres_and_outline():
    assert area_ac(QUAD) == pytest.approx(40.290596, abs=5e-7)
    assert length_ft(QUAD) == pytest.approx(5299.389, abs=5e-4)


def test_winding_does_not_matter():
    assert area_ac(QUAD.reverse()) == pytest.approx(area_ac(QUAD), rel=1e-12)


@pytest.mark.parametrize("reverse", [True, False])
def test_hole_is_taken_out_however_it_winds(reverse):
    hole = box(-89.498, 43.001, -89.497, 43.002)
    ring = list(hole.exterior.coords)
    field = Polygon(QUAD.exterior.coords, [ring[::-1] if reverse else ring])
    expected = (judged_sqm(QUAD) - judged_sqm(hole)) / SQM_PER_AC
    assert area_ac(field) == pytest.approx(expected, rel=1e-9)


def test_parts_add_up():
    east = shapely.transform(QUAD, lambda xy: xy + np.array([0.01, 0.0]))
    both = MultiPolygon([QUAD, east])
    assert area_ac(both) == pytest.approx(2 * area_ac(QUAD), rel=1e-9)
    assert area_ac(shapely.GeometryCollection([QUAD, Point(-89.5, 43)])) == pytest.approx(
        area_ac(QUAD)
    )


@given(lat=st.floats(-70, 70), lon=st.floats(-179, 178), size=st.floats(0.0005, 0.05))
def test_area_agrees_with_geographiclib(lat, lon, size):
    square = box(lon, lat, lon + size, lat + size)
    assert area_ac(square) == pytest.approx(judged_sqm(square) / SQM_PER_AC, rel=1e-6)


@given(lon=st.floats(-170, 170))
def test_moving_along_a_parallel_does_not_change_the_area(lon):
    moved = shapely.transform(QUAD, lambda xy: xy - [-89.5, 0] + [lon, 0])
    assert area_ac(moved) == pytest.approx(area_ac(QUAD), rel=1e-8)


@given(lat=st.floats(25, 60), bearing=st.floats(0, 360), metres=st.floats(1, 3000))
def test_distance_agrees_with_the_geodesic(lat, bearing, metres):
    lon2, lat2, _ = Geod(ellps="WGS84").fwd(-89.5, lat, bearing, metres)
    found = distance_ft(Point(-89.5, lat), Point(lon2, lat2))
    assert found == pytest.approx(metres / FT_M, rel=1e-6, abs=1e-4)


@pytest.mark.parametrize("lat", [30, 43, 48.5])
def test_300_ft_are_300_ft_at_every_bearing(lat):
    # Measured: local tmerc, worst bearing, 0.00000 ft
    for bearing in range(0, 360, 15):
        lon2, lat2, _ = Geod(ellps="WGS84").fwd(-89.5, lat, bearing, 300 * FT_M)
        assert distance_ft(Point(-89.5, lat), Point(lon2, lat2)) == pytest.approx(300, abs=1e-5)


def test_distance_of_touching_things_is_nothing():
    assert distance_ft(QUAD, Point(-89.499, 43.001)) == 0.0
    assert distance_ft(QUAD, LineString([(-89.5, 42.9), (-89.5, 43.0)])) == 0.0


@given(lat=st.floats(25, 60), bearing=st.floats(0, 359), metres=st.floats(10, 2000))
def test_distance_is_the_same_both_ways(lat, bearing, metres):
    lon2, lat2, _ = Geod(ellps="WGS84").fwd(-89.5, lat, bearing, metres)
    a, b = Point(-89.5, lat), Point(lon2, lat2)
    assert distance_ft(a, b) == pytest.approx(distance_ft(b, a), rel=1e-7)


@given(dx=st.floats(-2000, 2000), dy=st.floats(-2000, 2000))
def test_plane_there_and_back(dx, dy):
    plane = LocalPlane.centred_on(QUAD)
    point = plane.unproject(Point(dx, dy))
    back = plane.project(point)
    assert math.hypot(back.x - dx, back.y - dy) < 1e-5


def test_plane_area_agrees_with_the_geodesic():
    plane = LocalPlane.centred_on(QUAD)
    assert plane.project(QUAD).area / SQM_PER_AC == pytest.approx(area_ac(QUAD), rel=1e-8)


@pytest.mark.parametrize(
    ("geometry", "words"),
    [
        (Polygon(), "empty"),
        (Point(float("nan"), 43), "not a number"),
        (box(43.0, -189.5, 43.01, -189.4), "longitude first"),
        (Point(-190, 43), "outside the earth"),
    ],
)
def test_what_cannot_be_measured_is_refused(geometry, words):
    with pytest.raises(GeometryError, match=words):
        area_ac(geometry)


def test_a_line_covers_no_acres():
    assert area_ac(LineString([(-89.5, 43), (-89.4, 43)])) == 0.0


def test_distance_to_nothing_is_refused():
    with pytest.raises(GeometryError, match="empty"):
        distance_ft(QUAD, Polygon())


def test_nearly_touching_and_self_crossing_grounds_are_joined_without_failing() -> None:
    """OGC simple features: a union covers each point once, whatever the edges do (hand areas)."""
    bow = Polygon([(0, 0), (1e-4, 1e-4), (1e-4, 0), (0, 1e-4)])
    square = box(0, 0, 1e-4, 1e-4)
    shifted = box(1e-4 + 3e-13, 0, 2e-4, 1e-4)
    both = united([bow, square, shifted])
    assert both.is_valid
    assert both.area == pytest.approx(2e-8, rel=1e-4)
