"""Field maps in ink: outline, hatched zones, covered ground by density, ways driven.

Input is feet in a local frame, x east and y north, as `calculations.geodesy` projects it.
"""

from collections.abc import Iterator, Sequence
from math import isfinite

from reportlab.graphics.shapes import Circle, Drawing, Shape
from shapely import LineString, MultiLineString, Polygon, make_valid, union_all
from shapely import MultiPolygon as Ground
from shapely import box as ground_box
from shapely.geometry.base import BaseGeometry

from farmrecords.drawing.hatch import hatch_lines
from farmrecords.drawing.ink import ACCENT, INK, PAPER, SOFT, line, outline, polyline, sheet
from farmrecords.drawing.inputs import (
    ENGLISH,
    Landmark,
    MultiPolygon,
    Point,
    Swath,
    Track,
    Words,
    Zone,
)
from farmrecords.drawing.land_frame import (
    Density,
    Placing,
    key,
    key_entries,
    key_high,
    key_rows,
    north_arrow,
    scale_bar,
)
from farmrecords.drawing.land_words import Name, placed_names

AROUND = 0.1  # of the field's longer side, shown around it
LEAST_AROUND_FT = 60.0
FINEST = 0.3  # points; bends smaller than this are drawn straight


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
    height: float = 360,
    words: Words = ENGLISH,
) -> Drawing:
    """Map of one field in ink: outline, hatched zones, covered ground shaded by amount.

    Holes of the boundary stay open. Closed zones are hatched inside the field and outlined with a
    broken line; limited zones have the outline alone. What lies far outside the field is cut off.
    """
    drawing = sheet(width, height)
    field = ground_of(boundary)
    if field.is_empty or field.area <= 0:
        raise ValueError(
            "A field map needs a boundary with some area; the one given has none. "
            "Draw or import the field's outline."
        )
    density = Density.over([swath.amount_per_ac for swath in swaths])
    has_closed = any(zone.closed for zone in zones)
    rows = key_rows(key_entries(density, unit, has_closed, bool(tracks), words), width)
    placing = framed(field, width, height, key_high(rows))
    paper = ground_box(*placing.paper)
    on_paper = placing.ground(field)
    closed = [placing.ground(ground_of(zone.polygons)) for zone in zones if zone.closed]
    parts: list[Shape] = [
        *swath_parts(placing, swaths, density, paper),
        *hatch_parts(union_all(closed).intersection(on_paper) if closed else Ground()),
        *zone_parts(placing, zones, paper),
        *track_parts(placing, tracks, paper),
        outline(rings_of(on_paper), stroke=INK, width=1.8),
        *landmark_parts(placing, landmarks, paper),
        *placed_names(
            names_on(placing, name, on_paper, zones, landmarks, paper),
            placing.paper,
            [placing.point(p) for mark in landmarks if mark.kind == "point" for p in mark.points],
        ),
        *north_arrow(placing.paper, words),
        *scale_bar(placing, words),
        *key(rows, placing.paper[2]),
    ]
    for part in parts:
        drawing.add(part)
    return drawing


def ground_of(polygons: MultiPolygon) -> BaseGeometry:
    """The nested coordinates as ground; a number that is not finite is refused by its place."""
    found = []
    for rings in polygons:
        for ring in rings:
            for x, y in ring:
                if not (isfinite(x) and isfinite(y)):
                    raise ValueError(
                        f"A corner of an outline stands at ({x}, {y}); both must be finite feet. "
                        "Correct the outline."
                    )
        if rings:
            found.append(make_valid(Polygon(list(rings[0]), [list(hole) for hole in rings[1:]])))
    return union_all(found) if found else Ground()


def framed(field: BaseGeometry, width: float, height: float, below: float) -> Placing:
    """The largest scale at which the field and some ground around it fit above the key."""
    left, bottom, right, top = field.bounds
    around = max(LEAST_AROUND_FT, AROUND * max(right - left, top - bottom))
    wide, high = right - left + 2 * around, top - bottom + 2 * around
    per_ft = min(width / wide, (height - below) / high)
    middle = (left + right) / 2, (bottom + top) / 2
    centre = width / 2, below + (height - below) / 2
    return Placing(
        per_ft,
        (centre[0] - middle[0] * per_ft, centre[1] - middle[1] * per_ft),
        (0.5, below, width - 0.5, height - 0.5),
    )


def rings_of(ground: BaseGeometry) -> list[list[list[Point]]]:
    """Polygons of any geometry as nested coordinates, finest bends straightened."""
    found: list[list[list[Point]]] = []
    for part in getattr(ground, "geoms", [ground]):
        if isinstance(part, Polygon) and not part.is_empty:
            drawn = part.simplify(FINEST)
            found.append([list(ring.coords) for ring in (drawn.exterior, *drawn.interiors)])
        elif hasattr(part, "geoms"):
            found += rings_of(part)
    return found


def swath_parts(
    placing: Placing, swaths: Sequence[Swath], density: Density, paper: BaseGeometry
) -> Iterator[Shape]:
    for swath in swaths:
        covered = placing.ground(ground_of(swath.polygons)).intersection(paper)
        rings = rings_of(covered)
        if rings:
            shade = density.shade(swath.amount_per_ac)
            yield outline(rings, stroke=None, fill=ACCENT, opacity=shade)


def hatch_parts(ground: BaseGeometry) -> Iterator[Shape]:
    for start, end in hatch_lines(ground):
        yield line(start, end, colour=SOFT, width=0.6)


def zone_parts(placing: Placing, zones: Sequence[Zone], paper: BaseGeometry) -> Iterator[Shape]:
    """Edges of zones as broken lines, without the edge of the paper."""
    for zone in zones:
        edge = placing.ground(ground_of(zone.polygons)).boundary.intersection(paper)
        for run in runs_of(edge):
            yield polyline(run, colour=SOFT, width=0.9, dash=(4, 3))


def track_parts(placing: Placing, tracks: Sequence[Track], paper: BaseGeometry) -> Iterator[Shape]:
    for track in tracks:
        if len(track.points) > 1:
            way = LineString([placing.point(point) for point in track.points])
            for run in runs_of(way.intersection(paper)):
                yield polyline(run, colour=ACCENT, width=0.8)


def runs_of(found: BaseGeometry) -> Iterator[list[Point]]:
    """The lines of what an intersection gave, finest bends straightened."""
    if isinstance(found, LineString):
        if not found.is_empty:
            yield list(found.simplify(FINEST).coords)
    elif isinstance(found, MultiLineString) or hasattr(found, "geoms"):
        for part in found.geoms:
            yield from runs_of(part)


def landmark_parts(
    placing: Placing, landmarks: Sequence[Landmark], paper: BaseGeometry
) -> Iterator[Shape]:
    left, bottom, right, top = paper.bounds
    for landmark in landmarks:
        points = [placing.point(point) for point in landmark.points]
        if landmark.kind == "point":
            for x, y in points:
                if left <= x <= right and bottom <= y <= top:
                    yield Circle(x, y, 3.2, fillColor=PAPER, strokeColor=INK, strokeWidth=1.6)
        elif landmark.kind == "line" or len(points) < 3:
            for run in runs_of(LineString(points).intersection(paper)):
                yield polyline(run, colour=INK, width=1.1, dash=(9, 2, 2, 2))
        else:
            shape = make_valid(Polygon(points)).intersection(paper)
            yield outline(rings_of(shape), stroke=INK, width=1.1)


def names_on(
    placing: Placing,
    name: str,
    field: BaseGeometry,
    zones: Sequence[Zone],
    landmarks: Sequence[Landmark],
    paper: BaseGeometry,
) -> list[Name]:
    """What is to be named and where it stands, the weightiest first."""
    wanted = []
    if name:
        at = field.representative_point()
        wanted.append(Name(name, (at.x, at.y), bold=True, centred=True))
    for landmark in landmarks:
        points = [placing.point(point) for point in landmark.points]
        if landmark.kind == "line" and len(points) > 1:
            shown = LineString(points).intersection(paper)
            if shown.is_empty:
                continue
            middle = (
                shown.interpolate(0.5, normalized=True)
                if shown.geom_type == ("LineString")
                else shown.representative_point()
            )
            wanted.append(Name(landmark.label, (middle.x, middle.y)))
        elif points:
            wanted.append(Name(landmark.label, points[0]))
    for zone in zones:
        shown = placing.ground(ground_of(zone.polygons)).intersection(paper)
        inside = shown.intersection(field)
        at = (shown if inside.is_empty else inside).representative_point()
        if zone.label and not at.is_empty:
            wanted.append(Name(zone.label, (at.x, at.y)))
    return wanted
