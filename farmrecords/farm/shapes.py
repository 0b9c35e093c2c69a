"""A storage's shape for the volume calculations, the depth and gallons a reading stands for."""

from __future__ import annotations

from typing import Any

from farmrecords.calculations.storage_volume import (
    Pond,
    Rectangular,
    StageTable,
    StorageShapeError,
    VerticalCylinder,
    volume_gal,
)
from farmrecords.farm.models import Storage

Shape = Rectangular | Pond | VerticalCylinder | StageTable


def shape_of(storage: Storage) -> Shape | None:
    """The shape to reckon with, or None while a size is missing."""
    try:
        return _shape(storage)
    except (StorageShapeError, TypeError, ValueError):
        return None


def _shape(storage: Storage) -> Shape | None:
    def ft(name: str) -> float:
        return float(getattr(storage, name))

    if storage.shape == "rectangular":
        return Rectangular(ft("length_ft"), ft("width_ft"), ft("depth_ft"))
    if storage.shape == "cylinder":
        return VerticalCylinder(ft("diameter_ft"), ft("depth_ft"))
    if storage.shape == "pond":
        slope = ft("side_slope")
        both = (slope, slope)
        return Pond.from_top(ft("length_ft"), ft("width_ft"), ft("depth_ft"), both, both)
    if storage.shape == "stage_table":
        return StageTable(tuple((float(d), float(v)) for d, v in storage.stage_table))
    return None


def depth_of(storage: Storage, reading: Any) -> float | None:
    """Depth of liquid in feet at a reading, whichever end it is read from; None if missed.

    A reading from the top needs the full depth: the storage's, else that of its stage table.
    """
    if reading is None or reading.missed or reading.reading_ft is None:
        return None
    if storage.level_datum == "bottom":
        return float(reading.reading_ft)
    if storage.depth_ft is not None:
        return float(storage.depth_ft - reading.reading_ft)
    shape = shape_of(storage)
    return None if shape is None else shape.depth_ft - float(reading.reading_ft)


def gallons_at(storage: Storage, reading: Any) -> float | None:
    """Gallons in the storage at a reading; None where shape or reading do not tell."""
    shape, depth = shape_of(storage), depth_of(storage, reading)
    if shape is None or depth is None:
        return None
    try:
        return volume_gal(shape, depth)
    except StorageShapeError:
        return None
