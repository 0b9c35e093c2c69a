"""Readers as the bounded process calls them: bytes in, plain JSON values out, no database.

Each takes the bytes, the answers given so far and a context of plain values, and returns a
`ReadResult` whose items are plain dictionaries.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import shapely

from farmrecords.formats.archives import is_zip
from farmrecords.formats.common import FormatError, ReadResult, refuse_large
from farmrecords.formats.gpx import read_track
from farmrecords.formats.load_rows import LoadRow, Mapping
from farmrecords.formats.loads_csv import read_loads, suggest_mapping
from farmrecords.formats.loads_xlsx import read_xlsx_loads, suggest_xlsx_mapping
from farmrecords.formats.maps import read_map
from farmrecords.formats.shapes import FeatureRow
from farmrecords.formats.tracks import TrackSegment
from farmrecords.intake import readers_land, readers_logs

Answers = dict[str, str]
Context = dict[str, Any]
Read = Callable[[bytes, Answers, Context], ReadResult[dict[str, Any]]]

MAPPING_ANSWERS = ("amount_unit", "date_order", "decimal_comma", "hour_twice", "repeats")


def loads(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """A list of loads as CSV or workbook. The first item says by which key the headings go."""
    refuse_large(data)
    today = _day(context.get("today"))
    if is_zip(data):
        mapping = suggest_xlsx_mapping(data, answers.get("sheet", ""))
        given = _answered(mapping, answers) if answers.get("sheet") or mapping.columns else None
        found = read_xlsx_loads(data, zone=context["zone"], mapping=given, today=today)
    else:
        mapping = suggest_mapping(data)
        found = read_loads(
            data, zone=context["zone"], mapping=_answered(mapping, answers), today=today
        )
    head = {"headers_key": _headers_key(mapping)}
    return _plain(found, [head, *(_load(row) for row in found.items)])


def _answered(mapping: Mapping, answers: Answers) -> Mapping:
    known = {
        key: value
        for key, value in answers.items()
        if key in MAPPING_ANSWERS or key.startswith("column_")
    }
    for key, value in known.items():
        if key.startswith("column_") and not value.isdigit():
            raise FormatError(f"“{value}” is no column.", "Choose one of those listed.")
    return mapping.answered(**known)


def _headers_key(mapping: Mapping) -> str:
    names = "\n".join(" ".join(header.casefold().split()) for header in mapping.headers)
    return hashlib.sha256(names.encode("utf-8", "surrogatepass")).hexdigest()


def _load(row: LoadRow) -> dict[str, Any]:
    return {name: _value(value) for name, value in dataclasses.asdict(row).items()}


def _value(value: Any) -> Any:
    if isinstance(value, dt.datetime):
        return value.isoformat()
    return f"{value:f}" if isinstance(value, Decimal) else value


def shapes(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """Boundaries or features as GeoJSON, KML, KMZ or a zipped shapefile."""
    box = tuple(context["box"]) if context.get("box") else None
    found = read_map(data, box=box, answers=answers)  # type: ignore[arg-type]
    return _plain(found, [_shape(row) for row in found.items])


def _shape(row: FeatureRow) -> dict[str, Any]:
    properties = {
        str(key): value
        for key, value in row.properties.items()
        if isinstance(value, str | int | float | bool)
    }
    return {
        "row_number": row.row_number,
        "name": row.name,
        "kind": row.kind,
        "properties": properties,
        "geometry": shapely.to_geojson(row.geometry),
        "repaired": dataclasses.asdict(row.repaired) if row.repaired else None,
    }


def track(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """The segments of a GPX track."""
    refuse_large(data)
    found = read_track(
        data, zone=context["zone"], answers=answers, today=_day(context.get("today"))
    )
    return _plain(found, [_segment(row) for row in found.items])


def _segment(row: TrackSegment) -> dict[str, Any]:
    return {
        "row_number": row.row_number,
        "name": row.name,
        "points": [[_value(point.at), point.lon, point.lat] for point in row.points],
    }


def _day(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None


def _plain(found: ReadResult[Any], items: list[dict[str, Any]]) -> ReadResult[dict[str, Any]]:
    return ReadResult(items, found.rejected, found.warnings, found.needs)


READERS: dict[str, Read] = {
    "loads": loads,
    "shapes": shapes,
    "track": track,
    "nmea": readers_logs.nmea,
    "weight_log": readers_logs.weight_log,
    "machine_record": readers_logs.machine_record,
    "ghcn": readers_land.ghcn,
    "gauge": readers_land.gauge,
    "weather_service": readers_land.weather_service,
    "waters": readers_land.waters,
    "soils": readers_land.soils,
}
