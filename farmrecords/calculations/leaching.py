"""The nitrate leaching index: how much rain goes down through the soil in a year."""

from __future__ import annotations

import math
from dataclasses import dataclass

SOURCE = "Nitrate leaching index as set out with Penn State data, doi 10.26207/99tk-sn24"
# by hydrologic soil group: inches that leave no percolation, and inches in the divisor (read)
_OF_GROUP = {"A": (10.28, 15.43), "B": (15.05, 22.57), "C": (19.53, 29.29), "D": (22.67, 34.00)}
GROUPS = tuple(_OF_GROUP)
BAND_ENDS_IN = (5.0, 10.0, 20.0)


class LeachingError(ValueError):
    """Rain or soil the index cannot take; the message names value and remedy."""


@dataclass(frozen=True)
class Leaching:
    """Inches percolating in a year, the factor of the season, and the index in inches."""

    percolation_in: float
    season_factor: float
    index_in: float

    @property
    def band(self) -> str:
        """The band of the source; an index at the end of a band still belongs to it."""
        low = 0.0
        for high in BAND_ENDS_IN:
            if self.index_in <= high:
                return f"{low:g} to {high:g}"
            low = high
        return f"above {low:g}"


def leaching_index(soil_group: str, annual_rain_in: float, winter_rain_in: float) -> Leaching:
    """Return the leaching index: percolation x season factor, in inches a year.

    Percolation is (rain - a)^2 / (rain + b) with a and b of the hydrologic soil group (A to D), and
    0 where the rain is not above a (derived: the square would rise again). The season factor is
    the cube root of 2 x winter rain / rain; winter is October to March. Raises LeachingError for
    an unknown group, rain not above 0, or more rain in winter than in the year. Source: SOURCE
    (read).

    >>> found = leaching_index("B", 40.0, 20.0)  # (40 - 15.05)^2 / 62.57
    >>> round(found.index_in, 4), found.band
    (9.9489, '5 to 10')
    """
    if soil_group not in _OF_GROUP:
        raise LeachingError(f"Soil group {soil_group!r} is not one of {', '.join(GROUPS)}.")
    if not (math.isfinite(annual_rain_in) and annual_rain_in > 0):
        raise LeachingError(f"Rain of {annual_rain_in} in a year is not above 0.")
    if not 0 <= winter_rain_in <= annual_rain_in:
        raise LeachingError(
            f"Rain from October to March is {winter_rain_in} in; it must be 0 to the year's "
            f"{annual_rain_in:g} in."
        )
    least, divisor = _OF_GROUP[soil_group]
    percolation = max(0.0, annual_rain_in - least) ** 2 / (annual_rain_in + divisor)
    season = math.cbrt(2 * winter_rain_in / annual_rain_in)
    return Leaching(percolation, season, percolation * season)
