"""Calibration of a spreader: sheets, weigh-area, trays, and how far apart passes may lie."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from .units import SQFT_PER_AC

SQFT_TON_PER_LB = SQFT_PER_AC / 2000  # 21.78
PassPattern = Literal["racetrack", "back and forth"]


class CalibrationError(ValueError):
    """A calibration that cannot be computed; the message names value and remedy."""


def _positive(value: float, what: str) -> None:
    if not math.isfinite(value) or value <= 0:
        raise CalibrationError(f"{what} is {value}; it must be above 0.")


def sheet_rate_ton_per_ac(net_lb: float, sheet_sqft: float) -> float:
    """Return tons per acre from the net pounds on one sheet (x 21.78 / square feet).

    Source: UMass and NDSU sheet method (read).

    >>> round(sheet_rate_ton_per_ac(12, (56 / 12) ** 2), 2)  # CV-4.1: pounds are tons per acre
    12.0
    """
    _positive(sheet_sqft, "The sheet (sq ft)")
    if not (math.isfinite(net_lb) and net_lb >= 0):
        raise CalibrationError(f"{net_lb} lb on a sheet cannot be; weigh sheet and bucket empty.")
    return net_lb * SQFT_TON_PER_LB / sheet_sqft


def mean_sheet_rate_ton_per_ac(net_lb: Sequence[float], sheet_sqft: float) -> float:
    """Return the mean rate of at least three sheets (Iowa State: three passes or more, read).

    >>> round(mean_sheet_rate_ton_per_ac([11, 12, 13], 21.7777777778), 3)
    12.001
    """
    if len(net_lb) < 3:
        raise CalibrationError(f"{len(net_lb)} sheet(s) are too few: weigh at least three.")
    return statistics.fmean(sheet_rate_ton_per_ac(lb, sheet_sqft) for lb in net_lb)


def flow_rate_gal_per_ac(flow_gal_per_min: float, width_ft: float, speed_mph: float) -> float:
    """Return gallons per acre from flow, width and speed (flow x 495 / (width x mph)).

    Source: standard field form; 495 = 43,560 / 88 (memory).

    >>> flow_rate_gal_per_ac(800, 20, 4)
    4950.0
    """
    _positive(width_ft, "The width (ft)")
    _positive(speed_mph, "The speed (mph)")
    _positive(flow_gal_per_min, "The flow (gal/min)")
    return flow_gal_per_min * SQFT_PER_AC / 88 / (width_ft * speed_mph)


def coefficient_of_variation_pct(amounts: Sequence[float]) -> float:
    """Return 100 x sample standard deviation / mean of tray amounts.

    Needs two trays or more and a mean above 0. Source: sample form (n - 1), CV-4.4.

    >>> round(coefficient_of_variation_pct([14, 12, 9, 11, 13]), 1)
    16.3
    """
    if len(amounts) < 2 or statistics.fmean(amounts) <= 0:
        raise CalibrationError("Give two trays or more, with something in them.")
    return 100 * statistics.stdev(amounts) / statistics.fmean(amounts)


def overlapped(
    trays: Sequence[float], tray_spacing_ft: float, pass_spacing_ft: float, pattern: PassPattern
) -> list[float]:
    """Return what lies across one pass spacing once neighbouring passes overlap.

    ``trays`` is one row across a single pass, left to right, evenly spaced and centred on the
    track. The result has one value per tray position; driving ``back and forth`` mirrors every
    second pass, so it covers two spacings. Between trays the row is taken as straight.

    >>> overlapped([1, 2, 2, 1], 10, 20, "racetrack")
    [3.0, 3.0]
    """
    _positive(tray_spacing_ft, "The tray spacing (ft)")
    _positive(pass_spacing_ft, "The pass spacing (ft)")
    at = np.array([place for place, _ in tray_places_ft(trays, tray_spacing_ft)])
    reach = at[-1] + tray_spacing_ft
    count = max(1, round(pass_spacing_ft / tray_spacing_ft))
    periods = 2 if pattern == "back and forth" else 1
    places = at[0] + np.arange(count * periods) * pass_spacing_ft / count
    total = np.zeros(len(places))
    row = np.asarray(trays, dtype=float)
    edges_at = np.concatenate([[at[0] - tray_spacing_ft], at, [reach]])
    padded = np.concatenate([[0.0], row, [0.0]])
    passes = math.ceil((2 * reach + places[-1]) / pass_spacing_ft) + 1
    for k in range(-passes, passes + 1):
        mirrored = pattern == "back and forth" and k % 2 == 1
        offset = places - k * pass_spacing_ft
        total += np.interp(-offset if mirrored else offset, edges_at, padded, left=0, right=0)
    return [float(value) for value in total]


@dataclass(frozen=True)
class Spacing:
    """A pass spacing and the unevenness it gives."""

    spacing_ft: float
    cv_pct: float


def spacings(trays: Sequence[float], tray_spacing_ft: float, pattern: PassPattern) -> list[Spacing]:
    """Return the unevenness at every pass spacing of whole trays, two trays to the full row.

    >>> [one.spacing_ft for one in spacings([1, 2, 2, 1], 5, "racetrack")]
    [10.0, 15.0, 20.0]
    """
    found = []
    for count in range(2, len(trays) + 1):
        spacing = float(count * tray_spacing_ft)
        across = overlapped(trays, tray_spacing_ft, spacing, pattern)
        found.append(Spacing(spacing, coefficient_of_variation_pct(across)))
    return found


def best_spacing_ft(
    trays: Sequence[float], tray_spacing_ft: float, pattern: PassPattern, most_cv_pct: float
) -> float | None:
    """Return the widest pass spacing whose unevenness stays within a limit, or None.

    No single legal limit exists for manure; 20-30 % is common (memory): the limit is an input.

    >>> best_spacing_ft([1, 2, 3, 3, 2, 1], 5, "racetrack", 20)
    20.0
    """
    fit = [s for s in spacings(trays, tray_spacing_ft, pattern) if s.cv_pct <= most_cv_pct]
    return fit[-1].spacing_ft if fit else None


def effective_width_ft(trays: Sequence[float], tray_spacing_ft: float) -> float:
    """Return the distance between the outermost places where the rate is half of the greatest.

    Straight between trays; a pattern still above half at its end counts to the last tray. Source:
    Agdex 400/28-3 p. 201 (read).

    >>> effective_width_ft([0, 4, 8, 8, 4, 0], 5)
    15.0
    """
    left, right = half_rate_places_ft(trays, tray_spacing_ft)
    return right - left


def half_rate_places_ft(trays: Sequence[float], tray_spacing_ft: float) -> tuple[float, float]:
    """Return the outermost places with half of the greatest rate, feet from the track, left first.

    >>> half_rate_places_ft([0, 4, 8, 8, 4, 0], 5)
    (-7.5, 7.5)
    """
    _positive(tray_spacing_ft, "The tray spacing (ft)")
    most = max(trays, default=0)
    if most <= 0:
        raise CalibrationError("The trays hold nothing: there is no pattern.")
    middle = (len(trays) - 1) / 2
    left = _crossing(trays, most / 2)
    right = len(trays) - 1 - _crossing(list(reversed(trays)), most / 2)
    return (left - middle) * tray_spacing_ft, (right - middle) * tray_spacing_ft


def tray_places_ft(trays: Sequence[float], tray_spacing_ft: float) -> list[tuple[float, float]]:
    """Return each tray as feet from the track (left below 0) and amount.

    >>> tray_places_ft([1, 2, 1], 5)
    [(-5.0, 1), (0.0, 2), (5.0, 1)]
    """
    middle = (len(trays) - 1) / 2
    return [((i - middle) * tray_spacing_ft, amount) for i, amount in enumerate(trays)]


def overlap_line(
    trays: Sequence[float], tray_spacing_ft: float, pass_spacing_ft: float, pattern: PassPattern
) -> list[tuple[float, float]]:
    """Return what lies across the row with neighbouring passes: feet from the track and amount.

    The figures of :func:`overlapped`, repeated over the width of the row.

    >>> overlap_line([1, 2, 2, 1], 10, 20, "racetrack")
    [(-15.0, 3.0), (-5.0, 3.0), (5.0, 3.0), (15.0, 3.0)]
    """
    across = overlapped(trays, tray_spacing_ft, pass_spacing_ft, pattern)
    count = max(1, round(pass_spacing_ft / tray_spacing_ft))
    step = pass_spacing_ft / count
    reach = (len(trays) - 1) * tray_spacing_ft / 2
    places = math.floor(2 * reach / step + 1e-9) + 1
    return [(k * step - reach, across[k % len(across)]) for k in range(places)]


def _crossing(trays: Sequence[float], level: float) -> float:
    """The position, in trays, where the row first reaches a level."""
    for i, value in enumerate(trays):
        if value >= level:
            before = trays[i - 1] if i else value
            return i - (value - level) / (value - before) if value > before else float(i)
    raise AssertionError("the greatest tray reaches half of itself")
