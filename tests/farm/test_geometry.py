"""Geometry as it is stored: what was sound stays sound when it is rounded."""

from __future__ import annotations

import json

import numpy as np
import pytest
import shapely
from shapely.geometry import shape

from farmrecords.farm.geometry import to_geojson

GRID_DEG = 1e-7


def thin_outline(seed: int) -> shapely.Polygon:
    """A sound outline whose two sides run less than a grid cell apart, up and down."""
    rng = np.random.default_rng(seed)
    x = -73.2 + np.arange(40) * GRID_DEG * 3.3
    low = 44.06 + rng.uniform(0, 3 * GRID_DEG, len(x))
    high = low + rng.uniform(0.05 * GRID_DEG, 0.6 * GRID_DEG, len(x))
    up = np.column_stack([x, low])
    return shapely.Polygon(np.vstack([up, np.column_stack([x, high])[::-1]]))


@pytest.mark.parametrize("seed", range(20))
def test_a_sound_outline_stays_sound_in_seven_decimals(seed: int) -> None:
    outline = thin_outline(seed).union(shapely.box(-73.2, 44.0599, -73.199, 44.06000005))
    assert outline.is_valid
    kept = shape(to_geojson(outline))
    assert kept.is_valid
    assert kept.area == pytest.approx(outline.area, rel=1e-3)
    places = shapely.get_coordinates(kept)
    assert np.array_equal(places, np.round(places, 7))


def test_rounding_alone_would_make_some_of_them_cross_themselves() -> None:
    outlines = [
        thin_outline(seed).union(shapely.box(-73.2, 44.0599, -73.199, 44.06000005))
        for seed in range(20)
    ]
    rounded = [shapely.transform(one, lambda places: np.round(places, 7)) for one in outlines]
    assert any(not one.is_valid for one in rounded)


def test_an_outline_that_crosses_itself_is_kept_as_it_is() -> None:
    """Repair is a question for intake: here it is refused, never changed."""
    bow = shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])
    assert shape(to_geojson(bow)).equals_exact(bow)


@pytest.mark.parametrize(
    "text",
    [
        "POLYGON ((-73.2 44, -73.1 44, -73.1 44.1, -73.2 44))",
        "POLYGON ((0 0, 9 0, 9 9, 0 9, 0 0), (1 1, 2 1, 2 2, 1 1), (4 4, 5 4, 5 5, 4 4))",
        "MULTIPOLYGON (((0 0, 1 0, 1 1, 0 0)), ((5 5, 9 5, 9 9, 5 5), (6 5.5, 7 5.5, 7 6, 6 5.5)))",
        "POLYGON EMPTY",
        "POLYGON Z ((0 0 1, 1 0 1, 1 1 1, 0 0 1))",
        "LINESTRING (0 0, 1.23456789 1)",
        "POINT (1 2)",
        "GEOMETRYCOLLECTION (POINT (1 2), POLYGON ((0 0, 1 0, 1 1, 0 0)))",
    ],
)
def test_every_kind_of_geometry_is_told_as_geojson_tells_it(text: str) -> None:
    geometry = shapely.from_wkt(text)
    kept = to_geojson(geometry)
    assert kept["type"] == geometry.geom_type
    assert shape(kept).has_z == geometry.has_z
    assert shape(kept).equals_exact(geometry, 1e-7)
    assert json.loads(json.dumps(kept)) == kept
