"""Numbers that gathering facts needs and that no rule file holds, read from `assumptions.toml`.

Each stands there with its unit, where it comes from, and whether a text says so ("read") or it is
an assumption of this book ("working").
"""

from __future__ import annotations

import datetime as dt
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("assumptions.toml")
STATUSES = ("read", "working")


@dataclass(frozen=True)
class Assumption:
    """One number with its unit and source."""

    name: str
    value: float
    unit: str
    citation: str
    status: str


@cache
def assumptions() -> dict[str, Assumption]:
    """Every declared number by its name."""
    rows = tomllib.loads(FILE.read_text(encoding="utf-8"))
    return {name: Assumption(name, **row) for name, row in rows.items()}


def span(name: str) -> dt.timedelta:
    """A declared number of hours or days as a span of time."""
    one = assumptions()[name]
    return dt.timedelta(hours=one.value) if one.unit == "h" else dt.timedelta(days=one.value)
