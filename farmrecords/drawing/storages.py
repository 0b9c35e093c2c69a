"""A storage over time and in cross-section."""

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from reportlab.graphics.shapes import Circle, Drawing, Shape

from farmrecords.drawing.days import DayAxis, frame, level_runs, month_marks, today_mark
from farmrecords.drawing.ink import (
    ACCENT,
    INK,
    LABEL_SIZE,
    RULE,
    SOFT,
    grouped,
    line,
    polyline,
    round_down,
    round_up,
    sheet,
    text,
    text_width,
)
from farmrecords.drawing.inputs import (
    ENGLISH,
    LevelMark,
    LevelReading,
    Period,
    Words,
)

HEAD = LABEL_SIZE + 14
FOOT = LABEL_SIZE + 8
LINE_GAP = LABEL_SIZE + 1.5
LEADER = 11.0  # points between the edge of a chart and the name of a height


def level_line(
    period: Period,
    readings: Sequence[LevelReading],
    *,
    depth_ft: float,
    marks: Sequence[LevelMark] = (),
    missed_on: Sequence[date] = (),
    today: date | None = None,
    width: float = 720,
    height: float = 230,
    words: Words = ENGLISH,
) -> Drawing:
    """Levels in feet above the floor against days, with the heights that matter.

    Readings more than ten days apart are joined by a broken line. A missed reading stands as an
    open ring on the floor of the chart. A level above `depth_ft` raises the top of the scale.
    """
    if not depth_ft > 0:
        raise ValueError(
            f"The depth of a storage must be above zero feet; given {depth_ft}. Enter its depth."
        )
    drawing = sheet(width, height)
    highest = max([depth_ft, *(r.value for r in readings), *(m.height_ft for m in marks)])
    top_ft = round_up(highest) if round_up(highest) < 1.2 * highest else highest
    left = text_width(grouped(round_up(top_ft))) + 8
    names = [mark_words(mark, words) for mark in marks]
    right = max(text_width(name) for name in names) + LEADER + 3 if names else 2
    axis = DayAxis(period, left, width - right)
    bottom, top = FOOT, height - HEAD
    per_ft = (top - bottom) / top_ft
    parts: list[Shape] = [
        *height_lines(axis, bottom, per_ft, top_ft),
        *height_marks(
            lambda _ft: (axis.left, axis.right), axis.right, bottom, per_ft, marks, words
        ),
        *reading_marks(axis, readings, bottom, per_ft),
        *missed_marks(axis, missed_on, bottom),
        frame(axis, bottom, top),
        *today_mark(axis, today, bottom, top, words),
        *month_marks(axis, bottom, words),
        *head_words(axis, top, words, bool(missed_on), today),
    ]
    for part in parts:
        drawing.add(part)
    return drawing


def height_lines(axis: DayAxis, bottom: float, per_ft: float, top_ft: float) -> Iterator[Shape]:
    """Faint lines at round heights with their feet at the left."""
    step = round_down(top_ft / 3)
    height = 0.0
    while height <= top_ft + 1e-9:
        y = bottom + height * per_ft
        if 0 < height < top_ft:
            yield line((axis.left, y), (axis.right, y), colour=RULE, width=0.5)
        yield text(axis.left - 5, y - 3.5, grouped(height), colour=SOFT, anchor="end")
        height += step


def height_marks(
    span: Callable[[float], tuple[float, float]],
    edge: float,
    bottom: float,
    per_ft: float,
    marks: Sequence[LevelMark],
    words: Words,
) -> Iterator[Shape]:
    """The heights that matter: a broken line across, its name and feet beyond the edge.

    `span` gives where the line of a height begins and ends; a thin leader joins it to its name.
    """
    ordered = sorted(marks, key=lambda mark: mark.height_ft)
    wanted = [bottom + mark.height_ft * per_ft for mark in ordered]
    for mark, y, at in zip(ordered, wanted, spread_apart(wanted, LINE_GAP), strict=True):
        left, right = span(mark.height_ft)
        yield line((left, y), (right, y), width=0.9, dash=(6, 2))
        yield line((right, y), (edge, y), colour=SOFT, width=0.5)
        yield line((edge, y), (edge + LEADER - 3, at), colour=SOFT, width=0.5)
        yield text(edge + LEADER, at - 3.5, mark_words(mark, words))


def mark_words(mark: LevelMark, words: Words) -> str:
    return f"{mark.label} {grouped(mark.height_ft)} {words.feet}"


def spread_apart(wanted: Sequence[float], gap: float) -> list[float]:
    """Heights of labels in rising order, moved just enough that none is nearer than `gap`.

    Neighbours that touch share the shift, so the group stays centred on what it names.

    >>> spread_apart([10.0, 12.0, 40.0], 8)
    [7.0, 15.0, 40.0]
    """
    groups: list[tuple[list[float], float]] = []
    for height in wanted:
        members, start = [height], height
        while groups and start < groups[-1][1] + len(groups[-1][0]) * gap:
            members = groups.pop()[0] + members
            middle = sum(members) / len(members)
            start = middle - (len(members) - 1) * gap / 2
        groups.append((members, start))
    return [start + index * gap for members, start in groups for index in range(len(members))]


def reading_marks(
    axis: DayAxis, readings: Sequence[LevelReading], bottom: float, per_ft: float
) -> Iterator[Shape]:
    runs, gaps = level_runs(axis, readings, bottom, per_ft)
    for run in runs:
        if len(run) > 1:
            yield polyline(run, colour=ACCENT, width=1.4)
        for x, y in run:
            yield Circle(x, y, 1.7, fillColor=ACCENT, strokeColor=None)
    for start, end in gaps:
        yield line(start, end, colour=ACCENT, width=1, dash=(3, 3))


def missed_marks(axis: DayAxis, missed_on: Sequence[date], bottom: float) -> Iterator[Shape]:
    for day in sorted(set(missed_on)):
        if axis.holds(day):
            yield ring(axis.middle_of(day), bottom + 6)


def ring(x: float, y: float) -> Circle:
    """The open ring: here nobody can tell."""
    return Circle(x, y, 3, fillColor=None, strokeColor=INK, strokeWidth=1.2)


def head_words(
    axis: DayAxis, top: float, words: Words, has_missed: bool, today: date | None
) -> Iterator[Shape]:
    """What is drawn, above the chart; each word only where today's word leaves it room."""
    half = text_width(words.today) / 2 + 6
    at = axis.middle_of(today) if today and axis.holds(today) else -half
    if at - half > text_width(words.level_axis) or at < 0:
        yield text(0, top + 10, words.level_axis, colour=SOFT)
    wide = text_width(words.no_reading)
    if has_missed and at + half < axis.right - wide - 12:
        yield ring(axis.right - wide - 8, top + 13.5)
        yield text(axis.right, top + 10, words.no_reading, colour=SOFT, anchor="end")
