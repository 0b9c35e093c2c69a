"""Spread patterns: trays where they stood, overlap above them, the width between the halves."""

import itertools

import pytest
from reportlab.graphics.shapes import Group, Line, PolyLine, Rect, String

from farmrecords.drawing import spread_pattern, to_svg
from farmrecords.drawing.ink import ACCENT

TRAYS = [(-10.0, 1.0), (-5.0, 2.0), (0.0, 4.0), (5.0, 2.0), (10.0, 0.0)]
EVEN = [(x, 4.0) for x, _ in TRAYS]


def bars(drawing: object) -> list[Rect]:
    return [s for s in drawing.contents if isinstance(s, Rect)][:-1]  # type: ignore[attr-defined]


def words(drawing: object) -> list[str]:
    groups = [s for s in drawing.contents if isinstance(s, Group)]  # type: ignore[attr-defined]
    shapes = [*drawing.contents, *(inner for group in groups for inner in group.contents)]  # type: ignore[attr-defined]
    return [s.text for s in shapes if isinstance(s, String)]


def test_each_tray_that_caught_something_is_a_bar_as_high_as_its_amount() -> None:
    found = bars(spread_pattern(TRAYS))
    assert len(found) == 4
    assert (
        found[2].height == pytest.approx(2 * found[1].height) == pytest.approx(4 * found[0].height)
    )
    steps = [b.x - a.x for a, b in itertools.pairwise(found)]
    assert steps == pytest.approx([steps[0]] * 3)


def test_the_overlap_is_one_line_with_its_spacing_in_words() -> None:
    drawing = spread_pattern(TRAYS, overlap=EVEN, pass_spacing_ft=10)
    (drawn,) = [s for s in drawing.contents if isinstance(s, PolyLine)]
    heights = drawn.points[1::2]
    assert heights == pytest.approx([heights[0]] * len(EVEN))
    assert "with neighbouring passes 10 ft apart" in words(drawing)
    passes = [s for s in drawing.contents if isinstance(s, Line) and s.strokeColor is ACCENT]
    assert len(passes) == 3 + 1  # at -10, 0 and 10 ft, and one in the key


def test_without_overlap_there_is_no_line() -> None:
    drawing = spread_pattern(TRAYS)
    assert not [s for s in drawing.contents if isinstance(s, PolyLine)]
    assert not [told for told in words(drawing) if "neighbouring" in told]


def test_the_effective_width_lies_at_half_of_the_greatest_tray() -> None:
    drawing = spread_pattern(TRAYS, half_rate=(-5.0, 5.0))
    assert "effective width 10 ft" in words(drawing)
    found = bars(drawing)
    half = found[2].y + found[2].height / 2
    level = [s for s in drawing.contents if isinstance(s, Line) and s.strokeWidth == 1.2]
    assert level[0].y1 == level[0].y2 == pytest.approx(half)


@pytest.mark.parametrize("width", [358, 720])
def test_the_picture_is_safe_svg_that_stays_on_its_paper(width: float) -> None:
    drawing = spread_pattern(
        TRAYS, overlap=EVEN, pass_spacing_ft=10, half_rate=(-5, 5), width=width
    )
    svg = to_svg(drawing, "Pattern", "Trays and overlap.")
    assert "style=" not in svg
    for shape in drawing.contents:
        if isinstance(shape, Rect):
            assert 0 <= shape.x <= shape.x + shape.width <= width


@pytest.mark.parametrize(
    "trays", [[(0.0, 1.0)], [(0.0, 1.0), (5.0, -1.0)], [(0.0, 1.0), (5.0, float("nan"))],
              [(0.0, 1.0), (0.0, 2.0)]]
)  # fmt: skip
def test_trays_that_make_no_pattern_are_refused(trays: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="tray"):
        spread_pattern(trays)
