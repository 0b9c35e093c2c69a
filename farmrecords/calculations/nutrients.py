"""Pounds of nutrients in a load, and a field's year in pounds per acre."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from .manure_test import ManureContent
from .units import Kind


@dataclass(frozen=True)
class Applied:
    """Pounds of N, P2O5 and K2O, as applied (total, not available); None = not tested."""

    n_lb: float | None
    p2o5_lb: float | None
    k2o_lb: float | None


@dataclass(frozen=True)
class OnGround:
    """Pounds put on a field by one load or fertilizer pass, and where.

    ``geometry`` (lon/lat) when the ground is known; else ``covered_ac`` when only acres are known;
    else the whole field is taken.
    """

    applied: Applied
    geometry: BaseGeometry | None = None
    covered_ac: float | None = None


@dataclass(frozen=True)
class FieldYear:
    """A field's year. Per-acre figures are None for a nutrient with an untested load."""

    total: Applied
    field_ac: float
    per_ac: Applied
    heaviest_per_ac: Applied
    heaviest_ac: float
    without_ground: int
    untested: int


def applied(amount_milli: int, kind: Kind, content: ManureContent) -> Applied:
    raise NotImplementedError


def field_year(
    field_ac: float,
    spread: Sequence[OnGround],
    fertilizer: Sequence[OnGround] = (),
    least_ac: float = 0.1,
) -> FieldYear:
    raise NotImplementedError
