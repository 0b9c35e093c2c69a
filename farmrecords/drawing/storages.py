"""A storage over time and in cross-section."""

from collections.abc import Sequence
from datetime import date

from reportlab.graphics.shapes import Drawing

from farmrecords.drawing.inputs import (
    ENGLISH,
    LevelMark,
    LevelReading,
    Period,
    StorageShape,
    Words,
)


def level_line(
    period: Period,
    readings: Sequence[LevelReading],
    *,
    depth_ft: float,
    marks: Sequence[LevelMark] = (),
    missed_on: Sequence[date] = (),
    today: date | None = None,
    width: float = 720,
    height: float = 220,
    words: Words = ENGLISH,
) -> Drawing:
    """Levels in feet above the floor against days, with the heights that matter."""
    return Drawing(width, height)


def storage_shape(
    shape: StorageShape,
    *,
    level_ft: float | None = None,
    marks: Sequence[LevelMark] = (),
    width: float = 420,
    height: float = 200,
    words: Words = ENGLISH,
) -> Drawing:
    """Cross-section to scale with the level and the heights that matter."""
    return Drawing(width, height)
