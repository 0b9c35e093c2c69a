"""GeoJSON for the movable map; the table on the page holds the same facts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from farmrecords.calculations.rate import share_of_highest
from farmrecords.farm.geometry import to_geojson, to_shape
from farmrecords.farm.models import Feature, Field
from farmrecords.findings.pictures import near_features
from farmrecords.findings.zones import zones_of
from farmrecords.loads.facts import facts_of
from farmrecords.loads.models import Load


def map_row(geometry: Any, kind: str, label: str, **more: Any) -> dict[str, Any]:
    """One GeoJSON feature as the map reads it; the geometry is GeoJSON already."""
    return {
        "type": "Feature",
        "geometry": geometry,
        "properties": {"kind": kind, "label": label, **more},
    }


def collection(rows: Iterable[dict[str, Any]]) -> dict[str, Any]:
    """A GeoJSON feature collection of map rows."""
    return {"type": "FeatureCollection", "features": list(rows)}


def field_rows(field: Field, on: Any) -> list[dict[str, Any]]:
    """Outline, features and closed ground of a field on a day."""
    version = field.version_on(on)
    boundary = to_shape(version.boundary) if version else None
    if boundary is None:
        return []
    features = near_features(field, boundary, on)
    rows = [map_row(to_geojson(boundary), "field", str(field))]
    rows += [
        map_row(area.__geo_interface__, "zone", label)
        for label, area in zones_of(field, boundary, features, on)
    ]
    rows += [_feature_row(feature) for feature in features]
    return rows


def _feature_row(feature: Feature) -> dict[str, Any]:
    return map_row(feature.geometry, "feature", feature.name or str(feature.get_kind_display()))


def load_map(load: Load, kept: Any) -> dict[str, Any]:
    """Everything to see of one load."""
    rows: list[dict[str, Any]] = []
    for part in load.parts.all():
        rows += field_rows(part.field, load.local_day)
    return collection(rows + _swaths(kept.parts))


def year_map(field: Field, on: Any, loads: Iterable[Load]) -> dict[str, Any]:
    """A field with the ground its loads covered."""
    told = [part for load in loads for part in facts_of(load).parts]
    mine = [part for part in told if str(part["field"]) == str(field.pk)]
    return collection(field_rows(field, on) + _swaths(mine))


def _swaths(parts: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    covered = [part for part in parts if part["footprint"] and part["rate_per_ac"]]
    shades = share_of_highest([part["rate_per_ac"] for part in covered])
    return [
        map_row(
            part["footprint"],
            "swath",
            f"{part['rate_per_ac']:,.0f} {part['rate_unit']}",
            shade=shade,
        )
        for part, shade in zip(covered, shades, strict=True)
    ]


def fields_map(versions: Iterable[tuple[Field, Any]], url_of: Any) -> dict[str, Any]:
    """The outlines of many fields with their names, each leading to its page."""
    return collection(
        map_row(version.boundary, "field", field.number, url=url_of(field))
        for field, version in versions
        if version and version.boundary
    )
