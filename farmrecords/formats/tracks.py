"""A track, from whatever kind of file: segments of points between two losses of signal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class TrackPoint:
    """One position: moment (UTC) if the file tells one, degrees, metres above sea level."""

    at: datetime | None
    lon: float
    lat: float
    ele: float | None = None


@dataclass(frozen=True, slots=True)
class TrackSegment:
    """Points between two losses of signal; two segments are never joined by a line."""

    name: str
    row_number: int
    points: tuple[TrackPoint, ...]
