"""Loads and features written out, so that what is written and read again can be compared."""

import csv
import io
import json
from collections.abc import Iterable
from datetime import datetime
from typing import Any

import shapely

from farmrecords.formats.features import labels_of
from farmrecords.formats.load_cells import GUARDED
from farmrecords.formats.load_rows import LoadRow
from farmrecords.formats.shapes import FeatureRow

EXPORT_HEADINGS = (
    "Started at",
    "Ended at",
    "Field",
    "Storage",
    "Spreader",
    "Driver",
    "Method",
    "Amount",
    "Amount per load",
    "Unit",
    "Measured by",
    "Loads",
    "Incorporated at",
    "Ground",
    "Note",
)


def write_loads(rows: Iterable[LoadRow]) -> bytes:
    """The rows as CSV (RFC 4180, UTF-8 with byte order mark) that `read_loads` reads back.

    Texts a spreadsheet would run as a formula get a single quote in front, which reading takes
    off again.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(EXPORT_HEADINGS)
    for row in rows:
        writer.writerow(_exported(row))
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8")


def _exported(row: LoadRow) -> list[str]:
    amount = "" if row.amount_unit == "load" else f"{row.amount:f}"
    started = row.started_at.isoformat() if row.time_known else f"{row.started_at:%Y-%m-%d}"
    return [
        started,
        _stamp(row.ended_at),
        guarded(row.field_label),
        guarded(row.storage_label),
        guarded(row.spreader_label),
        guarded(row.driver),
        guarded(row.method),
        "" if row.per_load else amount,
        amount if row.per_load else "",
        row.amount_unit if amount else "",
        guarded(row.measured_by),
        "" if row.loads_counted is None else str(row.loads_counted),
        _stamp(row.incorporated_at),
        guarded(row.ground),
        guarded(row.note),
    ]


def _stamp(at: datetime | None) -> str:
    return "" if at is None else at.isoformat()


def guarded(text: str) -> str:
    """The text with a single quote in front when a spreadsheet might run it as a formula."""
    return f"'{text}" if text.lstrip("'").startswith(GUARDED) else text


def write_features(rows: Iterable[FeatureRow]) -> bytes:
    """The rows as a GeoJSON FeatureCollection that `read_features` reads back.

    Outer rings run counter-clockwise, holes clockwise (RFC 7946, section 3.1.6).
    """
    features = [_written(row) for row in rows]
    collection = {"type": "FeatureCollection", "features": features}
    return json.dumps(collection, ensure_ascii=False, allow_nan=False, indent=1).encode("utf-8")


def _written(row: FeatureRow) -> dict[str, Any]:
    geometry = json.loads(shapely.to_geojson(shapely.orient_polygons(row.geometry)))
    properties = dict(row.properties)
    name, kind = labels_of(properties)
    if row.name and name != row.name:
        properties["name"] = row.name
    if row.kind and kind != row.kind:
        properties["kind"] = row.kind
    return {"type": "Feature", "properties": properties, "geometry": geometry}
