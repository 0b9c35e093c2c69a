"""Annual phosphorus loss of a field (Vadas et al. 2009): an estimate, no legal class.

Shown beside an official index, never instead of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

NORTHERN_SOURCE = "Reid and Schneider 2021, Can. J. Soil Sci. 102(2) (abstract)"
SOURCE = "Vadas, Good, Moore, Widman 2009, J. Environ. Qual. 38:1645; basic spreadsheet version"
KG_PER_HA_PER_TON_PER_AC = 2000 / 2.205 * 2.471  # the source's own constants, kept to the digit
LITRES_PER_HA_PER_IN = 254_000
LB_PER_AC_PER_KG_PER_HA = 0.89218
NORTHERN_MANURE, NORTHERN_FERTILIZER = 0.219, 0.275


class PLossError(ValueError):
    """Inputs outside what the estimate covers; the message names value and range."""


@dataclass(frozen=True)
class PLossInputs:
    """Site and one year's manure and fertilizer, in the units of the source.

    P in kg per hectare (not P2O5); incorporated per cent is what was mixed in.
    """

    m3p_mg_per_kg: float
    clay_pct: float
    organic_matter_pct: float
    precipitation_in: float
    runoff_in: float
    erosion_ton_per_ac: float
    manure_p_kg_per_ha: float = 0.0
    manure_solids_pct: float = 25.0
    water_extractable_pct: float = 50.0
    manure_incorporated_pct: float = 0.0
    fertilizer_p_kg_per_ha: float = 0.0
    fertilizer_incorporated_pct: float = 0.0


@dataclass(frozen=True)
class PLoss:
    """Losses in kg of P per hectare and year, with the intermediates."""

    sediment: float
    soil_dissolved: float
    manure_dissolved: float
    fertilizer_dissolved: float
    sorption: float
    total_p_mg_per_kg: float
    enrichment: float
    available_manure_p: float

    @property
    def total(self) -> float:
        """The sum of the four losses, kg of P per hectare."""
        return (
            self.sediment + self.soil_dissolved + self.manure_dissolved + self.fertilizer_dissolved
        )

    @property
    def total_lb_per_ac(self) -> float:
        """The sum of the four losses, pounds of P per acre."""
        return self.total * LB_PER_AC_PER_KG_PER_HA


def _check(inputs: PLossInputs) -> None:
    for name in (
        "clay_pct", "organic_matter_pct", "manure_solids_pct", "water_extractable_pct",
        "manure_incorporated_pct", "fertilizer_incorporated_pct",
    ):  # fmt: skip
        value = getattr(inputs, name)
        if not 0 <= value <= 100:
            raise PLossError(f"{name} is {value}; it must lie between 0 and 100.")
    for name in (
        "m3p_mg_per_kg", "runoff_in", "erosion_ton_per_ac", "manure_p_kg_per_ha",
        "fertilizer_p_kg_per_ha",
    ):  # fmt: skip
        value = getattr(inputs, name)
        if not (math.isfinite(value) and value >= 0):
            raise PLossError(f"{name} is {value}; it must be 0 or more.")
    if inputs.clay_pct == 0:
        raise PLossError("clay_pct is 0; the estimate needs clay above 0.")
    if not (math.isfinite(inputs.precipitation_in) and inputs.precipitation_in > 0):
        raise PLossError(f"precipitation_in is {inputs.precipitation_in}; it must be above 0.")
    if inputs.runoff_in > inputs.precipitation_in:
        raise PLossError(
            f"Runoff of {inputs.runoff_in} in is above precipitation {inputs.precipitation_in} in."
        )


def sorption(clay_pct: float, labile_p: float, organic_carbon_pct: float) -> float:
    """Return the P sorption share, held between 0.05 and 0.9.

    >>> round(sorption(17, 63.5, 3.48), 5)
    0.23242
    """
    others = (labile_p, organic_carbon_pct)
    if not (0 < clay_pct <= 100 and all(math.isfinite(one) and one >= 0 for one in others)):
        raise PLossError(
            f"Clay of {clay_pct} %, labile P of {labile_p} and organic carbon of "
            f"{organic_carbon_pct} % cannot be: clay above 0 to 100, the others 0 or more."
        )
    free = -0.053 * math.log(clay_pct) + 0.001 * labile_p - 0.029 * organic_carbon_pct + 0.42
    return min(0.9, max(0.05, free))


def enrichment(erosion_kg_per_ha: float) -> float:
    """Return the enrichment ratio of sediment; 0 without erosion, else at least 1.

    >>> enrichment(0), enrichment(1e6)
    (0.0, 1.0)
    """
    if not (math.isfinite(erosion_kg_per_ha) and erosion_kg_per_ha >= 0):
        raise PLossError(f"Erosion of {erosion_kg_per_ha} kg/ha cannot be; give 0 or more.")
    if erosion_kg_per_ha == 0:
        return 0.0
    return max(1.0, math.exp(2.2 - 0.25 * math.log(erosion_kg_per_ha)))


def available_manure_p(inputs: PLossInputs) -> float:
    """Return manure P on the surface that rain can take; a liquid keeps 40 % on top.

    >>> available_manure_p(PLossInputs(60, 22, 3, 38, 5, 2, 40, 8, 55))
    9.88
    """
    on_top = 0.4 if inputs.manure_solids_pct < 15 else 1.0
    share = (100 - inputs.manure_incorporated_pct) / 100
    soluble = inputs.water_extractable_pct / 100
    return inputs.manure_p_kg_per_ha * share * on_top * (soluble + 0.15 * (1 - soluble))


def p_loss(inputs: PLossInputs, northern_edge_of_field: bool = False) -> PLoss:
    """Return the annual P loss, kg per hectare, in four parts.

    ``northern_edge_of_field`` applies the correction for Canadian and northern data (manure x
    0.219, fertilizer x 0.275; Reid and Schneider 2021). Raises PLossError.

    >>> field = PLossInputs(127, 17, 6, 35, 6, 7, 25, 25, 50, 40, 10, 40)
    >>> round(p_loss(field).total, 3)  # case V-1
    23.863
    """
    _check(inputs)
    litres = inputs.runoff_in * LITRES_PER_HA_PER_IN
    eroded = inputs.erosion_ton_per_ac * KG_PER_HA_PER_TON_PER_AC
    carbon, labile = 0.58 * inputs.organic_matter_pct, inputs.m3p_mg_per_kg / 2
    psp, ratio = sorption(inputs.clay_pct, labile, carbon), enrichment(eroded)
    active = labile * (1 - psp) / psp
    total_p = labile + active + 4 * active + carbon * 10000 / 8 / 14
    q = inputs.runoff_in / inputs.precipitation_in
    manure = available_manure_p(inputs)
    fertilizer = inputs.fertilizer_p_kg_per_ha * (100 - inputs.fertilizer_incorporated_pct) / 100
    fertilizer_share = min(1.0, 0.034 * math.exp(3.4 * q))
    return PLoss(
        sediment=eroded * total_p * ratio / 1e6,
        soil_dissolved=labile * 0.005 * litres / 1e6,
        manure_dissolved=manure * q * q**0.225 * (NORTHERN_MANURE if northern_edge_of_field else 1),
        fertilizer_dissolved=fertilizer
        * q
        * fertilizer_share
        * (NORTHERN_FERTILIZER if northern_edge_of_field else 1),
        sorption=psp,
        total_p_mg_per_kg=total_p,
        enrichment=ratio,
        available_manure_p=manure,
    )
