"""Geometry as files bring it: what a reader hands over and what comes out of the checks.

Positions are checked here one by one: finite numbers within range, longitude before latitude,
no jump over the 180th meridian. What is done with outlines stands in `outlines`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from shapely.geometry.base import BaseGeometry

from farmrecords.formats.common import MAX_VERTICES_PER_GEOMETRY, FormatError, shown

# west, south, east, north in degrees
Box = tuple[float, float, float, float]
Position = tuple[float, float]
Line = list[Position]

# How deep the coordinates of each kind are nested (RFC 7946, section 3.1).
DEPTHS = {
    "Point": 0,
    "MultiPoint": 1,
    "LineString": 1,
    "MultiLineString": 2,
    "Polygon": 2,
    "MultiPolygon": 3,
}
# Latitudes and longitudes of the United States with Alaska, Hawaii and the islands, rounded
# outward [memory]; only used to notice that the two were exchanged.
US_LATITUDES = (17.0, 72.0)
US_LONGITUDES = (-180.0, -64.0)


@dataclass(frozen=True, slots=True)
class Repair:
    """What a proposed repair of a boundary changes: acres as drawn and acres after it."""

    acres_before: float
    acres_after: float
    what: str


@dataclass(frozen=True, slots=True)
class FeatureRow:
    """One named geometry of a file, WGS84 longitude and latitude.

    `kind` is the file's own word for it ("" when it has none). `repaired` is set when the
    geometry shown is a proposed repair; the question `repair:<row_number>` asks to accept it.
    """

    name: str
    kind: str
    properties: dict[str, Any] = field(hash=False)
    geometry: BaseGeometry
    repaired: Repair | None = None
    row_number: int = 0


@dataclass(frozen=True, slots=True)
class Drawn:
    """One feature as a file draws it: the coordinates are still unchecked nested lists.

    `refused` says why a reader could not make sense of it at all.
    """

    row_number: int
    name: str
    kind: str
    properties: dict[str, Any]
    shape: str
    coordinates: Any
    refused: FormatError | None = None


def checked_coordinates(drawn: Drawn) -> Any:
    """The coordinates as nested lists of (x, y), each a finite number; heights are dropped."""
    if drawn.shape not in DEPTHS:
        known = ", ".join(DEPTHS)
        raise FormatError(
            f"A geometry of the kind “{shown(drawn.shape)}” is not read.", f"Use one of: {known}."
        )
    counter = [0]
    return _nested(drawn.coordinates, DEPTHS[drawn.shape], counter)


def _nested(value: Any, depth: int, counter: list[int]) -> Any:
    if depth == 0:
        counter[0] += 1
        if counter[0] > MAX_VERTICES_PER_GEOMETRY:
            raise FormatError(
                f"It has more than {MAX_VERTICES_PER_GEOMETRY:,} points.",
                "Simplify the line before exporting it.",
            )
        return _position(value)
    if not isinstance(value, Sequence) or isinstance(value, str):
        raise FormatError(f"A list of points was expected, not “{shown(value)}”.", _EXPORT_AGAIN)
    return [_nested(inner, depth - 1, counter) for inner in value]


_EXPORT_AGAIN = "Export the file again."


def _position(value: Any) -> Position:
    if not isinstance(value, Sequence) or isinstance(value, str) or len(value) < 2:
        raise FormatError(f"A position needs two numbers, not “{shown(value)}”.", _EXPORT_AGAIN)
    return _number(value[0]), _number(value[1])


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FormatError(f"“{shown(value)}” is no coordinate.", "Coordinates are plain numbers.")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise FormatError(f"“{shown(value)}” is no coordinate.", "Coordinates are plain numbers.")
    return number


def each_position(coordinates: Any) -> Iterator[Position]:
    """Every position of nested coordinates, in order."""
    if isinstance(coordinates, tuple):
        yield coordinates
        return
    for inner in coordinates:
        yield from each_position(inner)


def exchanged(coordinates: Any) -> Any:
    """The coordinates with the two numbers of each position exchanged."""
    if isinstance(coordinates, tuple):
        return coordinates[1], coordinates[0]
    return [exchanged(inner) for inner in coordinates]


def bounds_of(positions: Sequence[Position]) -> Box:
    """West, south, east and north of at least one position."""
    xs = [x for x, _ in positions]
    ys = [y for _, y in positions]
    return min(xs), min(ys), max(xs), max(ys)


def is_within(inner: Box, outer: Box) -> bool:
    """True when the inner box lies wholly in the outer one, border included."""
    return (
        outer[0] <= inner[0]
        and outer[1] <= inner[1]
        and inner[2] <= outer[2]
        and inner[3] <= outer[3]
    )


def looks_exchanged(bounds: Box, box: Box | None) -> bool:
    """True when positions make sense only, or far better, as latitude before longitude."""
    west, south, east, north = bounds
    turned = (south, west, north, east)
    if box is not None:
        return not is_within(bounds, box) and is_within(turned, box)
    in_us = (US_LONGITUDES[0], US_LATITUDES[0], US_LONGITUDES[1], US_LATITUDES[1])
    return not is_within(bounds, in_us) and is_within(turned, in_us)


def refuse_out_of_range(coordinates: Any) -> None:
    """Raise when a position is outside ±180, ±90 or a geometry spans the 180th meridian."""
    positions = list(each_position(coordinates))
    if not positions:
        raise FormatError("It has no points.", _EXPORT_AGAIN)
    for x, y in positions:
        if not -180 <= x <= 180 or not -90 <= y <= 90:
            raise FormatError(
                f"The position {x:.10g}, {y:.10g} is no longitude and latitude in degrees.",
                "The file may be in another projection: export it as WGS84 "
                "(longitude first, then latitude).",
            )
    west, _, east, _ = bounds_of(positions)
    if east - west > 180:
        raise FormatError(
            f"It reaches from longitude {west:.6g} to {east:.6g}, around the world.",
            "Shapes across the 180th meridian are not read; check the signs of the longitudes.",
        )
