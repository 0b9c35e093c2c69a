"""Hatching as real lines, clipped to its ground, so that paper and screen show the same."""

from collections.abc import Iterator

from shapely import LineString, MultiLineString
from shapely.geometry.base import BaseGeometry

from farmrecords.drawing.inputs import Point

Segment = tuple[Point, Point]


def hatch_lines(ground: BaseGeometry, spacing: float = 6.0) -> list[Segment]:
    """Rising diagonal lines inside a polygon, `spacing` apart, none in its holes.

    Lines lie on one lattice for the whole plane, so that neighbouring grounds hatch as one.
    """
    if ground.is_empty:
        return []
    left, bottom, right, top = ground.bounds
    step = spacing * 2**0.5
    first = int((bottom - right) // step)
    last = int((top - left) // step) + 1
    lattice = MultiLineString(
        [
            [(left - 1, left - 1 + offset * step), (right + 1, right + 1 + offset * step)]
            for offset in range(first, last + 1)
        ]
    )
    return list(segments(lattice.intersection(ground)))


def segments(found: BaseGeometry) -> Iterator[Segment]:
    """The straight pieces of what an intersection gave, points left out."""
    if isinstance(found, LineString):
        if not found.is_empty:
            yield found.coords[0], found.coords[-1]
    elif hasattr(found, "geoms"):
        for part in found.geoms:
            yield from segments(part)
