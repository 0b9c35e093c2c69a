"""A storage cut open: its shape to scale, its level, the heights that matter."""

from collections.abc import Iterator, Sequence
from math import ceil

from reportlab.graphics.shapes import Drawing, Shape

from farmrecords.drawing.ink import (
    ACCENT,
    INK,
    LABEL_SIZE,
    SOFT,
    grouped,
    line,
    outline,
    polyline,
    sheet,
    text,
    text_width,
)
from farmrecords.drawing.inputs import (
    ENGLISH,
    EarthenPond,
    LevelMark,
    Point,
    RectangularTank,
    StorageShape,
    UprightTank,
    Words,
)
from farmrecords.drawing.storages import LEADER, height_marks, mark_words

FOOT = 2 * LABEL_SIZE + 8
HEAD = LABEL_SIZE + 6
BERM = 12.0  # points of level ground drawn beside a pond
FLATTEST = 44.0  # points; a flatter section is drawn higher by a whole number of times, and says so


def storage_shape(
    shape: StorageShape,
    *,
    level_ft: float | None = None,
    marks: Sequence[LevelMark] = (),
    width: float = 460,
    height: float = 200,
    words: Words = ENGLISH,
) -> Drawing:
    """Cross-section to scale with the level and the heights that matter.

    A shape too flat to read is drawn a whole number of times higher; the drawing then says so.
    """
    length_ft = top_length_ft(shape)
    if not (length_ft > 0 and shape.depth_ft > 0):
        raise ValueError(
            f"A storage needs a length and a depth above zero feet; given {length_ft} and "
            f"{shape.depth_ft}. Enter both."
        )
    left = text_width(f"{grouped(shape.depth_ft)} {words.feet}") + BERM + 16
    names = [text_width(mark_words(mark, words)) for mark in marks]
    right = max(names, default=0) + BERM + LEADER + 3
    room_high = height - HEAD - FOOT
    per_ft = min((width - left - right) / length_ft, room_high / shape.depth_ft)
    flat = shape.depth_ft * per_ft
    times = max(1, min(ceil(FLATTEST / flat), int(room_high / flat)))
    drawing = sheet(width, FOOT + flat * times + HEAD)
    section = Section(shape, left, FOOT, per_ft, per_ft * times)
    parts: list[Shape] = [
        *section.filled(level_ft, words),
        *section.walls(),
        *height_marks(section.span, section.right + BERM, FOOT, section.up, marks, words),
        *section.sizes(words),
    ]
    if times > 1:
        parts.append(text(left, 2, words.times_height.format(times=times), colour=SOFT))
    for part in parts:
        drawing.add(part)
    return drawing


def top_length_ft(shape: StorageShape) -> float:
    if isinstance(shape, RectangularTank):
        return shape.length_ft
    return shape.diameter_ft if isinstance(shape, UprightTank) else shape.top_length_ft


class Section:
    """Places feet of one storage on the paper: `across` and `up` points for one foot."""

    def __init__(
        self, shape: StorageShape, left: float, bottom: float, across: float, up: float
    ) -> None:
        self.shape, self.left, self.bottom = shape, left, bottom
        self.across, self.up = across, up
        self.length_ft = top_length_ft(shape)
        self.right = left + self.length_ft * across
        self.top = bottom + shape.depth_ft * up
        if isinstance(shape, EarthenPond) and self.inset_ft(0) * 2 >= self.length_ft:
            raise ValueError(
                f"A pond {shape.top_length_ft:g} ft long with sides of {shape.side_slope:g} to 1 "
                f"closes above {shape.depth_ft:g} ft. Check length, depth and slope."
            )

    def inset_ft(self, height_ft: float) -> float:
        """How far the wall stands in from the top edge at this height above the floor."""
        if isinstance(self.shape, EarthenPond):
            return (self.shape.depth_ft - height_ft) * self.shape.side_slope
        return 0.0

    def ends(self, height_ft: float) -> tuple[Point, Point]:
        """Left and right wall at a height, on the paper."""
        inset = self.inset_ft(height_ft) * self.across
        y = self.bottom + height_ft * self.up
        return (self.left + inset, y), (self.right - inset, y)

    def span(self, height_ft: float) -> tuple[float, float]:
        (left, _), (right, _) = self.ends(min(height_ft, self.shape.depth_ft))
        return left, right

    def filled(self, level_ft: float | None, words: Words) -> Iterator[Shape]:
        if level_ft is None or level_ft <= 0:
            return
        shown_ft = min(level_ft, self.shape.depth_ft)
        low_left, low_right = self.ends(0)
        up_left, up_right = self.ends(shown_ft)
        ring = [low_left, low_right, up_right, up_left]
        yield outline([[ring]], stroke=None, fill=ACCENT, opacity=0.22)
        yield line(up_left, up_right, colour=ACCENT, width=1.4)
        named = f"{words.level} {grouped(level_ft)} {words.feet}"
        if text_width(named) + 40 < up_right[0] - up_left[0]:
            below = up_left[1] - self.bottom > LABEL_SIZE + 6
            y = up_left[1] - LABEL_SIZE - 2 if below else up_left[1] + 4
            yield text(up_left[0] + 30, y, named)

    def walls(self) -> Iterator[Shape]:
        low_left, low_right = self.ends(0)
        high_left, high_right = self.ends(self.shape.depth_ft)
        if isinstance(self.shape, EarthenPond):
            high_left_out = (high_left[0] - BERM, high_left[1])
            high_right_out = (high_right[0] + BERM, high_right[1])
            way = [high_left_out, high_left, low_left, low_right, high_right, high_right_out]
        else:
            way = [high_left, low_left, low_right, high_right]
        yield polyline(way, colour=INK, width=1.8)
        if isinstance(self.shape, UprightTank):
            yield line(
                ((self.left + self.right) / 2, self.bottom - 3),
                ((self.left + self.right) / 2, self.top + 5),
                colour=SOFT, width=0.5, dash=(8, 2, 1, 2),
            )  # fmt: skip

    def sizes(self, words: Words) -> Iterator[Shape]:
        """Length below and depth at the left, each between two small strokes."""
        y = self.bottom - 8
        yield line((self.left, y), (self.right, y), colour=SOFT, width=0.5)
        for x in (self.left, self.right):
            yield line((x, y - 3), (x, y + 3), colour=SOFT, width=0.5)
        sign = "⌀ " if isinstance(self.shape, UprightTank) else ""
        across = f"{sign}{grouped(self.length_ft)} {words.feet}"
        middle = (self.left + self.right) / 2
        yield text(middle, y - LABEL_SIZE - 1, across, colour=SOFT, anchor="middle")
        x = self.left - (BERM + 6 if isinstance(self.shape, EarthenPond) else 8)
        yield line((x, self.bottom), (x, self.top), colour=SOFT, width=0.5)
        for edge in (self.bottom, self.top):
            yield line((x - 3, edge), (x + 3, edge), colour=SOFT, width=0.5)
        deep = f"{grouped(self.shape.depth_ft)} {words.feet}"
        at = (self.bottom + self.top) / 2 - 3.5
        yield text(x - 5, at, deep, colour=SOFT, anchor="end")
