"""Kept facts of a load: ground covered, distances, and the versions they came from."""

from __future__ import annotations

from collections.abc import Iterable

from farmrecords.loads.models import Load, LoadFacts


def facts_of(load: Load) -> LoadFacts:
    """The facts of a load; computed and kept when missing or stale."""
    raise NotImplementedError


def renew(loads: Iterable[Load]) -> None:
    """Compute and keep the facts of many loads at once."""
    raise NotImplementedError
