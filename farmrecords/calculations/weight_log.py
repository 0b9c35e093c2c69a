"""A weight log as it came, made even: once a second, without spikes, with its slope.

The weight of a spreader's scale is read while it drives over rough ground. It is laid on whole
seconds, freed of spikes by a running median, and its slope is that of a least-squares line over a
minute. Where the log is silent the weight is joined by a straight line and marked as silent.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from .geodesy import LocalPlane

Floats = npt.NDArray[np.float64]
Truths = npt.NDArray[np.bool_]

SILENT_S = 10.0  # reference on data formats, section 3.2: a longer silence is a loss of the log
SITTING_S = 3600.0  # a longer silence parts one sitting from the next
MEDIAN_S = 15  # section 6, step 1
SLOPE_S = 61  # section 6, step 2
STANDING_M_PER_S = 0.3  # section 6, step 3
MOST_SECONDS = 400 * 86_400
MOST_READINGS = 2_000_000


class WeightLogError(ValueError):
    """A weight log that cannot be read; the message says why."""


@dataclass(frozen=True)
class WeightLog:
    """Readings of a scale with positions, in the order of time.

    ``at_s`` seconds from any fixed moment; ``weight`` in one unit of mass (NaN where the scale said
    nothing); ``lon`` and ``lat`` in degrees (NaN where there was no position).
    """

    at_s: Floats
    weight: Floats
    lon: Floats
    lat: Floats


@dataclass(frozen=True)
class Sitting:
    """One stretch of a log without a long silence, once a second.

    ``weight`` is free of spikes and joined over silences (``silent``); ``rate`` its slope in mass
    per second; ``speed`` in metres per second, NaN where no position tells it.
    """

    start_s: float
    raw: Floats
    weight: Floats
    rate: Floats
    speed: Floats
    silent: Truths
    lon: Floats
    lat: Floats
    at_begin: bool = False

    @property
    def count(self) -> int:
        """Seconds of the stretch."""
        return len(self.weight)

    @property
    def standing(self) -> Truths:
        """Whether the machine stood, where the speed is known."""
        with np.errstate(invalid="ignore"):
            return np.asarray(self.speed < STANDING_M_PER_S)


def log_of(at_s: Any, weight: Any, lon: Any, lat: Any) -> WeightLog:
    """Return a log in the order of time, each moment once (the last reading of it counts).

    All four of one length; NaN stands for what was not read. Raises WeightLogError for a moment
    that is not a number, a log too long, or lengths that differ.

    >>> log_of([2, 1, 2], [5.0, 4.0, 6.0], [0, 0, 0], [0, 0, 0]).weight.tolist()
    [4.0, 6.0]
    """
    columns = [np.asarray(column, dtype=np.float64) for column in (at_s, weight, lon, lat)]
    if len({len(column) for column in columns}) != 1:
        raise WeightLogError("The columns of the weight log differ in length.")
    moments = columns[0]
    if not np.isfinite(moments).all():
        raise WeightLogError("A reading of the weight log has no moment. Leave it out.")
    if len(moments) > MOST_READINGS:
        raise WeightLogError(f"The log has {len(moments):,} readings; read it in parts.")
    order = np.argsort(moments, kind="stable")
    moments = moments[order]
    last = np.append(moments[1:] != moments[:-1], True) if len(moments) else np.array([], bool)
    kept = order[last]
    found = WeightLog(*(column[kept] for column in columns))
    if len(kept) and found.at_s[-1] - found.at_s[0] > MOST_SECONDS:
        raise WeightLogError("The log spans more than 400 days. Check its dates.")
    return found


def running_median(values: Floats, width: int) -> Floats:
    """Return the median of each value and its neighbours, ``width`` (odd) in all, ends repeated.

    >>> running_median(np.array([1.0, 1.0, 90.0, 1.0, 2.0]), 3).tolist()
    [1.0, 1.0, 1.0, 2.0, 2.0]
    """
    if not len(values):
        return values
    padded = np.pad(values, width // 2, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, width)
    middle = width // 2
    step = 200_000
    parts = [
        np.partition(windows[at : at + step], middle, axis=1)[:, middle]
        for at in range(0, len(values), step)
    ]
    return np.concatenate(parts)


def running_slope(values: Floats, width: int) -> Floats:
    """Return the slope of the least-squares line through each value and its neighbours.

    ``width`` is odd; per step of one. The ends are continued flat.

    >>> running_slope(np.arange(9.0) * -2, 3).round(9).tolist()
    [-1.0, -2.0, -2.0, -2.0, -2.0, -2.0, -2.0, -2.0, -1.0]
    """
    if not len(values):
        return values
    half = width // 2
    offsets = np.arange(-half, half + 1, dtype=np.float64)
    kernel = offsets / (offsets**2).sum()
    padded = np.pad(values, half, mode="edge")
    return np.convolve(padded, kernel[::-1], mode="valid")


def sittings(log: WeightLog) -> list[Sitting]:
    """Return the stretches of a log, parted where it is silent for more than an hour.

    Stretches of less than a minute tell nothing and fall away.

    >>> at = list(range(200)) + list(range(9000, 9200))
    >>> found = sittings(log_of(at, [5.0] * 400, [-89.5] * 400, [43.0] * 400))
    >>> [part.count for part in found], float(found[0].speed.max())
    ([200, 200], 0.0)
    """
    known = np.flatnonzero(np.isfinite(log.weight))
    if not len(known):
        return []
    breaks = np.flatnonzero(np.diff(log.at_s[known]) > SITTING_S) + 1
    found = []
    for part in np.split(known, breaks):
        span = log.at_s[part[-1]] - log.at_s[part[0]]
        if span >= SLOPE_S:
            found.append(_sitting(log, part))
    return found


def _sitting(log: WeightLog, part: npt.NDArray[np.int64]) -> Sitting:
    at_s, weight = log.at_s[part], log.weight[part]
    start = float(np.ceil(at_s[0]))
    seconds: Floats = start + np.arange(int(np.floor(at_s[-1]) - start) + 1, dtype=np.float64)
    after = np.searchsorted(at_s, seconds, side="left").clip(1, len(at_s) - 1)
    silent = (at_s[after] - at_s[after - 1]) > SILENT_S
    silent &= (at_s[after] != seconds) & (at_s[after - 1] != seconds)
    raw = np.interp(seconds, at_s, weight)
    calm = running_median(raw, MEDIAN_S)
    lon, lat = (_on_seconds(log, column, part, seconds) for column in (log.lon, log.lat))
    return Sitting(
        start_s=start,
        raw=raw,
        weight=calm,
        rate=running_slope(calm, SLOPE_S),
        speed=_speed(lon, lat),
        silent=silent,
        lon=lon,
        lat=lat,
    )


def _on_seconds(
    log: WeightLog, column: Floats, part: npt.NDArray[np.int64], seconds: Floats
) -> Floats:
    """A coordinate on whole seconds; NaN where no position lies within the silent span."""
    span = slice(part[0], part[-1] + 1)
    at_s, values = log.at_s[span], column[span]
    known = np.isfinite(values)
    if known.sum() < 2:
        return np.full(len(seconds), np.nan)
    at_s, values = at_s[known], values[known]
    after = np.searchsorted(at_s, seconds, side="left").clip(1, len(at_s) - 1)
    found = np.interp(seconds, at_s, values)
    far = (at_s[after] - at_s[after - 1]) > SILENT_S
    far &= (at_s[after] != seconds) & (at_s[after - 1] != seconds)
    found[far] = np.nan
    return found


def _speed(lon: Floats, lat: Floats) -> Floats:
    """Metres per second over ten seconds around each second, so that noise does not drive."""
    known = np.isfinite(lon) & np.isfinite(lat)
    speed = np.full(len(lon), np.nan)
    if known.sum() < 2:
        return speed
    middle = (float(np.median(lon[known])), float(np.median(lat[known])))
    metres = np.full((len(lon), 2), np.nan)
    metres[known] = LocalPlane(*middle).to_metres(np.column_stack([lon[known], lat[known]]))
    place = np.column_stack([_rolling_mean(metres[:, axis], 5) for axis in (0, 1)])
    half = 5
    index = np.arange(len(lon))
    before, after = (index - half).clip(0), (index + half).clip(max=len(lon) - 1)
    moved = np.hypot(*(place[after] - place[before]).T)
    return moved / np.maximum(after - before, 1)


def _rolling_mean(values: Floats, width: int) -> Floats:
    """The mean of the known neighbours; NaN where none is known."""
    known = np.isfinite(values)
    sums = np.convolve(np.where(known, values, 0.0), np.ones(width), mode="same")
    counts = np.convolve(known.astype(float), np.ones(width), mode="same")
    mean = sums / np.maximum(counts, 1)
    mean[~known] = np.nan
    return np.asarray(mean, dtype=np.float64)
