"""Soil and practice factors of the soil loss equations: K by texture or nomograph, and P."""

from __future__ import annotations

import math
import tomllib
from importlib import resources
from typing import Any, Literal

from .soil_loss import SoilLossError

_FILE = resources.files("farmrecords.calculations") / "data" / "soil_loss.toml"
TABLES: dict[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))
K_SOURCE: str = TABLES["k_by_texture"]["source"]
TEXTURES: tuple[str, ...] = tuple(TABLES["k_by_texture"]["rows"])
Rotation = Literal["A", "B", "C"]


def k_by_texture(texture: str, organic_matter_pct: float | None = None) -> float:
    """Return K (US units) of a texture; by organic matter where known, else the average.

    Exactly 2 % takes the column below 2 % (the table states neither; the larger K). Source: OMAFRA
    12-051 values (read). Raises SoilLossError for an unknown texture or a share outside 0 to 100 %.

    >>> k_by_texture("silt loam"), k_by_texture("silt loam", 2), k_by_texture("silt loam", 2.1)
    (0.38, 0.41, 0.37)
    """
    rows = TABLES["k_by_texture"]["rows"]
    if texture not in rows:
        raise SoilLossError(f"{texture!r} is no texture of the table. Use: {', '.join(rows)}.")
    if organic_matter_pct is None:
        return float(rows[texture][0])
    if not 0 <= organic_matter_pct <= 100:
        raise SoilLossError(f"Organic matter of {organic_matter_pct} % is not 0 to 100 %.")
    return float(rows[texture][1 if organic_matter_pct <= 2 else 2])


def k_nomograph(
    silt_and_very_fine_sand_pct: float,
    clay_pct: float,
    organic_matter_pct: float,
    structure: int,
    permeability: int,
) -> float:
    """Return K in metric units (t ha h/(ha MJ mm)) by the nomograph's equation.

    Structure 1 to 4, permeability 1 to 6; organic matter at most 12 %. Source: InVEST guide (read);
    the form divided by 100 instead of 759 for US units is from memory and is not used here.

    >>> round(k_nomograph(65, 15, 2.8, 2, 4), 4)
    0.0503
    """
    shares = (silt_and_very_fine_sand_pct, clay_pct)
    if not all(0 <= share <= 100 for share in shares) or sum(shares) > 100:
        raise SoilLossError(f"Silt with very fine sand and clay of {shares} % cannot be.")
    if not 0 <= organic_matter_pct <= 12:
        raise SoilLossError(f"Organic matter of {organic_matter_pct} % is not 0 to 12 %.")
    if structure not in (1, 2, 3, 4) or permeability not in (1, 2, 3, 4, 5, 6):
        raise SoilLossError("Structure is a class from 1 to 4, permeability one from 1 to 6.")
    m = silt_and_very_fine_sand_pct * (100 - clay_pct)
    by_texture = 2.1e-4 * (12 - organic_matter_pct) * m**1.14
    return (by_texture + 3.25 * (structure - 2) + 2.5 * (permeability - 3)) / 759


def _slope(slope_pct: float, length_ft: float) -> None:
    if not 0 <= slope_pct <= 100 or not (math.isfinite(length_ft) and length_ft > 0):
        raise SoilLossError(
            f"A slope of {slope_pct} % over {length_ft} ft cannot be: slope 0 to 100 %, length "
            "above 0 ft."
        )


def contour_p(slope_pct: float, length_ft: float, residue_covered: bool = False) -> float:
    """Return P of contouring; 1 where the slope is longer or steeper than the table allows.

    ``residue_covered``: residue regularly covers more than half after seeding, which allows slopes
    a quarter longer. Source: AH-537 table 13 (memory).

    >>> contour_p(4, 300), contour_p(4, 301), contour_p(4, 375, True), contour_p(30, 10)
    (0.5, 1.0, 0.5, 1.0)
    """
    _slope(slope_pct, length_ft)
    table = TABLES["contour"]
    longer = 1 + table["residue_share_longer"] if residue_covered else 1
    for top, p, longest in table["rows"]:
        if slope_pct <= top:
            return float(p) if length_ft <= longest * longer else 1.0
    return 1.0


def strip_p(slope_pct: float, rotation: Rotation) -> tuple[float, float | None]:
    """Return P of contour strips for a rotation (A, B or C) and the strip width in feet.

    Above 25 % the table ends: P is 1 and no width is stated. Source: AH-537 table 14 (memory).

    >>> strip_p(4, "A"), strip_p(14, "C"), strip_p(26, "A")
    ((0.25, 100.0), (0.7, 80.0), (1.0, None))
    """
    _slope(slope_pct, 1)
    if rotation not in ("A", "B", "C"):
        raise SoilLossError(f"{rotation!r} is no rotation of the table: A, B or C.")
    for top, *shares, width in TABLES["strips"]["rows"]:
        if slope_pct <= top:
            return float(shares["ABC".index(rotation)]), float(width)
    return 1.0, None


def terrace_p(slope_pct: float, spacing_ft: float, residue_covered: bool = False) -> float:
    """Return P between terraces: the terrace spacing is the slope length, then P of contouring.

    The same spacing is the length in LS. Source: AH-537 practice (memory).

    >>> terrace_p(10, 100), terrace_p(10, 121)
    (0.6, 1.0)
    """
    return contour_p(slope_pct, spacing_ft, residue_covered)
