"""The year band: one strip, days from left to right.

Loads stand as ticks by the amount of their day, closed seasons are hatched, a level runs as a line.
The same strip serves the screen, the PDF and the paper.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

from reportlab.graphics.shapes import Circle, Drawing, Shape

from farmrecords.drawing.days import (
    DayAxis,
    closed_marks,
    frame,
    level_runs,
    month_marks,
    today_mark,
)
from farmrecords.drawing.ink import (
    ACCENT,
    INK,
    LABEL_SIZE,
    SOFT,
    grouped,
    label,
    line,
    polyline,
    round_up,
    sheet,
    text,
    text_width,
)
from farmrecords.drawing.inputs import (
    ENGLISH,
    ClosedWindow,
    LevelReading,
    LoadTick,
    Period,
    Words,
)

HEAD = LABEL_SIZE + 6
FOOT = LABEL_SIZE + 6
EDGE = 1.0


def band_axis(year: int | Period, width: float) -> DayAxis:
    """The days of a band of this width: the first day begins at the left edge."""
    period = Period.calendar_year(year) if isinstance(year, int) else year
    return DayAxis(period, EDGE, width - EDGE)


def year_band(
    year: int | Period,
    loads: Sequence[LoadTick] = (),
    closed: Sequence[ClosedWindow] = (),
    level: Sequence[LevelReading] = (),
    today: date | None = None,
    *,
    unit: str = "gal",
    full_scale: float | None = None,
    width: float = 720,
    height: float = 92,
    words: Words = ENGLISH,
) -> Drawing:
    """One strip of days: loads as ticks by amount, closed seasons hatched, level as a line.

    `level` values are shares of full (1 is full). Loads of one day add up to one tick. Give
    `full_scale` (the amount at the top of the strip) to compare several bands; a larger day
    raises it. Loads and levels outside the period are left out.
    """
    drawing = sheet(width, height)
    axis = band_axis(year, width)
    bottom, top = FOOT, height - HEAD
    amounts = day_amounts(axis, loads)
    scale = round_up(max([full_scale or 0, *amounts.values()]))
    parts: list[Shape] = [
        *closed_marks(axis, closed, bottom, top),
        *load_ticks(axis, amounts, bottom, (top - bottom) / scale),
        *level_marks(axis, level, bottom, top, words),
        frame(axis, bottom, top),
        *today_mark(axis, today, bottom, top, words),
        *month_marks(axis, bottom, words),
        *scale_words(axis, top, words, scale if amounts else None, unit, level, today),
    ]
    for part in parts:
        drawing.add(part)
    return drawing


def day_amounts(axis: DayAxis, loads: Sequence[LoadTick]) -> dict[date, float]:
    """Amount per day within the period, in the order of the days."""
    found: dict[date, float] = defaultdict(float)
    for load in loads:
        if not load.amount >= 0:
            raise ValueError(
                f"The load of {load.on} has the amount {load.amount}; "
                "a band takes amounts of zero or more. Correct the load."
            )
        if axis.holds(load.on):
            found[load.on] += load.amount
    return dict(sorted(found.items()))


def load_ticks(
    axis: DayAxis, amounts: dict[date, float], bottom: float, per_unit: float
) -> Iterator[Shape]:
    wide = min(1.8, max(0.7, axis.day_width * 0.6))
    for day, amount in amounts.items():
        x = axis.middle_of(day)
        yield line((x, bottom), (x, bottom + amount * per_unit), colour=INK, width=wide)


def level_marks(
    axis: DayAxis, readings: Sequence[LevelReading], bottom: float, top: float, words: Words
) -> Iterator[Shape]:
    """The level as a line; broken where readings are missing; a line at full if it was passed."""
    highest = max([1.0, *(r.value for r in readings if axis.holds(r.on))])
    per_full = (top - bottom) / highest
    runs, gaps = level_runs(axis, readings, bottom, per_full)
    for run in runs:
        if len(run) > 1:
            yield polyline(run, colour=ACCENT, width=1.3)
        else:
            yield Circle(*run[0], 1.6, fillColor=ACCENT, strokeColor=None)
    for start, end in gaps:
        yield line(start, end, colour=ACCENT, width=1, dash=(3, 3))
    if highest > 1:
        y = bottom + per_full
        yield line((axis.left, y), (axis.right, y), colour=INK, width=0.6, dash=(6, 2))
        yield label(axis.right - 4, y - LABEL_SIZE, words.full, anchor="end")


def scale_words(
    axis: DayAxis,
    top: float,
    words: Words,
    scale: float | None,
    unit: str,
    level: Sequence[LevelReading],
    today: date | None,
) -> Iterator[Shape]:
    """What the top of the strip means, to the left and right above it, clear of today's word."""
    taken = (0.0, 0.0)
    if today is not None and axis.holds(today):
        half = text_width(words.today) / 2 + 6
        taken = axis.middle_of(today) - half, axis.middle_of(today) + half
    left = words.band_scale.format(amount=grouped(scale), unit=unit) if scale else ""
    shown = [reading.value for reading in level if axis.holds(reading.on)]
    right = "" if not shown else words.band_level if max(shown) <= 1 else words.band_level_over
    left_end = axis.left + text_width(left)
    right_start = axis.right - text_width(right)
    if left and left_end < (taken[0] or axis.right):
        yield text(axis.left, top + 5, left, colour=SOFT)
    elif left:
        yield text(max(taken[1], axis.left), top + 5, left, colour=SOFT)
        left_end = taken[1] + text_width(left)
    if right and right_start > max(left_end + 8, taken[1] if taken[1] > left_end else 0):
        yield text(axis.right, top + 5, right, colour=ACCENT, anchor="end")
