"""What the annual P loss asks of manure: P per hectare, and the share of it that water extracts."""

from __future__ import annotations

import math
import tomllib
from decimal import Decimal
from importlib import resources
from typing import Any

from .p_loss import PLossError
from .units import convert, p2o5_to_p

_FILE = resources.files("farmrecords.calculations") / "data" / "water_extractable.toml"
TABLES: dict[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))
SOURCE: str = TABLES["source"]
SPECIES: tuple[str, ...] = tuple(TABLES["g_per_kg"])


def p_kg_per_ha(p2o5_lb_per_ac: float) -> float:
    """Return kilograms of P per hectare from pounds of P2O5 per acre (0 or more).

    Raises PLossError. Source: molar masses and exact unit definitions.

    >>> round(p_kg_per_ha(1), 5)  # 0.43642 x 1.12085 = 0.489161
    0.48916
    """
    if not (math.isfinite(p2o5_lb_per_ac) and p2o5_lb_per_ac >= 0):
        raise PLossError(f"{p2o5_lb_per_ac} lb P2O5/ac cannot be; give 0 or more.")
    pounds = p2o5_to_p(Decimal(str(p2o5_lb_per_ac)))
    return float(convert(pounds, "lb_per_ac", "kg_per_ha"))


def typical_g_per_kg(species: str) -> float:
    """Return the typical water-extractable P of a species' manure, g/kg dry.

    Raises PLossError for a species the table lacks. Source: ARS 192577 (read).

    >>> typical_g_per_kg("dairy")
    4.0
    """
    if species not in SPECIES:
        raise PLossError(f"No figure for {species!r}. Held: {', '.join(SPECIES)}.")
    return float(TABLES["g_per_kg"][species])


def extractable_pct(wep_g_per_kg: float, total_p_g_per_kg: float) -> float:
    """Return the share of total P that water extracts, per cent; both on a dry basis.

    Total above 0 and not below the extractable part. Raises PLossError. Source: definition.

    >>> extractable_pct(4.0, 8.0)
    50.0
    """
    if not (math.isfinite(wep_g_per_kg) and wep_g_per_kg >= 0):
        raise PLossError(f"Water-extractable P of {wep_g_per_kg} g/kg cannot be; give 0 or more.")
    if not (math.isfinite(total_p_g_per_kg) and total_p_g_per_kg > 0):
        raise PLossError(f"Total P of {total_p_g_per_kg} g/kg cannot be; give more than 0.")
    if wep_g_per_kg > total_p_g_per_kg:
        raise PLossError(
            f"Water extracts {wep_g_per_kg:g} g/kg of a total of {total_p_g_per_kg:g}: check that "
            "both are on a dry basis and the total is P, not P2O5."
        )
    return 100 * wep_g_per_kg / total_p_g_per_kg
