"""Rings of a file sorted into polygons: which hole lies in which outline."""

from __future__ import annotations

import shapely

from farmrecords.formats.shapes import Line, Position


def grouped_rings(rings: list[Line]) -> list[list[Line]]:
    """Rings as polygons: clockwise ones are outlines, each hole goes to the one around it.

    When no ring is clockwise every ring is an outline of its own.
    """
    outer = [ring for ring in rings if _signed_area(ring) < 0]
    holes = [ring for ring in rings if _signed_area(ring) >= 0]
    if not outer or len(rings) == 1:
        return [[ring] for ring in rings]
    return with_holes(outer, holes)


def with_holes(outer: list[Line], holes: list[Line]) -> list[list[Line]]:
    """Outlines with their holes; of several outlines around a hole the smallest takes it.

    A hole in no outline becomes an outline of its own.
    """
    polygons = [[ring] for ring in outer]
    if not holes:
        return polygons
    shells = [shapely.Polygon(ring) if len(ring) > 3 else shapely.Polygon() for ring in outer]
    areas = [abs(_signed_area(ring)) for ring in outer]
    points = [shapely.Point(hole[0]) for hole in holes]
    found = shapely.STRtree(shells).query(points, predicate="intersects")
    around: dict[int, int] = {}
    for hole, shell in zip(*found.tolist(), strict=True):
        if hole not in around or areas[shell] < areas[around[hole]]:
            around[hole] = shell
    for number, hole_ring in enumerate(holes):
        if number in around:
            polygons[around[number]].append(hole_ring)
        else:
            polygons.append([hole_ring])
    return polygons


def _signed_area(ring: list[Position]) -> float:
    """Twice the plane area: positive when the ring runs counter-clockwise."""
    x0, y0 = ring[0]
    total = 0.0
    for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1], strict=True):
        total += (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
    return total
