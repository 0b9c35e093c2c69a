"""The .shp and .dbf members of a Shapefile, read record by record within bounds.

Layout: ESRI Shapefile Technical Description (1998) and the dBASE III table. The .shx index is
not needed: records follow one another.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import Any

import numpy as np

from farmrecords.formats.common import MAX_FEATURES, MAX_VERTICES, FormatError
from farmrecords.formats.rings import grouped_rings
from farmrecords.formats.shapes import Box, Position

_DAMAGED = "Copy all files of the Shapefile again into one ZIP file."
# shape type -> kind; the Z and M forms (+10, +20) carry heights and measures, which are dropped
_KINDS = {1: "Point", 3: "LineString", 5: "Polygon", 8: "MultiPoint"}
MAX_DBF_FIELDS = 255


def shapes_of(
    data: bytes, most: int = MAX_FEATURES, near: Box | None = None
) -> Iterator[tuple[str, Any]]:
    """The kind and the coordinates of each record of a .shp file, in order.

    Lines and areas whose bounds do not touch `near` (in the file's own numbers) are passed over
    as “elsewhere”; `most` counts the others.
    """
    if len(data) < 100 or struct.unpack_from(">i", data)[0] != 9994:
        raise FormatError("The .shp file does not begin like a Shapefile.", _DAMAGED)
    at, count = 100, 0
    while at + 12 <= len(data):
        words, kind = struct.unpack_from(">xxxxi", data, at)[0], _kind(data, at + 8)
        size = words * 2
        if size < 4 or at + 8 + size > len(data):
            raise FormatError(f"The .shp file is cut off or damaged at byte {at}.", _DAMAGED)
        body = data[at + 12 : at + 8 + size]
        if near and kind % 10 in (3, 5) and size >= 36 and not _touches(body, near):
            yield "elsewhere", None
        else:
            count += 1
            yield _shape(kind, body, at)
        if count > most:
            raise FormatError(
                f"The Shapefile has more than {most:,} shapes.", "Cut it to the farm's land."
            )
        at += 8 + size
    if at != len(data):
        raise FormatError(f"The .shp file is cut off at byte {at}.", _DAMAGED)


def _kind(data: bytes, at: int) -> int:
    return int(struct.unpack_from("<i", data, at)[0])


def _touches(body: bytes, near: Box) -> bool:
    """Do the bounds stated in a record touch a box? Bounds that are no numbers do."""
    west, south, east, north = struct.unpack_from("<4d", body)
    return not (west > near[2] or east < near[0] or south > near[3] or north < near[1])


def _shape(kind: int, body: bytes, at: int) -> tuple[str, Any]:
    name = "" if kind == 0 else _KINDS.get(kind % 10, "")
    if not 0 <= kind < 30 or (kind and not name):
        raise FormatError(f"The shape at byte {at} is of the unknown kind {kind}.", _DAMAGED)
    try:
        if name == "Point":
            return name, struct.unpack_from("<2d", body)
        if name == "MultiPoint":
            (points,) = struct.unpack_from("<i", body, 32)
            return name, _points(body, 36, points)
        if name:
            return _parts(name, body)
    except (struct.error, ValueError, IndexError):
        raise FormatError(f"The shape at byte {at} is damaged.", _DAMAGED) from None
    return "nothing", None


def _parts(name: str, body: bytes) -> tuple[str, Any]:
    part_count, point_count = struct.unpack_from("<2i", body, 32)
    if not 0 < part_count <= point_count:
        raise ValueError("counts")
    starts = struct.unpack_from(f"<{part_count}i", body, 40)
    points = _points(body, 40 + 4 * part_count, point_count)
    ends = [*starts[1:], point_count]
    if starts[0] != 0 or any(a >= b for a, b in zip(starts, ends, strict=True)):
        raise ValueError("parts")
    lines = [points[a:b] for a, b in zip(starts, ends, strict=True)]
    if name == "LineString":
        return (name, lines[0]) if len(lines) == 1 else ("MultiLineString", lines)
    polygons = grouped_rings(lines)
    return (name, polygons[0]) if len(polygons) == 1 else ("MultiPolygon", polygons)


def _points(body: bytes, at: int, count: int) -> list[Position]:
    if not 0 < count <= MAX_VERTICES or at + 16 * count > len(body):
        raise ValueError("points")
    flat = np.frombuffer(body, dtype="<f8", count=2 * count, offset=at)
    return [(float(x), float(y)) for x, y in flat.reshape(-1, 2)]


def dbf_rows(data: bytes, encoding: str, most: int = MAX_FEATURES + 1) -> Iterator[dict[str, Any]]:
    """The rows of a .dbf table; deleted rows come as empty, to keep step with the shapes."""
    if len(data) < 33:
        raise FormatError("The .dbf file is cut off.", _DAMAGED)
    count, header_size, row_size = struct.unpack_from("<4xIHH", data)
    fields = _dbf_fields(data, header_size, encoding)
    if row_size != 1 + sum(width for _, _, width in fields) or count > most:
        raise FormatError("The .dbf file is damaged or too large.", _DAMAGED)
    for number in range(count):
        row = data[header_size + number * row_size :][:row_size]
        if len(row) < row_size:
            raise FormatError(f"The .dbf file is cut off at row {number + 1}.", _DAMAGED)
        yield {} if row[:1] == b"*" else _dbf_row(row, fields, encoding)


def _dbf_fields(data: bytes, header_size: int, encoding: str) -> list[tuple[str, str, int]]:
    fields: list[tuple[str, str, int]] = []
    at = 32
    while at + 32 <= min(header_size, len(data)) and data[at] != 0x0D:
        name = data[at : at + 11].split(b"\0")[0].decode(encoding, "replace").strip()
        fields.append((name, chr(data[at + 11]), data[at + 16]))
        at += 32
        if len(fields) > MAX_DBF_FIELDS:
            raise FormatError(f"The .dbf file has more than {MAX_DBF_FIELDS} columns.", _DAMAGED)
    return fields


def _dbf_row(row: bytes, fields: list[tuple[str, str, int]], encoding: str) -> dict[str, Any]:
    values: dict[str, Any] = {}
    at = 1
    for name, kind, width in fields:
        raw = row[at : at + width]
        at += width
        if not width or not name:
            continue
        text = raw.decode(encoding, "strict").replace("\0", " ").strip()
        values[name] = _dbf_value(text, kind)
    return values


def _dbf_value(text: str, kind: str) -> Any:
    """Numbers as numbers, dates as ISO text, yes and no, else the text; blank is None."""
    if not text or set(text) == {"*"}:
        return None
    if kind in "NF" and text.isascii() and "_" not in text:
        try:
            return int(text) if text.lstrip("+-").isdigit() else _finite(float(text))
        except ValueError:
            return text
    if kind == "D" and len(text) == 8 and text.isdigit():
        return f"{text[:4]}-{text[4:6]}-{text[6:]}"
    if kind == "L":
        return {"t": True, "y": True, "f": False, "n": False}.get(text.lower())
    return text


def _finite(number: float) -> float | None:
    return number if np.isfinite(number) else None
