"""Swaths of tracks whose ground is known beforehand."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.calculations.geodesy import FT_M, LocalPlane, area_ac
from farmrecords.calculations.swath import (
    SwathError,
    TrackPoint,
    footprint,
    possible_footprint,
    track_pieces,
)

PLANE = LocalPlane(-89.5, 43.0)
AC_SQFT = 43560


def track(metres, seconds=2.0, on=True, plane=PLANE):
    places = plane.to_lonlat(np.array(metres, dtype=float))
    return [TrackPoint(i * seconds, lon, lat, on) for i, (lon, lat) in enumerate(places)]


def line(length_m, step=4.0, bearing=0.0, start=(0.0, 0.0)):
    along = np.arange(0, length_m + 1e-9, step)[:, None]
    heading = np.array([math.sin(math.radians(bearing)), math.cos(math.radians(bearing))])
    return np.array(start) + along * heading


def serpentine(lanes, length_m, spacing_m, step=4.0):
    places = []
    for lane in range(lanes):
        ys = np.arange(0, length_m + 1e-9, step)
        ys = ys if lane % 2 == 0 else ys[::-1]
        places.extend([(lane * spacing_m, y) for y in ys])
    return np.array(places)


def test_straight_pass_covers_length_times_width():
    ground = footprint(track(line(400)), 30)
    expected = 400 / FT_M * 30 / AC_SQFT
    assert ground.length_ft == pytest.approx(400 / FT_M, rel=1e-6)
    assert ground.covered_ac == pytest.approx(expected, rel=1e-5)
    assert ground.swept_ac == pytest.approx(expected, rel=1e-5)
    assert ground.overlap_ac == pytest.approx(0, abs=1e-5)


@pytest.mark.parametrize("side", ["left", "right"])
def test_one_sided_pass_covers_the_same_acres_on_its_side(side):
    ground = footprint(track(line(400)), 30, side)
    assert ground.covered_ac == pytest.approx(400 / FT_M * 30 / AC_SQFT, rel=1e-5)
    east = PLANE.project(ground.geometry).centroid.x
    assert east == pytest.approx((-1 if side == "left" else 1) * 15 * FT_M, abs=0.01)


@given(
    bearing=st.floats(0, 360),
    dx=st.floats(-2000, 2000),
    dy=st.floats(-2000, 2000),
    side=st.sampled_from(["both", "left", "right"]),
)
def test_turning_and_moving_a_track_does_not_change_its_acres(bearing, dx, dy, side):
    path = serpentine(3, 100, 9)
    angle = math.radians(bearing)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    at_home = footprint(track(path), 30, side)
    moved = footprint(track(path @ turn.T + [dx, dy]), 30, side)
    assert moved.covered_ac == pytest.approx(at_home.covered_ac, rel=2e-3)
    assert moved.length_ft == pytest.approx(at_home.length_ft, rel=1e-4)


def test_one_sided_machine_going_back_and_forth_covers_one_strip_twice():
    # discharge to the left: up on x=0 throws west, back on x=-9.144 throws east: the same strip
    up = line(300)
    back = line(300, start=(-30 * FT_M, 0.0))[::-1]
    ground = footprint(track(np.vstack([up, back])), 30, "left")
    one_strip = 300 / FT_M * 30 / AC_SQFT
    assert ground.covered_ac == pytest.approx(one_strip, rel=0.02)  # and a wedge at the turn
    assert ground.swept_ac == pytest.approx(2 * one_strip, rel=0.05)
    assert ground.overlap_ac == pytest.approx(one_strip, rel=0.1)


def reference_ground(places, width_m):
    """One rectangle per stretch, made one by one with plain trigonometry: the slow, sure way."""
    shapes = []
    for (x1, y1), (x2, y2) in pairwise(places):
        length = math.hypot(x2 - x1, y2 - y1)
        nx, ny = -(y2 - y1) / length * width_m, (x2 - x1) / length * width_m
        corners = [(x1, y1), (x2, y2), (x2 + nx, y2 + ny), (x1 + nx, y1 + ny)]
        shapes.append(shapely.Polygon(corners))
    return shapely.union_all(shapes)


def test_serpentine_one_sided_ground_stays_with_the_rectangles():
    rng = np.random.default_rng(7)
    places = serpentine(6, 150, 9.144, step=3.0)
    noisy = places + rng.normal(0, 0.1, places.shape)
    ours = PLANE.project(footprint(track(noisy), 30, "left").geometry)
    sure = reference_ground(places, 30 * FT_M)
    assert ours.area == pytest.approx(sure.area, rel=0.05)
    # wedges outside the turns are 3.6 % of the ground, a decimetre of noise adds under 2 %
    assert ours.symmetric_difference(sure).area / sure.area < 0.06
    clean = PLANE.project(footprint(track(places), 30, "left").geometry)
    assert sure.difference(clean.buffer(0.01)).area == pytest.approx(0, abs=0.01)  # no pass is lost


def test_discharge_off_leaves_a_gap():
    places = track(line(400))
    half_off = [TrackPoint(p.at_s, p.lon, p.lat, on=not 25 <= i < 75) for i, p in enumerate(places)]
    ground = footprint(half_off, 30)
    assert ground.length_ft == pytest.approx(200 / FT_M, rel=0.03)
    assert len(shapely.get_parts(ground.geometry)) == 2


@pytest.mark.parametrize(("gap_s", "pieces"), [(10.0, 1), (10.1, 2)])
def test_a_time_gap_above_10_s_cuts_the_track(gap_s, pieces):
    places = PLANE.to_lonlat(line(40, step=10))
    times = [0, 2, 2 + gap_s, 4 + gap_s, 6 + gap_s]
    points = [TrackPoint(t, lon, lat) for t, (lon, lat) in zip(times, places, strict=True)]
    assert len(track_pieces(points, PLANE)) == pieces


@pytest.mark.parametrize(("jump_m", "pieces"), [(29.9, 1), (30.1, 2)])
def test_a_jump_above_15_m_per_s_cuts_the_track(jump_m, pieces):
    places = PLANE.to_lonlat(np.array([[0, 0], [0, 5], [0, 5 + jump_m], [0, 10 + jump_m]]))
    points = [TrackPoint(i * 2.0, lon, lat) for i, (lon, lat) in enumerate(places)]
    assert len(track_pieces(points, PLANE)) == pieces


@pytest.mark.parametrize(("jump_m", "pieces"), [(149, 1), (151, 2)])
def test_without_times_only_a_long_jump_cuts_the_track(jump_m, pieces):
    places = PLANE.to_lonlat(np.array([[0, 0], [0, 5], [0, 5 + jump_m], [0, 10 + jump_m]]))
    points = [TrackPoint(None, lon, lat) for lon, lat in places]
    assert len(track_pieces(points, PLANE)) == pieces


def test_time_running_backwards_cuts_the_track():
    places = PLANE.to_lonlat(line(30, step=10))
    points = [TrackPoint(t, lon, lat) for t, (lon, lat) in zip([0, 2, 1, 3], places, strict=True)]
    assert len(track_pieces(points, PLANE)) == 2


def test_standing_still_with_receiver_noise_adds_little_length():
    rng = np.random.default_rng(3)
    standing = rng.normal(0, 0.4, (200, 2))
    places = np.vstack([line(100), np.array([0, 100]) + standing])
    ground = footprint(track(places), 30)
    assert ground.length_ft == pytest.approx(100 / FT_M, rel=0.05)


def test_unknown_side_takes_both_sides_at_full_reach():
    points = track(line(400))
    covered = area_ac(footprint(points, 30, "left").geometry)
    assert area_ac(possible_footprint(points, 30, "unknown")) == pytest.approx(
        2 * covered, rel=1e-4
    )
    known = possible_footprint(points, 30, "left", throw_ft=50)
    assert area_ac(known) == pytest.approx(covered * 50 / 30, rel=1e-4)
    short = possible_footprint(points, 30, "left", throw_ft=10)  # never less than the width
    assert area_ac(short) == pytest.approx(covered, rel=1e-4)


def test_possible_ground_holds_the_covered_ground():
    points = track(serpentine(4, 120, 9))
    for side in ("left", "right"):
        covered = PLANE.project(footprint(points, 30, side).geometry)
        possible = PLANE.project(possible_footprint(points, 30, "unknown"))
        assert covered.difference(possible.buffer(0.5)).area < 0.01 * covered.area


@pytest.mark.parametrize("width", [0, -1, 200.1, float("nan")])
def test_impossible_width_is_refused(width):
    with pytest.raises(SwathError, match="width"):
        footprint(track(line(40)), width)


def test_widest_swath_is_taken():
    assert footprint(track(line(40)), 200).covered_ac > 0


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([], "at least two"),
        ([TrackPoint(0, -89.5, 43.0)], "at least two"),
        (track(line(40), on=False), "discharge on"),
        ([TrackPoint(0, float("nan"), 43.0), TrackPoint(1, -89.5, 43.0)], "not a place"),
        ([TrackPoint(0, -89.5, 43.0), TrackPoint(1, -89.5, 143.0)], "Position 2 .* not a place"),
    ],
)
def test_track_without_ground_is_refused(points, words):
    with pytest.raises(ValueError, match=words):
        footprint(points, 30)
    with pytest.raises(ValueError, match=words):
        possible_footprint(points, 30, "both")


@pytest.mark.parametrize(("step_m", "kept"), [(2.51, 41), (2.49, 21)])
def test_positions_are_thinned_only_where_they_lie_nearer_than_2_5_m(step_m, kept):
    """2.5 m is the project's own bound; a step just below it leaves every second position."""
    along = line(40 * step_m, step=step_m)
    (piece,) = track_pieces(track(along), PLANE)
    assert len(piece) == kept
