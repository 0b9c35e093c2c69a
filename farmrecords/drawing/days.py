"""Days from left to right: the axis that the year band and the level line share."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from reportlab.graphics.shapes import Shape
from shapely import box as ground
from shapely import union_all

from farmrecords.drawing.hatch import hatch_lines
from farmrecords.drawing.ink import LABEL_SIZE, SOFT, box, label, line, text, text_width
from farmrecords.drawing.inputs import ClosedWindow, LevelReading, Period, Point, Words

LONGEST_GAP_DAYS = 10  # weekly readings with a few days' grace; beyond it the line is broken


@dataclass(frozen=True)
class DayAxis:
    """Every day of a period owns an equal slice between `left` and `right`."""

    period: Period
    left: float
    right: float

    @property
    def day_width(self) -> float:
        return (self.right - self.left) / self.period.days

    def start_of(self, day: date) -> float:
        """Left edge of a day's slice; the day after the last gives the right edge."""
        return self.left + (day - self.period.first_on).days * self.day_width

    def middle_of(self, day: date) -> float:
        return self.start_of(day) + self.day_width / 2

    def holds(self, day: date) -> bool:
        return self.period.first_on <= day <= self.period.last_on

    def month_starts(self) -> list[date]:
        """The first day shown of every month that the period touches."""
        found, day = [self.period.first_on], self.period.first_on
        while True:
            day = (day.replace(day=1) + timedelta(days=32)).replace(day=1)
            if day > self.period.last_on:
                return found
            found.append(day)


def month_marks(axis: DayAxis, bottom: float, words: Words) -> Iterator[Shape]:
    """A small stroke at each month's first day and the month's name where it fits."""
    starts = axis.month_starts()
    ends = [axis.start_of(day) for day in starts[1:]] + [axis.right]
    size = LABEL_SIZE
    names = [words.months[day.month - 1] for day in starts]
    crosses = axis.period.first_on.year != axis.period.last_on.year
    narrowest = (
        min(end - axis.start_of(day) for day, end in zip(starts, ends, strict=True) if day.day == 1)
        if any(day.day == 1 for day in starts)
        else axis.right - axis.left
    )
    if max(text_width(name, size) for name in names) + 4 > narrowest:
        names = [name[:1] for name in names]
    for day, end, name in zip(starts, ends, names, strict=True):
        start = axis.start_of(day)
        yield line((start, bottom), (start, bottom - 4))
        dated = f"{name} {day.year}"
        if crosses and (day.month == 1 or day == starts[0]) and fits(dated, end - start):
            name = dated
        if fits(name, end - start):
            yield text(start + 2.5, bottom - size - 2, name, size=size, colour=SOFT)
    yield line((axis.right, bottom), (axis.right, bottom - 4))


def fits(name: str, room: float) -> bool:
    return text_width(name) + 2 <= room


def closed_marks(
    axis: DayAxis, windows: Sequence[ClosedWindow], bottom: float, top: float
) -> Iterator[Shape]:
    """Closed days hatched over their whole slices, named where the name fits."""
    grounds = []
    for window in windows:
        first = max(window.first_on, axis.period.first_on)
        last = min(window.last_on, axis.period.last_on)
        if first <= last:
            span = axis.start_of(first), axis.start_of(last) + axis.day_width
            grounds.append((span, window.label))
    for start, end in hatch_lines(union_all([ground(a, bottom, b, top) for (a, b), _ in grounds])):
        yield line(start, end, colour=SOFT, width=0.45)
    for (a, b), _words in grounds:
        for x in (a, b):
            yield line((x, bottom), (x, top), colour=SOFT, width=0.6)
    for (a, b), name in grounds:
        if name and text_width(name) + 10 <= b - a:
            yield label((a + b) / 2, top - LABEL_SIZE - 3, name, anchor="middle")


def level_runs(
    axis: DayAxis, readings: Sequence[LevelReading], bottom: float, per_unit: float
) -> tuple[list[list[Point]], list[tuple[Point, Point]]]:
    """Readings as solid runs, and the gaps longer than the readings' habit as broken links."""
    ordered = sorted((r for r in readings if axis.holds(r.on)), key=lambda reading: reading.on)
    runs: list[list[Point]] = []
    gaps: list[tuple[Point, Point]] = []
    before: date | None = None
    for reading in ordered:
        point = axis.middle_of(reading.on), bottom + reading.value * per_unit
        if before is not None and (reading.on - before).days <= LONGEST_GAP_DAYS:
            runs[-1].append(point)
        else:
            if runs:
                gaps.append((runs[-1][-1], point))
            runs.append([point])
        before = reading.on
    return runs, gaps


def today_mark(
    axis: DayAxis, today: date | None, bottom: float, top: float, words: Words
) -> Iterator[Shape]:
    """A broken upright line through today with its word above; nothing outside the period."""
    if today is None or not axis.holds(today):
        return
    x = axis.middle_of(today)
    yield line((x, bottom), (x, top + 3), dash=(2, 2))
    half = text_width(words.today) / 2
    at = min(max(x, axis.left + half), axis.right - half)
    yield text(at, top + 5, words.today, anchor="middle")


def frame(axis: DayAxis, bottom: float, top: float) -> Shape:
    return box(axis.left, bottom, axis.right - axis.left, top - bottom, stroke=SOFT)
