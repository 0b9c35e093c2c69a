"""Domestic septage and biosolids: the yearly septage rate, P2O5 in biosolids for Vermont's index.

Manure itself is outside these rules; they bear on fields that take both.
"""

from __future__ import annotations

import math
import tomllib
from importlib import resources
from typing import Any

_FILE = resources.files("farmrecords.calculations") / "data" / "biosolids.toml"
TABLES: dict[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))
SEPTAGE_SOURCE: str = TABLES["septage"]["source"]
VERMONT_SOURCE: str = TABLES["vermont"]["source"]


class BiosolidsError(ValueError):
    """A figure that cannot be; the message names value and range."""


def _zero_or_more(value: float, what: str) -> None:
    if not (math.isfinite(value) and value >= 0):
        raise BiosolidsError(f"{what} is {value}; it must be 0 or more.")


def septage_gal_per_ac(need_n_lb_per_ac: float) -> float:
    """Return the most domestic septage in a year, gal/ac: pounds of N needed / 0.0026.

    Need 0 or more. Raises BiosolidsError. Source: WAC 173-308-270 (read).

    >>> round(septage_gal_per_ac(100))
    38462
    """
    _zero_or_more(need_n_lb_per_ac, "The nitrogen need")
    return need_n_lb_per_ac / float(TABLES["septage"]["lb_n_per_gal"])


def liquid_p2o5_lb_per_kgal(solids_pct: float, p_mg_per_kg: float) -> float:
    """Return pounds of P2O5 per 1,000 gal of liquid biosolids, as Vermont's index takes them.

    8340 x solids / 100 x P (mg/kg dry) x 1e-6 x 2.27. Solids 0 to 100 %. Raises BiosolidsError.
    Source: workbook 6.1 (read).

    >>> round(liquid_p2o5_lb_per_kgal(5, 20_000), 3)  # 8340 x 0.05 x 0.02 x 2.27
    18.932
    """
    if not 0 <= solids_pct <= 100:
        raise BiosolidsError(f"Solids of {solids_pct} % are not 0 to 100 %.")
    _zero_or_more(p_mg_per_kg, "Phosphorus")
    held = TABLES["vermont"]
    dry_lb = held["lb_per_kgal_of_water"] * solids_pct / 100
    return float(dry_lb * p_mg_per_kg * 1e-6 * held["p2o5_per_p"])


def solid_p2o5_lb_per_ton(p_mg_per_kg: float) -> float:
    """Return pounds of P2O5 per ton of solid biosolids: mg/kg x 0.002 x 2.27.

    Raises BiosolidsError. Source: workbook 6.1 (read).

    >>> round(solid_p2o5_lb_per_ton(20_000), 2)
    90.8
    """
    _zero_or_more(p_mg_per_kg, "Phosphorus")
    held = TABLES["vermont"]
    return float(p_mg_per_kg * held["lb_per_ton_per_ppm"] * held["p2o5_per_p"])
