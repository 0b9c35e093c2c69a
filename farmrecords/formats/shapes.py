"""Geometry as files bring it: checked, closed, wound the right way, repaired only when asked."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from shapely.geometry.base import BaseGeometry

# west, south, east, north in degrees
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Repair:
    """What a proposed repair of a boundary changes: acres as drawn and acres after it."""

    acres_before: float
    acres_after: float
    what: str


@dataclass(frozen=True, slots=True)
class FeatureRow:
    """One named geometry of a file, WGS84 longitude and latitude.

    `kind` is the file's own word for it ("" when it has none). `repaired` is set when the
    geometry shown is a proposed repair; the question `repair:<row_number>` asks to accept it.
    """

    name: str
    kind: str
    properties: dict[str, Any] = field(hash=False)
    geometry: BaseGeometry
    repaired: Repair | None = None
    row_number: int = 0
