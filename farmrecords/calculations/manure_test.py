"""A laboratory's figures brought to pounds per 1,000 gallons or per ton, as-is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Form = Literal["liquid", "solid"]
Basis = Literal["as_is", "dry"]


class ManureTestError(ValueError):
    """A test that cannot be used as reported; the message names the figure and the remedy."""


@dataclass(frozen=True)
class ReportedValue:
    """One figure of the laboratory sheet, as printed. ``basis`` None when the sheet is silent."""

    analyte: str
    value: Decimal
    unit: str
    basis: Basis | None = None


@dataclass(frozen=True)
class ManureContent:
    """What is in the manure: lb per 1,000 gal (liquid) or lb per ton (solid); None = not tested."""

    form: Form
    total_n: float | None
    ammonium_n: float | None
    organic_n: float | None
    p2o5: float | None
    k2o: float | None
    nitrate_n: float | None = None
    solids_pct: float | None = None
    density_lb_per_gal: float | None = None
    density_assumed: bool = False
    notes: tuple[str, ...] = ()


def normalise(
    values: Sequence[ReportedValue], form: Form, density_lb_per_gal: Decimal | None = None
) -> ManureContent:
    raise NotImplementedError
