"""What stands around a map: the scale of the paper, north, the scale bar, the key."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.graphics.shapes import Polygon, Shape
from shapely import box as ground_box
from shapely import transform
from shapely.geometry.base import BaseGeometry

from farmrecords.drawing.hatch import hatch_lines
from farmrecords.drawing.ink import (
    ACCENT,
    INK,
    LABEL_SIZE,
    PAPER,
    SOFT,
    box,
    grouped,
    line,
    polyline,
    round_down,
    text,
    text_width,
)
from farmrecords.drawing.inputs import Point, Words

METRES_PER_FOOT = 0.3048
KEY_ROW = LABEL_SIZE + 4.5
KEY_SAMPLE = 21.0
SCALE_SHARE = 0.28
SCALE_LEAST = 84.0
SHADES = (0.2, 0.36, 0.52, 0.68)


@dataclass(frozen=True)
class Placing:
    """Feet on the land to points on the paper, and the part of the paper that is map."""

    per_ft: float
    origin: Point
    paper: tuple[float, float, float, float]

    def point(self, at: Point) -> Point:
        return at[0] * self.per_ft + self.origin[0], at[1] * self.per_ft + self.origin[1]

    def ground(self, ground: BaseGeometry) -> BaseGeometry:
        return transform(ground, lambda points: points * self.per_ft + list(self.origin))


@dataclass(frozen=True)
class Density:
    """Amounts per acre in at most four equal steps between the least and the most."""

    least: float
    most: float
    steps: int

    @classmethod
    def over(cls, amounts: Sequence[float]) -> "Density":
        for amount in amounts:
            if not amount >= 0:
                raise ValueError(
                    f"A swath has the amount {amount} per acre; zero or more is expected. "
                    "Correct the load."
                )
        if not amounts:
            return cls(0, 0, 0)
        least, most = min(amounts), max(amounts)
        if most - least <= 0.02 * most:
            return cls(least, most, 1)
        return cls(least, most, min(len(SHADES), len(set(amounts))))

    def step_of(self, amount: float) -> int:
        if self.steps <= 1:
            return 0
        share = (amount - self.least) / (self.most - self.least)
        return min(self.steps - 1, int(share * self.steps))

    def shade(self, amount: float) -> float:
        return self.shades[self.step_of(amount)]

    @property
    def shades(self) -> tuple[float, ...]:
        return SHADES[1:2] if self.steps == 1 else SHADES[: self.steps]

    def bounds(self) -> list[tuple[float, float]]:
        """Least and most of each step, in the order of the shades."""
        wide = (self.most - self.least) / self.steps if self.steps else 0
        return [(self.least + i * wide, self.least + (i + 1) * wide) for i in range(self.steps)]


def north_arrow(paper: tuple[float, float, float, float], words: Words) -> Iterator[Shape]:
    _left, _bottom, right, top = paper
    x, tip = right - 16, top - 6
    yield Polygon(
        [x, tip, x + 5.5, tip - 24, x, tip - 19, x - 5.5, tip - 24],
        fillColor=PAPER, strokeColor=INK, strokeWidth=0.9,
    )  # fmt: skip
    yield Polygon(
        [x, tip, x, tip - 19, x - 5.5, tip - 24],
        fillColor=INK, strokeColor=INK, strokeWidth=0.6,
    )  # fmt: skip
    yield text(x, tip - 36, words.north, anchor="middle", bold=True)


def scale_bar(placing: Placing, words: Words) -> Iterator[Shape]:
    """A bar of a round number of feet, its metres beside it."""
    longest_ft = (placing.paper[2] - placing.paper[0]) * SCALE_SHARE / placing.per_ft
    feet = round_down(longest_ft)
    left, y = placing.paper[0] + 2, placing.paper[1] - 12
    wide = feet * placing.per_ft
    yield box(left, y, wide, 4, fill=PAPER, stroke=INK)
    yield box(left, y, wide / 2, 4, fill=INK)
    metres = f"{feet * METRES_PER_FOOT:,.0f}" if feet >= 20 else f"{feet * METRES_PER_FOOT:.1f}"
    words_below = f"{grouped(feet)} {words.feet} ({metres} {words.metres})"
    yield text(left, y - LABEL_SIZE - 2, words_below, colour=SOFT)


@dataclass(frozen=True)
class KeyEntry:
    """One entry of the key: a shade, the hatching or the way driven, and its words."""

    words: str
    shade: float = 0.0
    kind: str = "shade"

    @property
    def width(self) -> float:
        return text_width(self.words) + KEY_SAMPLE + 16


def key_entries(
    density: Density, unit: str, has_closed: bool, has_tracks: bool, words: Words
) -> list[KeyEntry]:
    found: list[KeyEntry] = []
    places = _places({edge for bounds in density.bounds() for edge in bounds})
    for (low, high), shade in zip(density.bounds(), density.shades, strict=True):
        span, top = grouped(round(low, places)), grouped(round(high, places))
        if density.steps > 1 and top != span:
            span += f"–{top}"
        found.append(KeyEntry(f"{span} {unit}" if not found else span, shade))
    if has_closed:
        found.append(KeyEntry(words.no_spreading, kind="hatch"))
    if has_tracks:
        found.append(KeyEntry(words.way_driven, kind="way"))
    return found


def _places(edges: set[float]) -> int:
    """One decimal, or two where one would print two edges of the shades alike."""
    return 1 if len({round(edge, 1) for edge in edges}) == len(edges) else 2


def key_rows(entries: Sequence[KeyEntry], width: float) -> list[list[KeyEntry]]:
    """Entries packed into rows beside the scale bar, in their order."""
    room = width - max(SCALE_LEAST, SCALE_SHARE * width) - 16
    rows: list[list[KeyEntry]] = []
    used = 0.0
    for entry in entries:
        if not rows or used + entry.width > room:
            rows.append([])
            used = 0.0
        rows[-1].append(entry)
        used += entry.width
    return rows


def key_high(rows: Sequence[Sequence[KeyEntry]]) -> float:
    """Height below the map that scale bar and key take."""
    return max(30.0, len(rows) * KEY_ROW + 6)


def key(rows: Sequence[Sequence[KeyEntry]], right: float) -> Iterator[Shape]:
    y = key_high(rows) - KEY_ROW
    left = right - max((sum(entry.width for entry in row) for row in rows), default=0) + 16
    for row in rows:
        x = left
        for entry in row:
            yield from sample(entry, x, y)
            yield text(x + KEY_SAMPLE, y, entry.words, colour=SOFT)
            x += entry.width
        y -= KEY_ROW


def sample(entry: KeyEntry, x: float, y: float) -> Iterator[Shape]:
    if entry.kind == "way":
        yield polyline([(x, y + 3), (x + 16, y + 3)], colour=ACCENT, width=0.8)
        return
    if entry.kind == "hatch":
        for start, end in hatch_lines(ground_box(x, y - 1, x + 16, y + 9), 5):
            yield line(start, end, colour=SOFT, width=0.6)
        yield box(x, y - 1, 16, 10, stroke=SOFT)
    else:
        yield box(x, y - 1, 16, 10, fill=ACCENT, opacity=entry.shade)
