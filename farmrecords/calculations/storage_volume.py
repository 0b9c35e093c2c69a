"""Volume of a storage from its level, and the level from its volume."""

from __future__ import annotations

from dataclasses import dataclass


class StorageShapeError(ValueError):
    """A shape or level that cannot be; the message names value and range."""


@dataclass(frozen=True)
class Rectangular:
    """A pit with upright walls, feet."""

    length_ft: float
    width_ft: float
    depth_ft: float


@dataclass(frozen=True)
class Pond:
    """An earthen pond by its bottom dimensions and side slopes (feet out per foot up)."""

    bottom_length_ft: float
    bottom_width_ft: float
    depth_ft: float
    slope_end_1: float
    slope_end_2: float
    slope_side_1: float
    slope_side_2: float


@dataclass(frozen=True)
class VerticalCylinder:
    """A round tank, feet."""

    diameter_ft: float
    depth_ft: float


@dataclass(frozen=True)
class StageTable:
    """Surveyed pairs of depth (ft) and volume (gal), both rising."""

    rows: tuple[tuple[float, float], ...]


Shape = Rectangular | Pond | VerticalCylinder | StageTable


def volume_gal(shape: Shape, depth_ft: float) -> float:
    raise NotImplementedError


def depth_ft(shape: Shape, volume_gal: float) -> float:
    raise NotImplementedError


def surface_sqft(shape: Shape, depth_ft: float) -> float:
    raise NotImplementedError
