"""A spread pattern: what the trays caught, what lies there with neighbouring passes, the width."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import isfinite

from reportlab.graphics.shapes import Drawing, Shape

from farmrecords.drawing.ink import (
    ACCENT,
    LABEL_SIZE,
    RULE,
    SOFT,
    box,
    grouped,
    label,
    line,
    polyline,
    round_down,
    round_up,
    sheet,
    text,
    text_width,
)
from farmrecords.drawing.inputs import ENGLISH, Point, Words

FOOT = 2 * LABEL_SIZE + 10
HEAD = 2 * LABEL_SIZE + 14
BAR_SHARE = 0.7  # of the distance between two trays


def spread_pattern(
    trays: Sequence[Point],
    *,
    overlap: Sequence[Point] = (),
    pass_spacing_ft: float | None = None,
    half_rate: tuple[float, float] | None = None,
    width: float = 720,
    height: float = 230,
    words: Words = ENGLISH,
) -> Drawing:
    """Trays as bars at their feet from the track; the amount with neighbouring passes as a line.

    `trays` and `overlap` are points of feet from the track (left below 0) and amount. `half_rate`
    are the two places, in feet, where the rate is half of the greatest; between them lies the
    effective width. Passes `pass_spacing_ft` apart are marked on the axis.
    """
    if len(trays) < 2 or not all(isfinite(x) and isfinite(y) and y >= 0 for x, y in trays):
        raise ValueError("A pattern needs two trays or more, each with an amount of 0 or more.")
    drawing = sheet(width, height)
    axes = Axes(trays, overlap, width, height)
    parts: list[Shape] = [
        *axes.scale(words),
        *axes.bars(trays),
        *axes.width_mark(trays, half_rate, words),
        *axes.passes(pass_spacing_ft),
        *axes.whole_line(overlap),
        *head_words(width, height, pass_spacing_ft if overlap else None, words),
    ]
    for part in parts:
        drawing.add(part)
    return drawing


class Axes:
    """Where feet and amounts lie on the paper."""

    def __init__(
        self, trays: Sequence[Point], overlap: Sequence[Point], width: float, height: float
    ) -> None:
        places = sorted(x for x, _ in trays)
        self.gap = min(b - a for a, b in pairwise(places))
        if not self.gap > 0:
            raise ValueError("Two trays stand at the same place; give each its own distance.")
        first = min([places[0], *(x for x, _ in overlap)]) - self.gap / 2
        last = max([places[-1], *(x for x, _ in overlap)]) + self.gap / 2
        self.most = round_up(max(y for _, y in (*trays, *overlap)))
        self.left, self.right = text_width(grouped(self.most)) + 8, width - 4
        self.bottom, self.top = FOOT, height - HEAD
        self.first, self.last = first, last
        self.per_ft = (self.right - self.left) / (last - first)
        self.per_unit = (self.top - self.bottom) / self.most

    def at(self, point: Point) -> Point:
        return (
            self.left + (point[0] - self.first) * self.per_ft,
            self.bottom + point[1] * self.per_unit,
        )

    def scale(self, words: Words) -> Iterator[Shape]:
        """The ground as a line with feet from the track, and faint lines at round amounts."""
        step = round_down(self.most / 3)
        for n in range(1, int(self.most / step + 1e-9) + 1):
            _, y = self.at((0, n * step))
            yield line((self.left, y), (self.right, y), colour=RULE, width=0.5)
            yield text(self.left - 5, y - 3.5, grouped(n * step), colour=SOFT, anchor="end")
        yield line((self.left, self.bottom), (self.right, self.bottom))
        step = round_down((self.last - self.first) / 4)
        for n in range(int(self.first / step) - 1, int(self.last / step) + 2):
            if self.first <= n * step <= self.last:
                x, _ = self.at((n * step, 0))
                yield line((x, self.bottom), (x, self.bottom - 4))
                yield text(x, self.bottom - LABEL_SIZE - 4, grouped(n * step), anchor="middle")
        yield text(self.right, 1, words.pattern_axis, colour=SOFT, anchor="end")

    def bars(self, trays: Sequence[Point]) -> Iterator[Shape]:
        """One bar for each tray."""
        wide = self.gap * BAR_SHARE * self.per_ft
        for tray in trays:
            x, y = self.at(tray)
            if y > self.bottom:
                yield box(x - wide / 2, self.bottom, wide, y - self.bottom, fill=SOFT, opacity=0.5)

    def width_mark(
        self, trays: Sequence[Point], half_rate: tuple[float, float] | None, words: Words
    ) -> Iterator[Shape]:
        """The effective width: a line at half of the greatest tray, its feet above it."""
        if half_rate is None:
            return
        half = max(y for _, y in trays) / 2
        left, right = self.at((half_rate[0], half)), self.at((half_rate[1], half))
        yield line(left, right, width=1.2)
        for x, y in (left, right):
            yield line((x, y - 5), (x, y + 5), width=1.2)
        feet = grouped(half_rate[1] - half_rate[0])
        wanted = f"{words.effective_width} {feet} {words.feet}"
        yield label((left[0] + right[0]) / 2, left[1] + 6, wanted, anchor="middle")

    def passes(self, spacing_ft: float | None) -> Iterator[Shape]:
        """A short mark below the ground at each pass."""
        if not spacing_ft:
            return
        for n in range(int(self.first / spacing_ft), int(self.last / spacing_ft) + 1):
            x, _ = self.at((n * spacing_ft, 0))
            if self.left <= x <= self.right:
                yield line((x, self.bottom), (x, self.bottom + 9), colour=ACCENT, width=2)

    def whole_line(self, overlap: Sequence[Point]) -> Iterator[Shape]:
        """What lies there once the neighbouring passes are driven."""
        if len(overlap) > 1:
            yield polyline([self.at(point) for point in overlap], colour=ACCENT, width=1.6)


def head_words(
    width: float, height: float, spacing_ft: float | None, words: Words
) -> Iterator[Shape]:
    """What the bars and the line are, one above the other."""
    y = height - LABEL_SIZE
    yield box(0, y, 9, 8, fill=SOFT, opacity=0.5)
    yield text(13, y, words.pattern_bars, colour=SOFT)
    if spacing_ft:
        y -= LABEL_SIZE + 3
        yield line((0, y + 4), (9, y + 4), colour=ACCENT, width=1.6)
        told = words.pattern_line.format(feet=grouped(spacing_ft))
        yield text(13, y, told, colour=SOFT)
