"""Level lines and storage sections: heights where they belong, shapes to scale."""

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.graphics.shapes import Circle, Line, Path, PolyLine, String

from farmrecords.drawing import (
    EarthenPond,
    LevelMark,
    LevelReading,
    Period,
    RectangularTank,
    UprightTank,
    level_line,
    mark,
    storage_shape,
)
from farmrecords.drawing.ink import ACCENT, INK
from farmrecords.drawing.storages import FOOT, HEAD, LINE_GAP, spread_apart

YEAR = Period.calendar_year(2025)
HEIGHT = 230.0


def weekly(*feet: float) -> list[LevelReading]:
    return [LevelReading(date(2025, 5, 2) + timedelta(7 * i), f) for i, f in enumerate(feet)]


def dots(drawing: object) -> list[Circle]:
    return [
        s
        for s in drawing.contents  # type: ignore[attr-defined]
        if isinstance(s, Circle) and s.fillColor is ACCENT
    ]


def words(drawing: object) -> list[str]:
    return [s.text for s in drawing.contents if isinstance(s, String)]  # type: ignore[attr-defined]


def test_a_level_stands_at_its_share_of_the_scale() -> None:
    drawing = level_line(YEAR, weekly(0, 5, 10), depth_ft=10, height=HEIGHT)
    strip = HEIGHT - HEAD - FOOT
    assert [d.cy - FOOT for d in dots(drawing)] == pytest.approx([0, strip / 2, strip])


def test_a_level_above_the_depth_stays_on_the_paper() -> None:
    drawing = level_line(YEAR, weekly(9, 11), depth_ft=10, height=HEIGHT)
    assert max(d.cy for d in dots(drawing)) <= HEIGHT - HEAD


def test_a_mark_is_a_broken_line_at_its_height_with_name_and_feet() -> None:
    drawing = level_line(
        YEAR, weekly(5, 5), depth_ft=10, marks=[LevelMark("pump-out line", 5)], height=HEIGHT
    )
    (broken,) = [s for s in drawing.contents if type(s) is Line and s.strokeDashArray]
    assert broken.y1 == broken.y2 == pytest.approx(dots(drawing)[0].cy)
    assert "pump-out line 5 ft" in words(drawing)


def test_missed_readings_are_open_rings_and_only_those_of_the_period() -> None:
    missed = [date(2025, 5, 9), date(2025, 5, 9), date(2026, 1, 2)]
    drawing = level_line(YEAR, weekly(5), depth_ft=10, missed_on=missed)
    rings = [s for s in drawing.contents if isinstance(s, Circle) and s.fillColor is None]
    assert len(rings) == 2  # one on its day, one in the key
    assert "no reading" in words(drawing)


def test_no_readings_draw_no_line() -> None:
    drawing = level_line(YEAR, [], depth_ft=10)
    assert not [s for s in drawing.contents if isinstance(s, PolyLine)]


@pytest.mark.parametrize("depth", [0, -1, float("nan")])
def test_a_depth_that_is_not_above_zero_is_refused(depth: float) -> None:
    with pytest.raises(ValueError, match="depth of a storage must be above zero"):
        level_line(YEAR, [], depth_ft=depth)


@given(st.lists(st.floats(0, 200), max_size=8).map(sorted))
def test_labels_keep_their_order_and_distance(wanted: list[float]) -> None:
    moved = spread_apart(wanted, LINE_GAP)
    assert len(moved) == len(wanted)
    gaps = [b - a for a, b in pairwise(moved)]
    assert all(gap >= LINE_GAP - 1e-6 for gap in gaps)


def test_labels_with_room_are_not_moved() -> None:
    assert spread_apart([10, 40, 90], 12) == [10, 40, 90]


def wall_of(drawing: object) -> PolyLine:
    return next(s for s in drawing.contents if isinstance(s, PolyLine))  # type: ignore[attr-defined]


def test_a_tank_is_drawn_to_one_scale() -> None:
    """80 ft across and 16 ft deep: five times wider than high."""
    xs_ys = wall_of(storage_shape(UprightTank(80, 16))).points
    wide = max(xs_ys[::2]) - min(xs_ys[::2])
    high = max(xs_ys[1::2]) - min(xs_ys[1::2])
    assert wide / high == pytest.approx(5)
    assert not any("times" in text for text in words(storage_shape(UprightTank(80, 16))))


def test_a_flat_storage_is_drawn_higher_a_whole_number_of_times_and_says_so() -> None:
    drawing = storage_shape(RectangularTank(400, 8))
    xs_ys = wall_of(drawing).points
    wide = max(xs_ys[::2]) - min(xs_ys[::2])
    high = max(xs_ys[1::2]) - min(xs_ys[1::2])
    times = high / wide * 400 / 8
    assert times == pytest.approx(round(times))
    assert times > 1
    assert f"height drawn {round(times)} times" in words(drawing)


def test_a_pond_narrows_by_its_slope() -> None:
    """200 ft at the top, 10 ft deep, 3 to 1: each side stands in 30 ft, the floor is 140 ft."""
    points = wall_of(storage_shape(EarthenPond(200, 10, 3))).points
    xs = points[::2]
    top, floor = xs[4] - xs[1], xs[3] - xs[2]
    assert floor / top == pytest.approx(140 / 200)


def test_liquid_fills_to_its_level_between_the_walls() -> None:
    """At half of 10 ft the same pond is 170 ft wide."""
    drawing = storage_shape(EarthenPond(200, 10, 3), level_ft=5)
    (liquid,) = [s for s in drawing.contents if isinstance(s, Path)]
    xs, ys = liquid.points[::2], liquid.points[1::2]
    wall = wall_of(drawing).points
    top = wall[8] - wall[2]
    assert (xs[2] - xs[3]) / top == pytest.approx(170 / 200)
    assert (max(ys) - min(ys)) / (max(wall[1::2]) - min(wall[1::2])) == pytest.approx(0.5)
    assert "level 5 ft" in words(drawing)


@pytest.mark.parametrize(("level", "filled"), [(None, 0), (0, 0), (0.1, 1), (99, 1)])
def test_an_unknown_level_fills_nothing_and_an_overfull_one_stops_at_the_rim(
    level: float | None, filled: int
) -> None:
    drawing = storage_shape(RectangularTank(100, 10), level_ft=level)
    found = [s for s in drawing.contents if isinstance(s, Path)]
    assert len(found) == filled
    rim = max(wall_of(drawing).points[1::2])
    assert all(max(path.points[1::2]) <= rim + 1e-6 for path in found)


@pytest.mark.parametrize(
    "shape", [RectangularTank(0, 8), UprightTank(80, 0), EarthenPond(-1, 8, 2)]
)
def test_a_storage_without_size_is_refused(shape: RectangularTank) -> None:
    with pytest.raises(ValueError, match="length and a depth above zero"):
        storage_shape(shape)


@pytest.mark.parametrize(("length", "fits"), [(60.0, False), (60.5, True)])
def test_a_pond_whose_sides_meet_above_its_floor_is_refused(length: float, fits: bool) -> None:
    """10 ft deep at 3 to 1 takes 30 ft on each side."""
    pond = EarthenPond(length, 10, 3)
    if fits:
        assert storage_shape(pond).width > 0
    else:
        with pytest.raises(ValueError, match="closes above 10 ft"):
            storage_shape(pond)


def test_the_four_marks_differ_in_shape_not_in_colour() -> None:
    shapes = {
        outcome: [type(s).__name__ for s in mark(outcome).contents]
        for outcome in ("met", "not_met", "cannot_tell", "notice")
    }
    assert shapes == {
        "met": ["Circle"],
        "not_met": ["Polygon", "Polygon"],
        "cannot_tell": ["Circle"],
        "notice": ["Line"],
    }
    assert mark("met").contents[0].fillColor is INK
    assert mark("cannot_tell").contents[0].fillColor is None


def test_the_bar_of_not_met_is_open_across_the_disc() -> None:
    upper, lower = mark("not_met", size=12).contents
    assert min(upper.points[1::2]) - max(lower.points[1::2]) == pytest.approx(2)


def test_an_unknown_outcome_has_no_mark() -> None:
    with pytest.raises(ValueError, match="no mark for 'fine'"):
        mark("fine")  # type: ignore[arg-type]
