"""Lists of loads as CSV: read with a mapping, every bad row named; written back out."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from farmrecords.formats.common import ReadResult
from farmrecords.formats.load_rows import LoadRow, Mapping


def suggest_mapping(data: bytes) -> Mapping:
    """The mapping the headers of a file suggest, to be shown and completed by a person."""
    raise NotImplementedError


def read_loads(
    data: bytes, *, zone: str, mapping: Mapping | None = None, today: date | None = None
) -> ReadResult[LoadRow]:
    """The loads of a CSV file; questions under the names of `Mapping` fields."""
    raise NotImplementedError


def write_loads(rows: Iterable[LoadRow]) -> bytes:
    """The rows as CSV that `read_loads` reads back to the same meaning."""
    raise NotImplementedError
