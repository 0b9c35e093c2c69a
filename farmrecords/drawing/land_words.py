"""Names on a map that never lie on each other."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.graphics.shapes import Shape

from farmrecords.drawing.ink import BOLD, FONT, LABEL_SIZE, PAPER, SOFT, box, line, text, text_width
from farmrecords.drawing.inputs import Point

Box = tuple[float, float, float, float]

# Where a name may stand around its point: direction, nearest first; far places get a leader.
SIDES = ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1))
DISTANCES = (6.0, 18.0, 34.0, 54.0)
LEADER_FROM = 14.0
HIGH = LABEL_SIZE + 3


@dataclass(frozen=True)
class Name:
    """Words wanted near a point; a centred one tries the point itself first."""

    words: str
    at: Point
    bold: bool = False
    centred: bool = False

    @property
    def width(self) -> float:
        return text_width(self.words, LABEL_SIZE, BOLD if self.bold else FONT) + 4


def placed_names(
    names: Sequence[Name], paper: Box, points: Sequence[Point] = ()
) -> Iterator[Shape]:
    """Names in their order of weight; one that finds no free place is left to the table.

    No name covers another, the north arrow or one of the `points`.
    """
    left, bottom, right, top = paper
    taken: list[Box] = [(right - 34, top - 48, right, top)]  # the north arrow
    taken += [(x - 4, y - 4, x + 4, y + 4) for x, y in points]
    for name in names:
        for place, distance in places(name):
            inside = (
                place[0] >= left + 2
                and place[1] >= bottom + 2
                and place[2] <= right - 2
                and place[3] <= top - 2
            )
            if inside and not any(overlap(place, other) for other in taken):
                taken.append(place)
                yield from written(name, place, distance)
                break


def places(name: Name) -> Iterator[tuple[Box, float]]:
    x, y = name.at
    wide = name.width
    if name.centred:
        yield (x - wide / 2, y - HIGH / 2, x + wide / 2, y + HIGH / 2), 0.0
    for distance in DISTANCES:
        for across, up in SIDES:
            left = x + across * distance - (wide if across < 0 else wide / 2 if not across else 0)
            low = y + up * distance - (HIGH if up < 0 else HIGH / 2 if not up else 0)
            yield (left, low, left + wide, low + HIGH), distance


def overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def written(name: Name, place: Box, distance: float) -> Iterator[Shape]:
    left, low, right, high = place
    if distance >= LEADER_FROM:
        near = min(max(name.at[0], left), right), min(max(name.at[1], low), high)
        yield line(name.at, near, colour=SOFT, width=0.6)
    yield box(left, low, right - left, high - low, fill=PAPER, opacity=0.85)
    yield text(left + 2, low + 3.2, name.words, bold=name.bold)
