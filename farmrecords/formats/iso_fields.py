"""Fields and what lies in them, out of task data: PFD with PLN, LSG and PNT.

Rings of version 3 may be left open and one PLN may carry several outlines; every ring is closed
and each hole goes to the outline around it (reference on data formats, section 1.2).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from xml.etree.ElementTree import Element

from farmrecords.formats.numerals import plain_float
from farmrecords.formats.outlines import SQUARE_METRES_PER_ACRE
from farmrecords.formats.rings import with_holes
from farmrecords.formats.shapes import Drawn

AREAS = {
    "1": "boundary", "3": "water surface", "4": "building", "5": "road", "6": "obstacle",
    "9": "boundary", "11": "buffer zone", "12": "windbreak",
}  # fmt: skip
LINES = {"6": "drainage", "7": "fence", "9": "obstacle"}
POINTS = {"3": "field access", "4": "storage", "5": "obstacle"}
_OUTER, _INNER = "1", "2"


def fields_of(root: Element) -> Iterator[Drawn]:
    """The boundaries of the fields, then what lies in them, numbered as they come."""
    number = 0
    for field in root.findall("PFD"):
        name = (field.get("C") or "").strip()[:200]
        boundaries: list[Any] = []
        others: list[tuple[str, str, str, Any]] = []
        for area in field.findall("PLN"):
            kind = AREAS.get(area.get("A") or "")
            if kind == "boundary" and area.get("A") == "1":
                boundaries.extend(_polygons(area))
            elif kind:
                others.append((area.get("B") or name, kind, "MultiPolygon", _polygons(area)))
        others.extend(_lines_and_points(field, name))
        if boundaries:
            number += 1
            shape = ("Polygon", boundaries[0]) if len(boundaries) == 1 else None
            kind_of, coordinates = shape or ("MultiPolygon", boundaries)
            yield Drawn(number, name, "boundary", _properties(field), kind_of, coordinates)
        for other_name, kind, shape_name, coordinates in others:
            number += 1
            properties = {"field": field.get("A") or ""}
            yield Drawn(number, other_name.strip()[:200], kind, properties, shape_name, coordinates)


def _properties(field: Element) -> dict[str, Any]:
    """Ids and the acres the file states, which may differ from those of the outline."""
    properties: dict[str, Any] = {"field": field.get("A") or "", "code": field.get("B") or ""}
    properties["farm"] = field.get("F") or ""
    area_m2 = plain_float(field.get("D") or "")
    if area_m2:  # 0 means unknown in practice
        properties["stated_ac"] = round(area_m2 / SQUARE_METRES_PER_ACRE, 4)
    return properties


def _polygons(area: Element) -> list[Any]:
    """The outlines of a PLN with their holes, closed."""
    outer = [_ring(line) for line in area.findall("LSG") if line.get("A") == _OUTER]
    inner = [_ring(line) for line in area.findall("LSG") if line.get("A") == _INNER]
    rings = outer + inner
    if any(not ring or not _all_numbers(ring) for ring in rings):
        return [[ring] for ring in rings]  # the checks of every geometry name the bad point
    return with_holes(outer, inner) if outer else []


def _ring(line: Element) -> list[Any]:
    points = _points(line)
    return points if not points or points[0] == points[-1] else [*points, points[0]]


def _points(line: Element) -> list[Any]:
    """East, north of each point; what is no number stays as text for the checks to name."""
    return [(_number(point.get("D")), _number(point.get("C"))) for point in line.findall("PNT")]


def _number(text: str | None) -> Any:
    number = plain_float((text or "").strip())
    return text if number is None else number


def _all_numbers(points: list[Any]) -> bool:
    return all(isinstance(x, float) and isinstance(y, float) for x, y in points)


def _lines_and_points(field: Element, name: str) -> Iterator[tuple[str, str, str, Any]]:
    for line in field.findall("LSG"):
        if kind := LINES.get(line.get("A") or ""):
            yield line.get("B") or name, kind, "LineString", _points(line)
    for point in field.findall("PNT"):
        if kind := POINTS.get(point.get("A") or ""):
            position = (_number(point.get("D")), _number(point.get("C")))
            yield point.get("B") or name, kind, "Point", position
