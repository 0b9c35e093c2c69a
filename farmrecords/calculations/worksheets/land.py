"""Worksheets of acres, distances and swaths."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from .. import geodesy, swath
from ..worksheet import Input, Output, Working, worksheet

SQUARE = {
    "type": "Polygon",
    "coordinates": [
        [[-89.5, 43.0], [-89.495, 43.0], [-89.495, 43.0036], [-89.5, 43.0036], [-89.5, 43.0]]
    ],
}
GEODESIC = "Geodesic polygon area on WGS84 (PROJ)"


def _corners(geometry: BaseGeometry) -> int:
    return len(shapely.get_coordinates(geometry))


@worksheet(
    "geodesic_area",
    title="Acres of a boundary on the ellipsoid",
    inputs=[Input("boundary", "lon/lat", meaning="polygon or multipolygon", kind="geometry")],
    outputs=[
        Output("area_ac", "ac", "acres, holes taken out"),
        Output("perimeter_ft", "ft", "length of all outlines"),
    ],
    source=GEODESIC,
    evidence="computed",
    example={"boundary": SQUARE},
)
def geodesic_area(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Acres and outline of a boundary given in longitude and latitude."""
    boundary = inputs["boundary"]
    corners = {"corners": _corners(boundary)}
    area = sheet.step(
        "Geodesic area, holes taken out",
        "area on the ellipsoid / 4046.8564224 m2",
        corners,
        geodesy.area_ac(boundary),
        "ac",
    )
    outline = sheet.step(
        "Length of the outline",
        "sum of geodesic sides / 0.3048 m",
        corners,
        geodesy.length_ft(boundary),
        "ft",
    )
    return {"area_ac": area, "perimeter_ft": outline}


@worksheet(
    "distance",
    title="Distance between two things on the land",
    inputs=[
        Input("from_shape", "lon/lat", meaning="point, line or area", kind="geometry"),
        Input("to_shape", "lon/lat", meaning="point, line or area", kind="geometry"),
    ],
    outputs=[Output("distance_ft", "ft", "shortest distance; 0 where they touch")],
    source="Transverse Mercator centred on the first shape",
    evidence="computed",
    example={
        "from_shape": {"type": "Point", "coordinates": [-89.5, 43.0]},
        "to_shape": {"type": "Point", "coordinates": [-89.5, 43.001]},
    },
)
def distance(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Shortest distance in feet, measured in a plane laid on the first shape."""
    near, far = inputs["from_shape"], inputs["to_shape"]
    result = geodesy.distance_ft(near, far)
    plane = geodesy.LocalPlane.centred_on(near)
    sheet.step(
        "Lay a plane on the first shape",
        "middle of its extent",
        {"shape": near.geom_type},
        {"lon": plane.lon, "lat": plane.lat},
        "degrees",
    )
    sheet.step("Shortest distance in the plane", "metres / 0.3048", {}, result, "ft")
    return {"distance_ft": result}


TRACK = (
    Input("at_s", "s", 0, None, "seconds since the start", optional=True),
    Input("lon", "degrees", -180, 180, "longitude"),
    Input("lat", "degrees", -90, 90, "latitude"),
    Input("on", "yes or no", meaning="discharge on", kind="yes_no", optional=True),
)


@worksheet(
    "footprint_area",
    title="Ground covered by a load's track",
    inputs=[
        Input("track", "rows", meaning="positions", kind="list", items=TRACK),
        Input(
            "width_ft", "ft", 0, swath.WIDEST_FT, "effective width (spacing between passes)",
            above=True, reason="wider than any spreader",
        ),
        Input(
            "side", "word", meaning="discharge side in the direction of travel", kind="choice",
            choices=("both", "left", "right", "rear", "unknown"),
        ),
    ],
    outputs=[
        Output("length_ft", "ft", "length driven with the discharge on"),
        Output("swept_ac", "ac", "length times width"),
        Output("covered_ac", "ac", "ground covered at least once"),
        Output("overlap_ac", "ac", "swept more than once"),
        Output("ground", "lon/lat", "the ground as a polygon"),
    ],
    source="Swath of a track, project measurements",
    evidence="computed",
    example={
        "track": [
            {"at_s": 0, "lon": -89.5, "lat": 43.0},
            {"at_s": 5, "lon": -89.5, "lat": 43.0002},
            {"at_s": 10, "lon": -89.5, "lat": 43.0004},
        ],
        "width_ft": 30,
        "side": "both",
    },
)  # fmt: skip
def footprint_area(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Covered, swept and overlapping acres of a track, two-sided or one-sided."""
    points = [
        swath.TrackPoint(row["at_s"], row["lon"], row["lat"], row["on"] is not False)
        for row in inputs["track"]
    ]
    ground = swath.footprint(points, inputs["width_ft"], inputs["side"])
    sheet.step(
        "Length with the discharge on, cut at gaps and jumps, thinned to 2.5 m",
        "sum of the stretches",
        {"positions": len(points)},
        ground.length_ft,
        "ft",
    )
    sheet.step(
        "Swept acres",
        "length x width / 43,560",
        {"length_ft": ground.length_ft, "width_ft": inputs["width_ft"]},
        ground.swept_ac,
        "ac",
    )
    sheet.step(
        "Covered acres: ground under at least one stretch",
        "geodesic area of the united swaths",
        {"side": inputs["side"]},
        ground.covered_ac,
        "ac",
    )
    sheet.step(
        "Overlap",
        "swept - covered, at least 0",
        {"swept_ac": ground.swept_ac, "covered_ac": ground.covered_ac},
        ground.overlap_ac,
        "ac",
    )
    return {
        "length_ft": ground.length_ft,
        "swept_ac": ground.swept_ac,
        "covered_ac": ground.covered_ac,
        "overlap_ac": ground.overlap_ac,
        "ground": ground.geometry,
    }
