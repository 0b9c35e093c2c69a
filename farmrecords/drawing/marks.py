"""The four outcome marks: filled disc, barred disc, open ring, small tick."""

from math import asin, cos, pi, sin

from reportlab.graphics.shapes import Circle, Drawing, Polygon

from farmrecords.drawing.ink import INK, line, register_fonts
from farmrecords.drawing.inputs import Outcome


def mark(outcome: Outcome, size: float = 12) -> Drawing:
    """The mark of an outcome. The word always stands beside it."""
    register_fonts()
    drawing = Drawing(size, size)
    middle, radius = size / 2, size * 5 / 12
    if outcome == "met":
        drawing.add(Circle(middle, middle, radius, fillColor=INK, strokeColor=None))
    elif outcome == "not_met":
        for up in (1, -1):
            points = cap(middle, radius, up)
            drawing.add(Polygon(points, fillColor=INK, strokeColor=None))
    elif outcome == "cannot_tell":
        drawing.add(
            Circle(
                middle,
                middle,
                size * 4.2 / 12,
                fillColor=None,
                strokeColor=INK,
                strokeWidth=size * 1.6 / 12,
            )
        )
    elif outcome == "notice":
        drawing.add(
            line((middle, size * 1.5 / 12), (middle, size * 10.5 / 12), width=size * 2 / 12)
        )
    else:
        raise ValueError(
            f"There is no mark for {outcome!r}; known are met, not_met, cannot_tell, notice."
        )
    return drawing


def cap(middle: float, radius: float, up: int, steps: int = 24) -> list[float]:
    """The part of a disc above (up 1) or below (up -1) its bar, as points."""
    edge = asin(0.2)
    points = []
    for step in range(steps + 1):
        angle = edge + (pi - 2 * edge) * step / steps
        points += [middle + radius * cos(angle), middle + up * radius * sin(angle)]
    return points
