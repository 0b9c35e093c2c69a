"""What is credited of the nutrients applied: shares available, acres that use them.

A share changes the pounds credited, never the pounds applied: limits on phosphorus look at what was
applied, so both stand side by side.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from .available_nitrogen import available_share, system_named

_FILE = resources.files("farmrecords.calculations") / "data" / "credited.toml"


class CreditError(ValueError):
    """A credit that cannot be worked out; the message names figure and range."""


@lru_cache(maxsize=1)
def three_year_shares() -> Mapping[str, Any]:
    """Return shares of total N available over three years, with their source.

    >>> three_year_shares()["rows"]["feedlot manure"]
    0.47
    """
    held: Mapping[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))["three_years"]
    return held


def credited_lb(applied_lb: float, share: float) -> float:
    """Return pounds credited of pounds applied: applied x share, share from 0 to 1.

    Raises CreditError. Source: definition; example CV-2.4 (EQ392, read).

    >>> credited_lb(8250, 0.95)  # printed 7,838
    7837.5
    """
    if not (math.isfinite(applied_lb) and applied_lb >= 0):
        raise CreditError(f"{applied_lb} lb applied cannot be; give 0 or more.")
    if not 0 <= share <= 1:
        raise CreditError(f"A share of {share} is not between 0 and 1.")
    return applied_lb * share


@dataclass(frozen=True)
class PotashAndPhosphate:
    """Pounds of P2O5 and K2O credited in one year after the manure, and the shares used.

    None where the system states no share.
    """

    p2o5_lb: float | None
    k2o_lb: float | None
    p2o5_share: float | None
    k2o_share: float | None
    evidence: str


def phosphate_and_potash(
    system: str, year: int, p2o5_applied_lb: float | None, k2o_applied_lb: float | None
) -> PotashAndPhosphate:
    """Return what a system credits of applied P2O5 and K2O in year 1, 2 or 3.

    What was not applied or tested (None), or what the system states no share for in that year, is
    None, never 0. Raises AvailabilityError for an unknown system, CreditError for pounds below 0.
    Source: the system's own.

    >>> phosphate_and_potash("MO", 1, 8250, None).p2o5_lb  # CV-2.4
    7837.5
    >>> phosphate_and_potash("AB", 2, 100, 100)
    PotashAndPhosphate(p2o5_lb=20.0, k2o_lb=None, p2o5_share=0.2, k2o_share=None, evidence='read')
    """
    held = system_named(system)
    stated = held.tables.get("phosphate_and_potash", {})
    shares = {
        name: available_share(held, name, year) if 1 <= year <= len(stated.get(name, [])) else None
        for name in ("p2o5", "k2o")
    }
    pounds = {
        name: None if share is None or applied is None else credited_lb(applied, share)
        for (name, share), applied in zip(
            shares.items(), (p2o5_applied_lb, k2o_applied_lb), strict=True
        )
    }
    return PotashAndPhosphate(
        pounds["p2o5"], pounds["k2o"], shares["p2o5"], shares["k2o"],
        held.evidence("phosphate_and_potash"),
    )  # fmt: skip


def acres_for(available_lb: float, need_lb_per_ac: float) -> float:
    """Return the acres that use up available pounds at a need per acre.

    Pounds 0 or more, need above 0. Raises CreditError. Source: EQ392 (read).

    >>> round(acres_for(9465, 165), 1)  # CV-2.4, printed 57
    57.4
    """
    if not (math.isfinite(available_lb) and available_lb >= 0):
        raise CreditError(f"{available_lb} lb available cannot be; give 0 or more.")
    if not (math.isfinite(need_lb_per_ac) and need_lb_per_ac > 0):
        raise CreditError(f"A need of {need_lb_per_ac} lb/ac uses nothing up; give more than 0.")
    return available_lb / need_lb_per_ac
