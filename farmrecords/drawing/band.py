"""The year band: one strip, days from left to right."""

from collections.abc import Sequence
from datetime import date

from reportlab.graphics.shapes import Drawing

from farmrecords.drawing.inputs import (
    ENGLISH,
    ClosedWindow,
    LevelReading,
    LoadTick,
    Period,
    Words,
)


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
    height: float = 84,
    words: Words = ENGLISH,
) -> Drawing:
    """One strip of days: loads as ticks by amount, closed seasons hatched, level as a line."""
    return Drawing(width, height)
