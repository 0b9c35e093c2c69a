"""Maps, bands, level lines and storage sections from plain numbers.

Each function returns a `reportlab.graphics` drawing. The page shows it through `to_svg`, the PDF
takes the same drawing as a flowable, so the screen and the paper cannot disagree.
"""

from farmrecords.drawing.band import year_band
from farmrecords.drawing.inputs import (
    ClosedWindow,
    EarthenPond,
    Landmark,
    LevelMark,
    LevelReading,
    LoadTick,
    Period,
    RectangularTank,
    Swath,
    Track,
    UprightTank,
    Words,
    Zone,
)
from farmrecords.drawing.land import field_map
from farmrecords.drawing.marks import mark
from farmrecords.drawing.pattern import spread_pattern
from farmrecords.drawing.sections import storage_shape
from farmrecords.drawing.storages import level_line
from farmrecords.drawing.svg import to_svg

__all__ = [
    "ClosedWindow",
    "EarthenPond",
    "Landmark",
    "LevelMark",
    "LevelReading",
    "LoadTick",
    "Period",
    "RectangularTank",
    "Swath",
    "Track",
    "UprightTank",
    "Words",
    "Zone",
    "field_map",
    "level_line",
    "mark",
    "spread_pattern",
    "storage_shape",
    "to_svg",
    "year_band",
]
