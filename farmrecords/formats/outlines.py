"""Outlines of fields and features: closed, wound and, when asked, repaired.

The order of work and `make_valid` with method structure follow the project's reference on data
formats, section 3.3 (measured there: other ways lose half of a crossed field without a word).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from pyproj import Geod
from shapely.geometry import LineString, MultiLineString, MultiPoint, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from farmrecords.formats.common import FormatError
from farmrecords.formats.shapes import Line, Repair

WGS84 = Geod(ellps="WGS84")
SQUARE_METRES_PER_ACRE = 4046.8564224
FEET_PER_METRE = 1 / 0.3048
# Smaller is a slip of the pen, not land (reference on data formats, section 3.3).
SMALLEST_AC = 0.01
# Larger, or in more parts, is no single field as a rule (same section): said, not refused.
LARGE_AC = 2_000
MANY_PARTS = 50
# One centimetre in degrees of latitude; closer points are one point (same section).
SAME_POINT_DEG = 9e-8
# Outlines that cross themselves more often, over all of a file, are no outlines, and mending them
# would take minutes.
MOST_CROSSINGS = 20_000


@dataclass
class Crossings:
    """How many crossings the outlines of one file may still have."""

    left: int = MOST_CROSSINGS


@dataclass(frozen=True, slots=True)
class Built:
    """A geometry made from coordinates, with a proposed repair and things worth saying."""

    geometry: BaseGeometry
    repair: Repair | None
    notes: tuple[str, ...]


def acres(geometry: BaseGeometry) -> float:
    """The geodesic area of valid polygons on the WGS84 ellipsoid."""
    if geometry.is_empty:
        return 0.0
    area_m2, _ = WGS84.geometry_area_perimeter(shapely.orient_polygons(geometry))
    return float(abs(area_m2)) / SQUARE_METRES_PER_ACRE


def built(shape: str, coordinates: Any, crossings: Crossings | None = None) -> Built:
    """The shapely geometry of checked coordinates; polygons are closed, wound and judged."""
    if shape == "Point":
        return Built(Point(coordinates), None, ())
    if shape == "MultiPoint":
        return Built(MultiPoint(coordinates), None, ())
    if shape in ("LineString", "MultiLineString"):
        return _built_line(shape, coordinates)
    polygons = [coordinates] if shape == "Polygon" else coordinates
    return _built_polygons(polygons, shape == "MultiPolygon", crossings or Crossings())


def _built_line(shape: str, coordinates: Any) -> Built:
    lines = [coordinates] if shape == "LineString" else coordinates
    lines = [_without_repeats(line) for line in lines]
    if any(len(line) < 2 for line in lines):
        raise FormatError("A line has fewer than two different points.", "Draw it as a point.")
    geometry = LineString(lines[0]) if shape == "LineString" else MultiLineString(lines)
    return Built(geometry, None, ())


def _built_polygons(polygons: list[list[Line]], multi: bool, crossings: Crossings) -> Built:
    notes: list[str] = []
    closed = [[_closed_ring(ring, notes) for ring in rings] for rings in polygons]
    if not closed or any(not rings for rings in closed):
        raise FormatError("An outline has no points.", "Export the file again.")
    parts = [Polygon(rings[0], rings[1:]) for rings in closed]
    drawn = MultiPolygon(parts) if multi else parts[0]
    repair = None
    if drawn.is_valid:
        geometry = shapely.orient_polygons(drawn)
    else:
        geometry, repair = _repaired(drawn, closed, crossings)
    area_ac = acres(geometry)
    if area_ac < SMALLEST_AC:
        raise FormatError(
            f"The outline encloses {area_ac:.4f} acres, less than {SMALLEST_AC}.",
            "Draw it as a point, or leave it out.",
        )
    if area_ac > LARGE_AC:
        notes.append(f"it encloses {area_ac:,.0f} acres; is it one field?")
    if (parts_count := len(shapely.get_parts(geometry))) > MANY_PARTS:
        notes.append(f"it has {parts_count} parts; is it one field?")
    return Built(geometry, repair, tuple(notes))


def _closed_ring(ring: Line, notes: list[str]) -> Line:
    """The ring ending where it began; a gap that was closed is measured and said."""
    points = _without_repeats(ring)
    if len(points) > 1 and points[0] != points[-1]:
        gap_ft = WGS84.inv(*points[-1], *points[0])[2] * FEET_PER_METRE
        if gap_ft > 0.04:
            notes.append(f"the outline was open; it was closed over a gap of {gap_ft:,.1f} ft")
        else:
            points.pop()
        points.append(points[0])
    if len(points) < 4:
        raise FormatError(
            "An outline has fewer than three different points.", "Draw it as a line or a point."
        )
    return points


def _without_repeats(line: Line) -> Line:
    """The line without points that repeat the one before within a centimetre."""
    kept: Line = []
    for x, y in line:
        if (
            not kept
            or abs(x - kept[-1][0]) > SAME_POINT_DEG
            or abs(y - kept[-1][1]) > SAME_POINT_DEG
        ):
            kept.append((x, y))
    if len(kept) > 1 and line[0] == line[-1]:
        kept[-1] = kept[0]
    return kept


def _repaired(
    drawn: BaseGeometry, closed: list[list[Line]], crossings: Crossings
) -> tuple[BaseGeometry, Repair]:
    """A proposed repair of an outline that is not valid, with acres before and after."""
    why = shapely.is_valid_reason(drawn).split("[")[0].strip().lower()
    lines = [LineString(ring) for rings in closed for ring in rings]
    _refuse_tangle(lines, crossings)
    mended = shapely.make_valid(drawn, method="structure", keep_collapsed=False)
    parts = [
        part
        for part in shapely.get_parts(mended)
        if isinstance(part, Polygon) and acres(part) >= SMALLEST_AC
    ]
    if not parts:
        raise FormatError(f"The outline encloses no ground ({why}).", "Draw it again.")
    geometry = parts[0] if len(parts) == 1 else MultiPolygon(parts)
    repair = Repair(_acres_as_drawn(closed), acres(geometry), _WORDS.get(why, why))
    return shapely.orient_polygons(geometry), repair


_WORDS = {
    "self-intersection": "the outline crosses itself",
    "ring self-intersection": "the outline touches itself",
    "hole lies outside shell": "a hole lies outside the outline",
    "holes are nested": "a hole lies in another hole",
    "interior is disconnected": "holes cut the land apart",
    "nested shells": "one part lies in another",
    "duplicate rings": "an outline is drawn twice",
}


def _acres_as_drawn(closed: list[list[Line]]) -> float:
    """Acres as a plain area formula gives them: loops that wind the other way count against."""
    total_m2 = 0.0
    for shell, *holes in closed:
        total_m2 += abs(_ring_m2(shell)) - sum(abs(_ring_m2(hole)) for hole in holes)
    return max(total_m2, 0.0) / SQUARE_METRES_PER_ACRE


def _ring_m2(ring: Line) -> float:
    lons, lats = zip(*ring, strict=True)
    return float(WGS84.polygon_area_perimeter(lons, lats)[0])


def _refuse_tangle(lines: list[LineString], crossings: Crossings) -> None:
    """Raise when outlines cross so often that mending them would take too long.

    Once the allowance of a file is used up, no further outline of it is mended.
    """
    ends = np.vstack([_segment_ends(line) for line in lines])
    segments = shapely.linestrings(ends.reshape(-1, 2, 2))
    step = max(1, 400_000 // len(segments))
    twice = 0  # each crossing is found from both sides
    if crossings.left > 0:
        tree = shapely.STRtree(segments)
        for start in range(0, len(segments), step):
            twice += len(tree.query(segments[start : start + step], predicate="crosses")[0])
            if twice > 2 * crossings.left:
                break
    crossings.left -= twice // 2
    if crossings.left <= 0:
        crossings.left = 0
        raise FormatError(
            f"Outlines of the file cross themselves more than {MOST_CROSSINGS:,} times.",
            "This is no boundary; draw it again.",
        )


def _segment_ends(line: LineString) -> np.ndarray[Any, np.dtype[np.float64]]:
    points = shapely.get_coordinates(line)
    return np.hstack([points[:-1], points[1:]])
