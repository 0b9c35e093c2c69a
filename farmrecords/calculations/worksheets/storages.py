"""Worksheets of storages."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import storage_volume as storage
from ..units import GAL_PER_CUFT
from ..worksheet import Input, Output, Working, WorksheetError, worksheet

_SURFACE = {
    "rectangular": "length x width",
    "cylinder": "pi / 4 x diameter x diameter",
    "pond": "(length + both end slopes x depth) x (width + both side slopes x depth)",
    "round pond": "pi / 4 x (bottom diameter + 2 x slope x depth) squared",
    "lying cylinder": "2 x root of depth x (diameter - depth) x length",
    "stage table": "rise of volume per foot between the rows",
}


_LYING = "Segment of a circle, standard geometry, from memory"


def _size(name: str, meaning: str) -> Input:
    return Input(name, "ft", 0, 5000, meaning, optional=True, above=True)


def _slope(name: str) -> Input:
    words = f"slope of a pond's {SLOPES[name]}"
    return Input(name, "ft out per ft up", 0, 20, words, optional=True)


SLOPES = {
    "slope_end_1": "first end",
    "slope_end_2": "second end",
    "slope_side_1": "first side, or all round",
    "slope_side_2": "second side",
}
STAGE = (
    Input("depth_ft", "ft", 0, 200, "surveyed depth"),
    Input("volume_gal", "gal", 0, None, "volume at that depth"),
)


def _needed(inputs: Mapping[str, Any], *names: str) -> list[Any]:
    for name in names:
        if inputs[name] is None:
            raise WorksheetError(f"{name} is missing: a {inputs['shape']} storage needs it.")
    return [inputs[name] for name in names]


def shape_of(inputs: Mapping[str, Any]) -> storage.Shape:
    """Return the storage shape the inputs describe; raises WorksheetError for a missing size."""
    if inputs["shape"] == "rectangular":
        return storage.Rectangular(*_needed(inputs, "length_ft", "width_ft", "full_depth_ft"))
    if inputs["shape"] == "cylinder":
        return storage.VerticalCylinder(*_needed(inputs, "diameter_ft", "full_depth_ft"))
    if inputs["shape"] == "lying cylinder":
        return storage.HorizontalCylinder(*_needed(inputs, "diameter_ft", "length_ft"))
    if inputs["shape"] == "round pond":
        sizes = _needed(inputs, "diameter_ft", "full_depth_ft", "slope_side_1")
        return storage.RoundPond(*sizes)
    if inputs["shape"] == "stage table":
        (rows,) = _needed(inputs, "stage")
        return storage.StageTable(tuple((row["depth_ft"], row["volume_gal"]) for row in rows))
    length, width, depth = _needed(inputs, "length_ft", "width_ft", "full_depth_ft")
    end_1, end_2, side_1, side_2 = _needed(inputs, *SLOPES)
    if inputs["measured_at"] == "top":
        return storage.Pond.from_top(length, width, depth, (end_1, end_2), (side_1, side_2))
    return storage.Pond(length, width, depth, end_1, end_2, side_1, side_2)


STORAGE_INPUTS = (
    Input(
        "shape",
        "word",
        meaning="shape",
        kind="choice",
        choices=tuple(_SURFACE),
    ),
    _size("length_ft", "length"),
    _size("width_ft", "width"),
    _size("diameter_ft", "diameter of a round tank, or of a round pond at the bottom"),
    Input("full_depth_ft", "ft", 0, 200, "depth when full", optional=True, above=True),
    *[_slope(name) for name in SLOPES],
    Input(
        "measured_at",
        "word",
        meaning="a pond's length and width",
        kind="choice",
        choices=("bottom", "top"),
        optional=True,
    ),
    Input("stage", "rows", meaning="surveyed rows", kind="list", items=STAGE, optional=True),
    Input("level_ft", "ft", 0, 200, "depth of the liquid from the bottom"),
)


@worksheet(
    "storage_volume",
    title="Volume of a storage from its level",
    inputs=STORAGE_INPUTS,
    outputs=[
        Output("volume_gal", "gal", "volume at the level"),
        Output("full_gal", "gal", "volume when full"),
        Output("surface_sqft", "sq ft", "liquid surface at the level"),
        Output("gal_per_ft", "gal/ft", "gallons in the next foot of depth"),
    ],
    source="AWMFH ch. 10 worksheets 10-A; prismoid rule (NC record 55-0007, CV-6.2)",
    example={
        "shape": "pond", "length_ft": 200, "width_ft": 115, "full_depth_ft": 9.8,
        "slope_end_1": 3, "slope_end_2": 3, "slope_side_1": 3, "slope_side_2": 3,
        "level_ft": 9.8,
    },
)  # fmt: skip
def storage_volume_worksheet(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Gallons at a level, gallons when full, liquid surface."""
    shape, level = shape_of(inputs), inputs["level_ft"]
    known: Any = "memory" if isinstance(shape, storage.HorizontalCylinder) else "read"
    source = _LYING if known == "memory" else None
    surface = sheet.step(
        "Liquid surface at the level",
        _SURFACE[inputs["shape"]],
        {"level_ft": level},
        storage.surface_sqft(shape, level),
        "sq ft",
        source,
        known,
    )
    if isinstance(shape, (storage.Pond, storage.RoundPond)):
        bottom, middle = storage.surface_sqft(shape, 0), storage.surface_sqft(shape, level / 2)
        sheet.step(
            "Volume by the prismoid rule",
            "depth / 6 x (bottom + 4 x middle + surface)",
            {"depth_ft": level, "bottom_sqft": bottom, "middle_sqft": middle, "surface": surface},
            storage.prismoid_cuft(level, bottom, middle, surface),
            "cu ft",
        )
    volume = sheet.step(
        "Gallons at the level",
        "between the rows of the table" if inputs["shape"] == "stage table" else "cu ft x 7.48052",
        {"surface_sqft": surface, "level_ft": level, "gal_per_cuft": GAL_PER_CUFT},
        storage.volume_gal(shape, level),
        "gal",
        source,
        known,
    )
    full = sheet.step(
        "Gallons when full",
        "the same at full depth",
        {"full_depth_ft": shape.depth_ft},
        storage.volume_gal(shape, shape.depth_ft),
        "gal",
        source,
        known,
    )
    return {
        "volume_gal": volume,
        "full_gal": full,
        "surface_sqft": surface,
        "gal_per_ft": storage.gal_per_ft(shape, level),
    }
