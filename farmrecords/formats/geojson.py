"""Boundaries and features as GeoJSON (RFC 7946)."""

from __future__ import annotations

from collections.abc import Iterable

from farmrecords.formats.common import Answers, ReadResult
from farmrecords.formats.shapes import Box, FeatureRow


def read_features(
    data: bytes, *, box: Box | None = None, answers: Answers | None = None
) -> ReadResult[FeatureRow]:
    """The features of a GeoJSON file in WGS84 longitude, latitude."""
    raise NotImplementedError


def write_features(rows: Iterable[FeatureRow]) -> bytes:
    """The rows as a GeoJSON FeatureCollection that `read_features` reads back."""
    raise NotImplementedError
