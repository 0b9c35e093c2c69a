"""From the track of a load to the ground it covered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shapely.geometry.base import BaseGeometry

Side = Literal["both", "left", "right", "rear", "unknown"]


class SwathError(ValueError):
    """A track that gives no ground; the message says why."""


@dataclass(frozen=True)
class TrackPoint:
    """One position of a load: seconds (or None when the file gave none), place, discharge on."""

    at_s: float | None
    lon: float
    lat: float
    on: bool = True


@dataclass(frozen=True)
class Footprint:
    """Ground covered by one load. ``geometry`` in longitude and latitude (a multipolygon)."""

    geometry: BaseGeometry
    covered_ac: float
    swept_ac: float
    overlap_ac: float
    length_ft: float


def footprint(
    points: Sequence[TrackPoint],
    width_ft: float,
    side: Side = "both",
    throw_ft: float | None = None,
) -> Footprint:
    raise NotImplementedError


def possible_footprint(
    points: Sequence[TrackPoint], width_ft: float, side: Side, throw_ft: float | None = None
) -> BaseGeometry:
    raise NotImplementedError
