"""Nearness of covered ground to features."""

import pytest
from shapely import LineString, Point, Polygon, box

from farmrecords.calculations.geodesy import FT_M, LocalPlane, area_ac
from farmrecords.calculations.setback_geometry import (
    acres_within,
    combined_uncertainty_ft,
    compare,
    nearest_features,
    spreadable,
)

PLANE = LocalPlane(-89.5, 43.0)


def metres(geometry):
    return PLANE.unproject(geometry)


@pytest.mark.parametrize(
    ("distance", "doubt", "answer"),
    [
        (100.0, 0.0, "clear"),
        (99.999, 0.0, "too near"),
        (104.999, 5.0, "within uncertainty"),
        (105.0, 5.0, "clear"),
        (95.001, 5.0, "within uncertainty"),
        (95.0, 5.0, "too near"),
    ],
)
def test_a_distance_nearer_to_its_limit_than_the_doubt_cannot_be_told(distance, doubt, answer):
    assert compare(distance, 100.0, doubt) == answer


def test_uncertainties_combine_as_squares():
    assert combined_uncertainty_ft(3, 4, 12) == 13
    for wrong in (-1, float("nan")):
        with pytest.raises(ValueError, match="cannot be"):
            combined_uncertainty_ft(wrong)


def test_nearest_features_within_the_bound():
    ground = metres(box(0, 0, 100, 100))
    features = [
        metres(Point(100 + 100 * FT_M, 50)),
        metres(LineString([(0, 100 + 35 * FT_M), (100, 100 + 35 * FT_M)])),
        Polygon(),
        metres(Point(5000, 0)),
    ]
    found = nearest_features(ground, features, 120, 3.0, [4.0, 0.0, 0.0, 0.0])
    assert [near.feature for near in found] == [1, 0]
    assert [near.distance_ft for near in found] == pytest.approx([35, 100], abs=1e-3)
    assert [near.uncertainty_ft for near in found] == [3.0, 5.0]


def test_no_feature_is_no_nearness():
    assert nearest_features(metres(box(0, 0, 10, 10)), [Polygon()], 100) == []


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
