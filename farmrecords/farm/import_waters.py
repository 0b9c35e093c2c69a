"""Public water maps as they come in: segments of one water joined, kinds by the code table."""

from __future__ import annotations

import json
from collections import defaultdict
from typing import Any

import shapely
from django.utils.translation import gettext_lazy
from shapely.geometry import shape

from farmrecords.farm.import_features import summarise_features, take_over_features
from farmrecords.farm.import_shapes import box_of, plain
from farmrecords.intake.kinds import Summary, register_kind
from farmrecords.people.access import Seat


def summarise_waters(seat: Seat, items: list[dict[str, Any]], answers: dict[str, str]) -> Summary:
    """What a water map would bring, as features; a code nobody knows is asked, never dropped."""
    return summarise_features(seat, joined(items), answers)


def joined(items: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Waters with one name and kind as one feature each; those without a name on their own."""
    groups: dict[tuple[str, str, int], list[dict[str, Any]]] = defaultdict(list)
    for item in items:
        kind = item["kind"] or (f"code {item['code']}" if item["code"] else "")
        alone = 0 if item["name"] else item["row_number"]
        groups[kind, plain(item["name"]), alone].append(item | {"kind": kind})
    return [_one(group) for group in groups.values()]


def _one(group: list[dict[str, Any]]) -> dict[str, Any]:
    if len(group) == 1:
        return group[0]
    shapes = [shape(json.loads(item["geometry"])) for item in group]
    whole = shapely.union_all(shapes)
    if whole.geom_type in ("MultiLineString", "GeometryCollection"):
        whole = shapely.line_merge(whole) if whole.geom_type == "MultiLineString" else whole
    return group[0] | {"geometry": shapely.to_geojson(whole)}


register_kind(
    "waters",
    gettext_lazy("public water map (streams, lakes, wetlands)"),
    "waters",
    summarise_waters,
    take_over_features,
    endings=(".zip", ".geojson", ".json"),
    help=gettext_lazy(
        "A zipped shapefile or GeoJSON of a public hydrography. Its lines may lie about 40 ft off "
        "(from memory): walk those that matter."
    ),
    context=box_of,
)
