"""Boundaries and features as GeoJSON (RFC 7946)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from farmrecords.formats.common import Answers, FormatError, ReadResult, shown
from farmrecords.formats.features import labels_of, settled
from farmrecords.formats.shapes import Box, Drawn, FeatureRow
from farmrecords.formats.strict_json import read_json

# Names of WGS84 longitude, latitude in the member `crs` of the older form of GeoJSON (2008).
WGS84_NAMES = frozenset(
    {
        "urn:ogc:def:crs:ogc:1.3:crs84",
        "urn:ogc:def:crs:ogc::crs84",
        "ogc:crs84",
        "epsg:4326",
        "urn:ogc:def:crs:epsg::4326",
    }
)


def read_features(
    data: bytes, *, box: Box | None = None, answers: Answers | None = None
) -> ReadResult[FeatureRow]:
    """The features of a GeoJSON file in WGS84 longitude, latitude.

    `box` is where the farm is expected (west, south, east, north). Every repair of an outline is
    asked as `repair:<row_number>`, exchanged coordinates as `swap`, positions beyond the box as
    `outside`; answer in `answers` and read again.
    """
    value, notes = read_json(data)
    if not isinstance(value, dict):
        raise FormatError("The file is JSON, but not GeoJSON.", "Export it as GeoJSON.")
    _refuse_other_crs(value)
    return settled(list(_drawn(value)), box=box, answers=answers, notes=notes)


def _refuse_other_crs(holder: dict[str, Any]) -> None:
    crs = holder.get("crs")
    if crs is None:
        return
    properties = crs.get("properties") if isinstance(crs, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    if not isinstance(name, str) or name.casefold() not in WGS84_NAMES:
        raise FormatError(
            f"The file says it is in another projection ({shown(name or crs)}).",
            "Export it again as WGS84 longitude and latitude (EPSG:4326).",
        )


def _drawn(value: dict[str, Any]) -> Iterator[Drawn]:
    kind = value.get("type")
    if kind == "FeatureCollection":
        features = value.get("features")
        if not isinstance(features, list):
            raise FormatError("The collection has no list of features.", "Export it again.")
    elif kind == "Feature":
        features = [value]
    else:
        features = [{"type": "Feature", "properties": {}, "geometry": value}]
    for number, feature in enumerate(features, 1):
        yield _one(number, feature)


def _one(number: int, feature: Any) -> Drawn:
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        raise FormatError(f"Entry {number} of the file is not a feature.", "Export it again.")
    _refuse_other_crs(feature)
    properties = feature.get("properties")
    properties = properties if isinstance(properties, dict) else {}
    name, kind = labels_of(properties)
    if not name and isinstance(feature.get("id"), str | int):
        name = str(feature["id"])[:200]
    geometry = feature.get("geometry")
    if not isinstance(geometry, dict):
        return Drawn(number, name, kind, properties, "nothing", None)
    _refuse_other_crs(geometry)
    shape = geometry.get("type")
    return Drawn(number, name, kind, properties, str(shape), geometry.get("coordinates"))
