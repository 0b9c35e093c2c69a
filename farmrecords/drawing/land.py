"""Field maps."""

from collections.abc import Sequence

from reportlab.graphics.shapes import Drawing

from farmrecords.drawing.inputs import ENGLISH, Landmark, MultiPolygon, Swath, Track, Words, Zone


def field_map(
    boundary: MultiPolygon,
    *,
    zones: Sequence[Zone] = (),
    swaths: Sequence[Swath] = (),
    tracks: Sequence[Track] = (),
    landmarks: Sequence[Landmark] = (),
    name: str = "",
    unit: str = "gal/ac",
    width: float = 480,
    height: float = 340,
    words: Words = ENGLISH,
) -> Drawing:
    """Map of one field in ink: outline, hatched zones, covered ground shaded by amount."""
    return Drawing(width, height)
