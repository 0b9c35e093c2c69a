"""Lengths, areas and distances against geographiclib 2.1: its published table and its own code.

The table of 20 geodesics stands in the wheel (geographiclib/test/test_geodesic.py), read there.
"""

import random

import pytest
import shapely
from geographiclib.geodesic import Geodesic
from geographiclib.test.test_geodesic import GeodesicTest

from farmrecords.calculations.geodesy import area_ac, distance_ft, length_ft

FT_M = 0.3048
SQM_PER_AC = 4046.8564224
WGS84 = Geodesic.WGS84
CASES = [
    case for case in GeodesicTest.testcases if max(abs(case[1]), abs(case[4])) <= 180
]  # our lines keep to longitudes from -180 to 180


def test_the_table_is_the_published_one():
    assert len(GeodesicTest.testcases) == 20
    assert len(CASES) >= 5


@pytest.mark.parametrize("case", CASES)
def test_a_line_has_the_published_length(case):
    lat1, lon1, _azi1, lat2, lon2, _azi2, metres = case[:7]
    if abs(lon1 - lon2) > 180:  # the short way crosses the date line
        lon1 = lon2 + (lon1 - lon2 + 180) % 360 - 180
        if abs(lon1) > 180:
            lon1, lon2 = lon1 - lon2, 0.0
    line = shapely.LineString([(lon1, lat1), (lon2, lat2)])
    assert length_ft(line) * FT_M == pytest.approx(metres, abs=1e-6)


def outline(chance):
    """A field-sized outline of 5 to 60 corners, somewhere in the 48 states."""
    lon, lat = chance.uniform(-124, -67), chance.uniform(25, 49)
    size = chance.uniform(0.0005, 0.01)
    turns = sorted(chance.uniform(0, 360) for _ in range(chance.randint(5, 60)))
    places = [
        WGS84.Direct(lat, lon, turn, size * chance.uniform(60_000, 110_000)) for turn in turns
    ]
    return [(place["lon2"], place["lat2"]) for place in places]


def test_areas_agree_on_random_outlines():
    chance = random.Random(5)
    for _ in range(200):
        corners = outline(chance)
        polygon = WGS84.Polygon()
        for lon, lat in corners:
            polygon.AddPoint(lat, lon)
        _count, perimeter_m, area_sqm = polygon.Compute(False, True)
        ours = shapely.Polygon(corners)
        assert area_ac(ours) * SQM_PER_AC == pytest.approx(abs(area_sqm), abs=1e-3)
        assert length_ft(ours) * FT_M == pytest.approx(perimeter_m, abs=1e-6)


def test_distances_of_a_neighbourhood_agree_to_a_hundredth_of_a_foot():
    chance = random.Random(6)
    for _ in range(200):
        lat, lon = chance.uniform(25, 49), chance.uniform(-124, -67)
        metres = chance.uniform(1, 1500)
        end = WGS84.Direct(lat, lon, chance.uniform(0, 360), metres)
        found = distance_ft(shapely.Point(lon, lat), shapely.Point(end["lon2"], end["lat2"]))
        assert found == pytest.approx(metres / FT_M, abs=0.01)
