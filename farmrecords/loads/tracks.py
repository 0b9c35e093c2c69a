"""Tracks as they are kept: one JSON file by its SHA-256, with moments, places and work state.

The file holds `segments`, each a list of `[moment in UTC or null, longitude, latitude, on]`, the
`source` of the positions and their `uncertainty_ft`. Two segments are never joined.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from farmrecords.calculations.swath import TrackPoint
from farmrecords.history import files
from farmrecords.history.models import KeptFile

MEDIA_TYPE = "application/json"
# A phone's position is off by about 5 m, a receiver with corrections by about 1 m: working
# assumptions of the project, from memory; a measured figure in the file goes first.
UNCERTAINTY_FT = {"phone": 16.4, "receiver": 3.3}

Point = tuple[dt.datetime | None, float, float, bool]


@dataclass(frozen=True)
class Track:
    """One kept track: its positions with work state, and how well they are known."""

    points: tuple[TrackPoint, ...]
    uncertainty_ft: float
    source: str
    first_at: dt.datetime | None
    last_at: dt.datetime | None
    segments: tuple[tuple[tuple[float, float], ...], ...]


def keep_track(
    segments: Sequence[Sequence[Point]],
    *,
    source: str = "phone",
    uncertainty_ft: float | None = None,
    name: str = "track.json",
) -> str:
    """Keep a track and return its SHA-256; the same positions again give the same file."""
    data = _bytes(segments, source, uncertainty_ft)
    return files.keep(data, media_type=MEDIA_TYPE, original_name=name).sha256


def sha256_of(
    segments: Sequence[Sequence[Point]], source: str, uncertainty_ft: float | None = None
) -> str:
    """The SHA-256 a track would be kept under."""
    return hashlib.sha256(_bytes(segments, source, uncertainty_ft)).hexdigest()


def _bytes(segments: Sequence[Sequence[Point]], source: str, uncertainty_ft: float | None) -> bytes:
    told: dict[str, Any] = {
        "v": 1,
        "source": source,
        "uncertainty_ft": uncertainty_ft,
        "segments": [[_written(point) for point in segment] for segment in segments],
    }
    return json.dumps(told, separators=(",", ":"), sort_keys=True).encode()


def _written(point: Point) -> list[Any]:
    at, lon, lat, on = point
    moment = None if at is None else at.astimezone(dt.UTC).isoformat().replace("+00:00", "Z")
    return [moment, round(lon, 7), round(lat, 7), bool(on)]


@lru_cache(maxsize=512)
def track_of(sha256: str) -> Track:
    """The kept track with this SHA-256; raises FileChanged when its bytes are not as kept."""
    told = json.loads(files.read(KeptFile(sha256=sha256, original_name="track")))
    segments = [[_read(point) for point in segment] for segment in told["segments"]]
    moments = [point[0] for segment in segments for point in segment if point[0] is not None]
    first = min(moments, default=None)
    return Track(
        points=tuple(_points(segments, first)),
        uncertainty_ft=float(
            told.get("uncertainty_ft") or UNCERTAINTY_FT.get(told.get("source"), 16.4)
        ),
        source=str(told.get("source", "")),
        first_at=first,
        last_at=max(moments, default=None),
        segments=tuple(tuple((p[1], p[2]) for p in segment) for segment in segments),
    )


def _read(point: list[Any]) -> Point:
    at, lon, lat, on = point
    moment = None if at is None else dt.datetime.fromisoformat(at.replace("Z", "+00:00"))
    return moment, float(lon), float(lat), bool(on)


def _points(segments: list[list[Point]], first: dt.datetime | None) -> list[TrackPoint]:
    """Positions in seconds from the first; the last of a segment has the discharge off."""
    found = []
    for segment in segments:
        for i, (at, lon, lat, on) in enumerate(segment):
            seconds = None if at is None or first is None else (at - first).total_seconds()
            found.append(TrackPoint(seconds, lon, lat, on and i < len(segment) - 1))
    return found
