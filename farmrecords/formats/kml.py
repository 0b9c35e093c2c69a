"""Boundaries and features as KML 2.2 or KMZ: places with their outlines, paths and points.

Nothing a file points to is ever fetched. A field drawn as a closed path instead of an outline is
asked about.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from xml.etree.ElementTree import Element

from farmrecords.formats.archives import Archive, is_zip
from farmrecords.formats.common import (
    MAX_FEATURES,
    Answers,
    Choice,
    FormatError,
    Question,
    ReadResult,
    shown,
)
from farmrecords.formats.features import labels_of, settled
from farmrecords.formats.numerals import plain_float
from farmrecords.formats.outlines import FEET_PER_METRE, WGS84
from farmrecords.formats.safe_xml import local_name, xml_events
from farmrecords.formats.shapes import Box, Drawn, FeatureRow

_SHAPES = {"Point": "MultiPoint", "LineString": "MultiLineString", "Polygon": "MultiPolygon"}
# A path is taken for an outline when its ends are this near, as a share of its length.
NEARLY_CLOSED = 0.05


@dataclass
class _Book:
    """What is known while the places of a file are read."""

    answers: Answers
    notes: list[str] = field(default_factory=list)
    needs: list[Question] = field(default_factory=list)
    folders: list[str] = field(default_factory=list)
    without: int = 0
    links: int = 0


def read_kml(
    data: bytes, *, box: Box | None = None, answers: Answers | None = None
) -> ReadResult[FeatureRow]:
    """The places of a KML or KMZ file in WGS84 longitude, latitude.

    Questions: those of `features.settled`, and `close:<row_number>` for a path that ends where it
    began (outline or line).
    """
    book = _Book(answers or {})
    drawn = list(_places(_document(data, book), book))
    if book.without:
        book.notes.append(f"{book.without} places without a shape were left out.")
    if book.links:
        book.notes.append("The file points to other files; they were not fetched.")
    result = settled(drawn, box=box, answers=book.answers, notes=book.notes)
    return ReadResult(result.items, result.rejected, result.warnings, book.needs + result.needs)


def _document(data: bytes, book: _Book) -> bytes:
    """The KML text itself, out of its KMZ when it stands in one."""
    if not is_zip(data):
        return data
    archive = Archive(data)
    found = archive.named(".kml")
    if not found:
        raise FormatError("The archive holds no .kml file.", "Export the map again as KML.")
    at_root = [name for name in found if "/" not in name]
    chosen = (at_root or found)[0]
    if len(found) > 1:
        book.notes.append(f"The archive holds several maps; “{shown(chosen)}” was read.")
    return archive.read(chosen)


def _places(data: bytes, book: _Book) -> Iterator[Drawn]:
    path: list[str] = []
    number = 0
    for event, tag, element in xml_events(data):
        if event == "start":
            if not path and tag not in ("kml", "Document", "Folder", "Placemark"):
                raise FormatError(f"The file is XML, but not KML (it begins with {shown(tag)}).")
            path.append(tag)
            if tag == "Folder":
                book.folders.append("")
            continue
        path.pop()
        if tag == "Placemark":
            number += 1
            if number > MAX_FEATURES:
                raise FormatError(
                    f"The map has more than {MAX_FEATURES:,} places.", "Cut it to the farm's land."
                )
            if (place := _place(number, element, book)) is not None:
                yield place
        elif tag == "name" and path[-1:] == ["Folder"]:
            book.folders[-1] = (element.text or "").strip()[:200]
        elif tag == "Folder":
            book.folders.pop()
        elif tag == "NetworkLink":
            book.links += 1
        if "Placemark" not in path:
            element.clear()


def _place(number: int, element: Element, book: _Book) -> Drawn | None:
    properties = _properties(element)
    name = _child_text(element, "name") or labels_of(properties)[0]
    kind = labels_of(properties)[1] or (book.folders[-1] if book.folders else "")
    shapes = [shape for child in element for shape in _shapes(child, 0)]
    if not shapes:
        book.without += 1
        return None
    kinds = {shape for shape, _ in shapes}
    if len(kinds) > 1:
        return Drawn(number, name, kind, properties, " and ".join(sorted(kinds)), None)
    shape = kinds.pop()
    if len(shapes) > 1:
        return Drawn(number, name, kind, properties, _SHAPES[shape], [c for _, c in shapes])
    return _asked_to_close(Drawn(number, name, kind, properties, shape, shapes[0][1]), book)


def _properties(element: Element) -> dict[str, Any]:
    """ExtendedData of both forms (Data/value and SimpleData) and the description."""
    found: dict[str, Any] = {}
    for child in element:
        if local_name(child) == "description" and child.text:
            found["description"] = child.text.strip()[:2_000]
        if local_name(child) != "ExtendedData":
            continue
        for data in child.iter():
            key = data.get("name")
            if local_name(data) == "SimpleData" and key:
                found[key] = (data.text or "").strip()
            elif local_name(data) == "Data" and key:
                found[key] = _child_text(data, "value")
    return found


def _child_text(element: Element, tag: str) -> str:
    for child in element:
        if local_name(child) == tag:
            return (child.text or "").strip()[:200]
    return ""


def _shapes(element: Element, depth: int) -> list[tuple[str, Any]]:
    """Kinds and coordinates of the shapes in an element, out of nested MultiGeometry."""
    tag = local_name(element)
    if tag == "MultiGeometry":
        return [shape for child in element for shape in _shapes(child, depth + 1)]
    if tag == "Point":
        line = _line(element)
        return [("Point", line[0] if line else [])]
    if tag in ("LineString", "LinearRing"):
        return [("LineString" if tag == "LineString" else "Polygon",
                 _line(element) if tag == "LineString" else [_line(element)])]  # fmt: skip
    if tag == "Polygon":
        outer = [_line(b) for b in element if local_name(b) == "outerBoundaryIs"]
        inner = [_line(b) for b in element if local_name(b) == "innerBoundaryIs"]
        return [("Polygon", outer[:1] + inner)]
    return []


def _line(element: Element) -> list[list[Any]]:
    """The positions below an element: “lon,lat[,height]” parted by white space."""
    texts = [e.text or "" for e in element.iter() if local_name(e) == "coordinates"]
    positions = []
    for one in " ".join(texts).split():
        parts = one.split(",")
        numbers = [plain_float(part) for part in parts[:2]]
        positions.append(
            [part if n is None else n for part, n in zip(parts, numbers, strict=False)]
        )
    return positions


def _asked_to_close(place: Drawn, book: _Book) -> Drawn:
    """The place, with a closed or nearly closed path turned into an outline when told so."""
    if place.shape != "LineString" or not _is_nearly_closed(place.coordinates):
        return place
    key = f"close:{place.row_number}"
    answer = book.answers.get(key, "")
    label = place.name or f"place {place.row_number}"
    if answer == "outline":
        book.notes.append(f"{label}: the path was taken as an outline, as answered.")
        return Drawn(place.row_number, place.name, place.kind, place.properties, "Polygon",
                     [place.coordinates])  # fmt: skip
    if answer != "line":
        book.needs.append(
            Question(
                key=key,
                asked=f"{label} is drawn as a path that ends where it began. Is it an outline?",
                choices=(Choice("outline", "yes, an outline"), Choice("line", "no, a line")),
                suggested="outline",
            )
        )
    return place


def _is_nearly_closed(line: list[list[Any]]) -> bool:
    numbers = all(len(p) == 2 and isinstance(p[0], float) and isinstance(p[1], float) for p in line)
    if len(line) < 4 or not numbers or any(abs(y) > 90 or abs(x) > 360 for x, y in line):
        return False
    lons, lats = zip(*line, strict=True)
    length_ft = WGS84.line_length(lons, lats) * FEET_PER_METRE
    gap_ft = WGS84.inv(*line[0], *line[-1])[2] * FEET_PER_METRE
    return bool(gap_ft <= NEARLY_CLOSED * length_ft)
