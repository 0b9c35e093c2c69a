"""Weather in the units of the record: inches, degrees Fahrenheit, miles an hour.

Factors are exact: an inch is 25.4 mm, a mile 1,609.344 m, and 0 to 100 degrees Celsius are 32 to
212 degrees Fahrenheit.
"""

from __future__ import annotations

MM_PER_IN = 25.4
M_PER_MILE = 1609.344


def rain_in(rain_mm: float) -> float:
    """Return a depth in millimetres in inches.

    >>> rain_in(25.4)
    1.0
    """
    return rain_mm / MM_PER_IN


def temperature_f(temperature_c: float) -> float:
    """Return degrees Celsius in degrees Fahrenheit.

    >>> temperature_f(100.0), temperature_f(0.0), temperature_f(-40.0)
    (212.0, 32.0, -40.0)
    """
    return temperature_c * 9 / 5 + 32


def wind_mph(wind_m_per_s: float) -> float:
    """Return metres per second in miles an hour.

    >>> wind_mph(0.44704)
    1.0
    """
    return wind_m_per_s * 3600 / M_PER_MILE
