"""Tracks as GPX 1.1 (and 1.0): segments stay apart, bad points are named."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from farmrecords.formats.common import Answers, ReadResult


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


def read_track(
    data: bytes, *, answers: Answers | None = None, today: date | None = None
) -> ReadResult[TrackSegment]:
    """The track segments of a GPX file."""
    raise NotImplementedError
