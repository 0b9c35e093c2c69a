"""Storage volumes against printed values and against integration of the surface."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.calculations import storage_volume as storage
from farmrecords.calculations.storage_volume import (
    Pond,
    Rectangular,
    StageTable,
    StorageShapeError,
    VerticalCylinder,
)

GAL = 1728 / 231
SIZE = st.floats(5, 400)
SLOPE = st.floats(0, 6)
DEPTH = st.floats(1, 25)
SHAPES = st.one_of(
    st.builds(Rectangular, SIZE, SIZE, DEPTH),
    st.builds(VerticalCylinder, SIZE, DEPTH),
    st.builds(Pond, SIZE, SIZE, DEPTH, SLOPE, SLOPE, SLOPE, SLOPE),
    st.just(StageTable(((0, 0), (2, 50_000), (5, 200_000), (9, 500_000)))),
)


def test_prismoid_of_a_published_lagoon():
    # CV-6.2, S-NC55: 327,452 ft3, tolerance 1
    pond = Pond.from_bottom(200, 115, 9.8, 3.0)
    assert storage.volume_gal(pond, 9.8) / GAL == pytest.approx(327_452, abs=1)
    from_top = Pond.from_top(258.8, 173.8, 9.8, (3, 3), (3, 3))
    assert storage.volume_gal(from_top, 9.8) == pytest.approx(storage.volume_gal(pond, 9.8))


def test_pond_formula_from_bottom_dimensions():
    # S-10A2: V = 4 z2 d3 / 3 + z BL d2 + z BW d2 + BW BL d
    z, d, length, width = 2.5, 7.0, 180.0, 90.0
    printed = 4 * z**2 * d**3 / 3 + z * length * d**2 + z * width * d**2 + width * length * d
    pond = Pond.from_bottom(length, width, 12, z)
    assert storage.volume_gal(pond, d) / GAL == pytest.approx(printed, rel=1e-12)
    assert storage.surface_sqft(pond, d) == (length + 2 * z * d) * (width + 2 * z * d)


def test_deep_pit_per_foot():
    # CV-6.4, S-MNP: 50 x 192 ft pit, 71,808 gal per ft (printed 71,800; 7.48 gal per ft3)
    per_ft = storage.volume_gal(Rectangular(192, 50, 8), 1)
    assert per_ft == pytest.approx(71_808, rel=1e-4)
    assert 404_352 / per_ft == pytest.approx(5.63, abs=0.005)


def test_round_tank():
    # S-MOTANK: 0.785 D2 h
    tank = VerticalCylinder(80, 12)
    assert storage.volume_gal(tank, 12) / GAL == pytest.approx(0.785 * 80**2 * 12, rel=1e-3)


def test_unequal_slopes_use_the_sum_of_both_sides():
    even = Pond(100, 60, 8, 3, 3, 2, 2)
    uneven = Pond(100, 60, 8, 4, 2, 1, 3)
    assert storage.volume_gal(uneven, 8) == storage.volume_gal(even, 8)


@given(shape=SHAPES, share=st.floats(0.01, 1))
def test_volume_is_the_integral_of_the_surface(shape, share):
    low = shape.rows[0][0] if isinstance(shape, StageTable) else 0.0
    depth = low + share * (shape.depth_ft - low)
    edges = [low, depth]
    if isinstance(shape, StageTable):
        edges = sorted({low, depth, *(d for d, _ in shape.rows if d < depth)})
    total = 0.0
    for a, b in pairwise(edges):
        nodes, weights = np.polynomial.legendre.leggauss(5)
        at = (b - a) / 2 * nodes + (a + b) / 2
        total += (
            (b - a)
            / 2
            * sum(w * storage.surface_sqft(shape, d) for w, d in zip(weights, at, strict=True))
        )
    assert storage.volume_gal(shape, depth) / GAL == pytest.approx(total, rel=1e-9)


@given(shape=SHAPES, share=st.floats(0, 1))
def test_depth_is_the_inverse_of_volume(shape, share):
    depth = share * shape.depth_ft
    assert storage.depth_ft(shape, storage.volume_gal(shape, depth)) == pytest.approx(
        depth, abs=1e-6
    )


@given(shape=SHAPES, a=st.floats(0, 1), b=st.floats(0, 1))
def test_more_depth_is_never_less_volume(shape, a, b):
    low, high = sorted((a, b))
    assert storage.volume_gal(shape, low * shape.depth_ft) <= storage.volume_gal(
        shape, high * shape.depth_ft
    )


@pytest.mark.parametrize(
    "shape", [Rectangular(10, 10, 8), Pond.from_bottom(10, 10, 8, 2), VerticalCylinder(10, 8),
              StageTable(((1, 100), (8, 900)))]
)  # fmt: skip
def test_a_depth_outside_the_storage_is_refused(shape):
    assert storage.volume_gal(shape, 8) > 0
    for depth in (8.001, -0.001, math.nan):
        with pytest.raises(StorageShapeError, match="outside this storage"):
            storage.volume_gal(shape, depth)
    with pytest.raises(StorageShapeError, match="outside what this storage holds"):
        storage.depth_ft(shape, storage.volume_gal(shape, 8) * 1.01)
    with pytest.raises(StorageShapeError, match="outside what this storage holds"):
        storage.depth_ft(shape, -1)


def test_full_and_empty_are_inside():
    pond = Pond.from_bottom(100, 60, 8, 2)
    assert storage.depth_ft(pond, 0) == pytest.approx(0, abs=1e-9)
    assert storage.depth_ft(pond, storage.volume_gal(pond, 8)) == pytest.approx(8)


@pytest.mark.parametrize(
    "build",
    [
        lambda: Rectangular(0, 10, 8),
        lambda: Rectangular(10, math.nan, 8),
        lambda: VerticalCylinder(10, -1),
        lambda: Pond.from_bottom(10, 10, 0, 2),
        lambda: Pond.from_bottom(10, 10, 8, -1),
        lambda: Pond.from_top(20, 20, 8, (3, 3), (3, 3)),
        lambda: StageTable(((0, 0),)),
        lambda: StageTable(((0, 0), (1, 100), (1, 200))),
        lambda: StageTable(((0, 0), (1, 100), (2, 90))),
    ],
)
def test_impossible_shapes_are_refused(build):
    with pytest.raises(StorageShapeError):
        build()


def test_stage_table_is_straight_between_its_rows():
    table = StageTable(((0, 0), (2, 50_000), (5, 200_000)))
    assert storage.volume_gal(table, 1) == 25_000
    assert storage.volume_gal(table, 3.5) == 125_000
    assert storage.surface_sqft(table, 4) == pytest.approx(50_000 / GAL)
    assert storage.depth_ft(table, 125_000) == 3.5
