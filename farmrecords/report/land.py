"""A field's map as plain numbers: whole feet east and north of the middle of the field."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

Spot = tuple[int, int]
Outline = tuple[Spot, ...]
Areas = tuple[tuple[Outline, ...], ...]


@dataclass(frozen=True)
class SwathShape:
    """Ground covered by one part of a load, with its amount per acre."""

    areas: Areas
    per_ac: Decimal
    unit: str


@dataclass(frozen=True)
class LandmarkShape:
    """A feature near the field."""

    label: str
    kind: str
    spots: Outline


@dataclass(frozen=True)
class ZoneShape:
    """Ground inside the field that a feature closes, with the distance that is asked."""

    label: str
    areas: Areas


@dataclass(frozen=True)
class LandMap:
    """Boundary, ground covered, what lies near, and the ground it closes."""

    boundary: Areas
    swaths: tuple[SwathShape, ...]
    landmarks: tuple[LandmarkShape, ...]
    zones: tuple[ZoneShape, ...] = ()
    unit: str = "gal/ac"
