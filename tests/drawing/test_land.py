"""Field maps: hatching inside its ground, holes open, names apart, shades by amount."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.graphics.shapes import Line, Path, Polygon, PolyLine, Rect, String
from shapely import LineString
from shapely import Polygon as Ground

from farmrecords.drawing import Landmark, Swath, Track, Zone, field_map
from farmrecords.drawing.hatch import hatch_lines
from farmrecords.drawing.ink import BOLD, FONT, SOFT, round_down, round_up, text_width
from farmrecords.drawing.land_frame import Density
from farmrecords.drawing.land_words import Name, overlap, placed_names, places

SQUARE = [(0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0), (0.0, 0.0)]
HOLE = [(400.0, 400.0), (600.0, 400.0), (600.0, 600.0), (400.0, 600.0), (400.0, 400.0)]
FIELD = [[SQUARE, HOLE]]


def square(x: float, y: float, side: float) -> list[list[list[tuple[float, float]]]]:
    return [[[(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)]]]


def test_hatching_stays_inside_its_ground_and_out_of_its_holes() -> None:
    ground = Ground(SQUARE, [HOLE])
    found = hatch_lines(ground, 20)
    assert len(found) > 60
    for start, end in found:
        line = LineString([start, end])
        assert line.difference(ground.buffer(1e-6)).is_empty
        assert line.intersection(Ground(HOLE).buffer(-1e-6)).is_empty


def test_hatching_is_as_dense_as_asked() -> None:
    """Lines a distance s apart over a large square have a length of about its area over s."""
    length = sum(LineString(pair).length for pair in hatch_lines(Ground(SQUARE), 10))
    assert length == pytest.approx(1000 * 1000 / 10, rel=0.01)


def test_neighbouring_grounds_hatch_on_one_lattice() -> None:
    step = 10 * 2**0.5
    for ground in (Ground(SQUARE), Ground([(x + 1000, y) for x, y in SQUARE])):
        for (x, y), _end in hatch_lines(ground, 10):
            offset = (y - x) / step
            assert offset == pytest.approx(round(offset), abs=1e-6)


@given(st.floats(0.5, 40), st.floats(-500, 500), st.floats(-500, 500), st.floats(1, 400))
def test_any_box_is_hatched_within_itself(s: float, x: float, y: float, side: float) -> None:
    ring = square(x, y, side)[0][0]
    for points in hatch_lines(Ground(ring), s):
        for px, py in points:
            assert x - 1e-6 <= px <= x + side + 1e-6
            assert y - 1e-6 <= py <= y + side + 1e-6


def test_empty_ground_has_no_hatching() -> None:
    assert hatch_lines(Ground()) == []


def outlines(drawing: object) -> list[Path]:
    return [s for s in drawing.contents if isinstance(s, Path)]  # type: ignore[attr-defined]


def test_the_boundary_keeps_its_hole_as_a_second_ring() -> None:
    (boundary,) = outlines(field_map(FIELD))
    assert boundary.operators.count(0) == 2
    assert boundary.operators.count(3) == 2
    assert boundary.fillMode == 0  # even-odd


def test_the_field_keeps_its_proportions_and_stands_inside_the_paper() -> None:
    (boundary,) = outlines(field_map(square(0, 0, 1000), width=600, height=300))
    xs, ys = boundary.points[::2], boundary.points[1::2]
    assert max(xs) - min(xs) == pytest.approx(max(ys) - min(ys))
    assert min(xs) > 0
    assert max(xs) < 600
    assert min(ys) > 0
    assert max(ys) < 300


def hatch_of(drawing: object) -> list[Line]:
    return [
        s
        for s in drawing.contents  # type: ignore[attr-defined]
        if type(s) is Line and s.strokeColor is SOFT and s.x1 != s.x2 and s.strokeWidth == 0.6
    ]


def test_a_closed_zone_is_hatched_in_the_field_only_and_a_limited_one_is_not() -> None:
    zone = square(-200, -200, 500)
    closed = field_map(FIELD, zones=[Zone("well", zone)])
    (boundary,) = outlines(closed)
    left, bottom = min(boundary.points[::2]), min(boundary.points[1::2])
    key_top = 40
    inside = [s for s in hatch_of(closed) if min(s.y1, s.y2) > key_top]
    assert inside
    assert all(min(s.x1, s.x2) >= left - 0.01 for s in inside)
    assert all(min(s.y1, s.y2) >= bottom - 0.01 for s in inside)
    limited = field_map(FIELD, zones=[Zone("well", zone, closed=False)])
    assert hatch_of(limited) == []
    assert any(isinstance(s, PolyLine) and s.strokeDashArray for s in limited.contents)


def test_overlapping_closed_zones_are_hatched_once() -> None:
    one = Zone("", square(0, 0, 300))
    assert len(hatch_of(field_map(FIELD, zones=[one, one]))) == len(
        hatch_of(field_map(FIELD, zones=[one]))
    )


def test_a_heavier_swath_is_darker() -> None:
    swaths = [Swath(square(50 + 100 * i, 50, 80), 3000 + 1000.0 * i) for i in range(3)]
    shades = [p.fillOpacity for p in outlines(field_map(FIELD, swaths=swaths))[:3]]
    assert shades == sorted(set(shades))


@pytest.mark.parametrize(
    ("amounts", "steps"),
    [([], 0), ([5000], 1), ([5000, 5100], 1), ([5000, 5103], 2), ([1, 2, 3, 4, 5, 6], 4)],
)
def test_amounts_within_two_percent_share_one_shade(amounts: list[float], steps: int) -> None:
    assert Density.over(amounts).steps == steps


def test_the_least_and_the_most_fall_in_the_first_and_last_step() -> None:
    density = Density.over([1000, 2000, 3000, 5000])
    assert [density.step_of(a) for a in (1000, 1999, 2001, 5000)] == [0, 0, 1, 3]
    assert density.bounds() == [(1000, 2000), (2000, 3000), (3000, 4000), (4000, 5000)]


def test_a_swath_without_a_number_is_refused() -> None:
    with pytest.raises(ValueError, match="amount nan per acre"):
        field_map(FIELD, swaths=[Swath(square(0, 0, 10), float("nan"))])


def test_a_track_is_cut_at_the_edge_of_the_paper() -> None:
    far = Track([(-9000.0, 500.0), (9000.0, 500.0)])
    drawing = field_map(square(0, 0, 1000), tracks=[far], width=400, height=400)
    (way,) = [s for s in drawing.contents if isinstance(s, PolyLine) and len(s.points) == 4][:1]
    assert min(way.points[::2]) >= 0
    assert max(way.points[::2]) <= 400


@pytest.mark.parametrize("boundary", [[], [[SQUARE[:1] * 4]]])
def test_a_boundary_without_area_is_refused_in_plain_words(boundary: list) -> None:
    with pytest.raises(ValueError, match="boundary with some area"):
        field_map(boundary)


def test_a_corner_that_is_no_number_is_refused_with_its_place() -> None:
    with pytest.raises(ValueError, match=r"\(nan, 0\.0\)"):
        field_map([[[(float("nan"), 0.0), *SQUARE[1:]]]])


def test_a_boundary_that_crosses_itself_is_still_drawn() -> None:
    bow = [[[(0, 0), (100, 100), (100, 0), (0, 100), (0, 0)]]]
    assert outlines(field_map(bow))


def test_names_never_cover_each_other() -> None:
    crowd = [Landmark(f"tile inlet {i}", [(500.0 + 3 * i, 500.0)]) for i in range(12)]
    drawing = field_map(square(0, 0, 1000), landmarks=crowd, name="Long Bottom")
    shown = [s for s in drawing.contents if isinstance(s, String) and s.y > 60]
    boxes = [
        (s.x, s.y - 2, s.x + text_width(s.text, s.fontSize, s.fontName), s.y + s.fontSize - 2)
        for s in shown
        if s.text != "N"
    ]
    assert len(boxes) >= 8
    assert not any(overlap(one, other) for i, one in enumerate(boxes) for other in boxes[i + 1 :])


def test_a_name_without_room_is_left_out() -> None:
    name = Name("a very long name indeed, longer than the paper", (30, 30))
    assert list(placed_names([name], (0, 0, 60, 60))) == []


def test_the_nearest_places_are_tried_first() -> None:
    distances = [distance for _place, distance in places(Name("well", (0, 0)))]
    assert all(one <= two for one, two in pairwise(distances))


def test_the_scale_bar_has_the_length_of_its_feet() -> None:
    """On a map whose field of 1,000 ft is known in points, the bar follows by proportion."""
    drawing = field_map(square(0, 0, 1000), width=500, height=500)
    (boundary,) = outlines(drawing)
    per_ft = (max(boundary.points[::2]) - min(boundary.points[::2])) / 1000
    bar = next(s for s in drawing.contents if isinstance(s, Rect) and s.height == 4)
    assert any(
        isinstance(s, String) and s.text == "200 ft (61 m)" for s in drawing.contents
    )  # 200 ft are 60.96 m
    assert bar.width == pytest.approx(200 * per_ft)


def test_north_is_up() -> None:
    drawing = field_map(square(0, 0, 1000), landmarks=[Landmark("barn", [(500.0, 990.0)])])
    arrow = next(s for s in drawing.contents if isinstance(s, Polygon))
    assert arrow.points[1] == max(arrow.points[1::2])
    assert any(
        isinstance(s, String) and s.text == "N" and s.fontName == BOLD for s in drawing.contents
    )


@pytest.mark.parametrize(
    ("number", "up", "down"),
    [(1, 1, 1), (1.01, 1.5, 1), (0.21, 0.25, 0.2), (37_450, 40_000, 20_000), (99, 100, 50)],
)
def test_scales_end_on_round_figures(number: float, up: float, down: float) -> None:
    assert round_up(number) == pytest.approx(up)
    assert round_down(number) == pytest.approx(down)


def test_widths_are_those_of_the_vendored_font() -> None:
    assert text_width("") == 0
    assert text_width("ll") == pytest.approx(2 * text_width("l"))
    assert text_width("W", 20) == pytest.approx(2 * text_width("W", 10))
    assert text_width("gallons", 10, BOLD) > text_width("gallons", 10, FONT)
