"""Where a weight log rises and falls: fills and discharges with their true edges.

Two thresholds on the slope find a run (hysteresis); runs with a short pause between them are one;
the edges are then put where a straight plateau and a straight fall meet. Thresholds and windows:
reference on data formats, section 6 (derived there on simulated logs).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from .weight_log import Floats, Sitting, Truths, running_slope

BEGINS_PER_S = 0.0012  # share of capacity a second
ENDS_PER_S = 0.0004
SLOW_BEGINS_PER_S = 0.0005
SLOW_ENDS_PER_S = 0.00015
SLOW_SLOPE_S = 181
LEAST_SHARE = 0.08  # of capacity
LEAST_S = 20
PAUSE_S = 90
FILL_PAUSE_S = 180  # a loader brings bucket after bucket
RISE_SHARE = 0.03  # of capacity: less than this between two runs is noise
RISE_TIMES = 2.0  # and so is less than so many times the swing of the weight
SWING_S = 31
LONGEST_PLATEAU_S = 300
NOISE_TIMES = 3.0  # a fall must stand out of the swing of the plateaus beside it by so much
NORMAL_MAD = 1.4826  # from the median deviation to the standard deviation of normal noise


@dataclass(frozen=True)
class Event:
    """One rise (``sign`` 1) or fall (-1) between two seconds of a sitting.

    ``pauses`` are the stretches inside it without rise or fall; ``slow`` one that only the long
    window found.
    """

    sign: int
    start: int
    end: int
    pauses: tuple[tuple[int, int], ...] = ()
    slow: bool = False


def runs_of(mask: Truths) -> Iterator[tuple[int, int]]:
    """Yield the stretches in which a mask is true, as start and end (not included).

    >>> list(runs_of(np.array([False, True, True, False, True])))
    [(1, 3), (4, 5)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    yield from zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)


def hysteresis(rate: Floats, begins: float, ends: float) -> list[tuple[int, int]]:
    """Return the stretches where a rate stays above ``ends`` and once passes ``begins``.

    >>> hysteresis(np.array([0.0, 1.0, 3.0, 1.0, 0.0, 1.0]), 2.0, 0.5)
    [(1, 4)]
    """
    return [(a, b) for a, b in runs_of(rate > ends) if rate[a:b].max() > begins]


def events_of(sitting: Sitting, capacity: float) -> list[Event]:
    """Return the fills and discharges of a sitting in the order of time, edges made true.

    ``capacity`` above 0, in the unit of the weights. A rise or fall of less than 8 % of it, or one
    that goes back by itself, is none.
    """
    rough = _rough(sitting, capacity)
    placed = [_placed(sitting, rough, i) for i in range(len(rough))]
    return _kept(sitting, capacity, placed)


def _rough(sitting: Sitting, capacity: float) -> list[Event]:
    rate = sitting.rate / capacity
    rises = [
        (a, b)
        for a, b in hysteresis(rate, BEGINS_PER_S, ENDS_PER_S)
        if _standing_share(sitting, a, b) > 0.5
    ]
    fast = hysteresis(-rate, BEGINS_PER_S, ENDS_PER_S)
    slow = _slow_falls(sitting, capacity, sorted([*rises, *fast]))
    falls = [*fast, *slow]
    falls += _falls_in_silence(sitting, capacity, falls)
    found = _joined(sitting, capacity, sorted(falls), -1, PAUSE_S)
    found = [replace(e, slow=not any(a < e.end and b > e.start for a, b in fast)) for e in found]
    found += _joined(sitting, capacity, rises, 1, FILL_PAUSE_S)
    long = [event for event in found if event.end - event.start >= LEAST_S]
    return sorted(long, key=lambda event: event.start)


def _standing_share(sitting: Sitting, a: int, b: int) -> float:
    """The share of a stretch in which the machine stood; 1 where no speed is known."""
    speed = sitting.speed[a:b]
    known = np.isfinite(speed)
    return 1.0 if not known.any() else float(sitting.standing[a:b][known].mean())


def _falls_in_silence(
    sitting: Sitting, capacity: float, falls: list[tuple[int, int]]
) -> list[tuple[int, int]]:
    """Silences across which the weight fell, where the slope alone did not show it."""
    found = []
    for a, b in runs_of(sitting.silent):
        covered = any(start < b and end > a for start, end in falls)
        fell = _level(sitting, a - 30, a) - _level(sitting, b, b + 30)
        if not covered and fell >= LEAST_SHARE * capacity:
            found.append((max(a - 1, 0), min(b + 1, sitting.count)))
    return found


def _level(sitting: Sitting, a: int, b: int) -> float:
    a, b = max(a, 0), min(b, sitting.count)
    if a >= b:
        a = min(max(a - 1, 0), sitting.count - 1)
        b = a + 1
    return float(np.median(sitting.weight[a:b]))


def _joined(
    sitting: Sitting, capacity: float, runs: list[tuple[int, int]], sign: int, pause_s: int
) -> list[Event]:
    """Runs with a short pause between them as one event, unless the weight went back between."""
    found: list[Event] = []
    rise = max(RISE_SHARE * capacity, RISE_TIMES * swing_of(sitting))
    for a, b in runs:
        last = found[-1] if found else None
        if last is not None:
            pause = a - last.end - int(sitting.silent[last.end : a].sum())
            back = sign * (_level(sitting, last.end - 5, last.end + 5) - _level(sitting, a - 5, a))
            if pause <= pause_s and back < rise:
                pauses = (*last.pauses, (last.end, a)) if a > last.end else last.pauses
                found[-1] = replace(last, end=max(b, last.end), pauses=pauses)
                continue
        found.append(Event(sign, a, b))
    return found


def swing_of(sitting: Sitting) -> float:
    """Return how far the weight swings about its running line while the machine drives."""
    width = min(SWING_S, sitting.count)
    line = np.convolve(sitting.weight, np.ones(width) / width, mode="same")
    driving = ~sitting.standing & ~sitting.silent
    driving[:width] = driving[-width:] = False
    off = np.abs(sitting.weight - line)[driving]
    return NORMAL_MAD * float(np.median(off)) if len(off) else 0.0


def _slow_falls(
    sitting: Sitting, capacity: float, known: list[tuple[int, int]]
) -> list[tuple[int, int]]:
    """Falls too slow for the short window, on stretches that end lower than they began."""
    bounds = [0, *(edge for run in known for edge in run), sitting.count]
    found: list[tuple[int, int]] = []
    rate: Floats | None = None
    for a, b in zip(bounds[::2], bounds[1::2], strict=True):
        if b - a < SLOW_SLOPE_S + 60:
            continue
        high, low = _level(sitting, a, a + 60), _level(sitting, b - 60, b)
        if high - low < LEAST_SHARE * capacity:
            continue
        if rate is None:
            rate = running_slope(sitting.weight, SLOW_SLOPE_S) / capacity
        runs = hysteresis(-rate[a:b], SLOW_BEGINS_PER_S, SLOW_ENDS_PER_S)
        fell = sum(float(sitting.weight[a + s] - sitting.weight[a + e - 1]) for s, e in runs)
        if fell < 0.7 * (high - low):
            runs = [_between_levels(sitting.weight[a:b], high, low)]
        found += [(a + start, a + end) for start, end in runs]
    return found


def _between_levels(weight: Floats, high: float, low: float) -> tuple[int, int]:
    """The stretch between two levels: from a tenth to nine tenths of the fall, drawn out."""
    tenth = 0.1 * (high - low)
    start = int(np.argmax(weight < high - tenth))
    end = len(weight) - int(np.argmax(weight[::-1] > low + tenth))
    eighth = max(end - start, 8) // 8
    return max(start - eighth, 0), min(end + eighth, len(weight))


def _placed(sitting: Sitting, events: list[Event], i: int) -> Event:
    """An event with its edges where plateau and slope meet."""
    event = events[i]
    before = events[i - 1].end if i else 0
    after = events[i + 1].start if i + 1 < len(events) else sitting.count
    first = _plateau(sitting, before, event.start, from_end=True)
    last = _plateau(sitting, event.end, after, from_end=False)
    weight = event.sign * sitting.weight
    low, high = event.sign * first, event.sign * last
    if high - low <= 0:
        return event
    begin, end = max(before, event.start - 60), min(after, event.end + 60)
    start = _edge(weight[begin:end], low, high) + begin
    back = _edge(-weight[begin:end][::-1], -high, -low)
    stop = end - 1 - back
    if stop - start < LEAST_S:
        return event
    return replace(event, start=start, end=stop)


def _plateau(sitting: Sitting, a: int, b: int, *, from_end: bool) -> float:
    if b - a < 20:
        middle = (a + b) // 2
        return _level(sitting, middle - 10, middle + 10)
    if from_end:
        return _level(sitting, max(a, b - 65), b - 5)
    return _level(sitting, a + 5, min(b, a + 65))


def _edge(weight: Floats, low: float, high: float) -> int:
    """Where a weight that rises from ``low`` to ``high`` leaves the lower plateau.

    The last moment below a tenth of the rise and the first above a third bound a stretch in which
    a flat line and a sloped one are fitted; their corner is the edge.
    """
    rise = high - low
    below = np.flatnonzero(weight <= low + 0.10 * rise)
    tenth = int(below[-1]) if len(below) else 0
    above = np.flatnonzero(weight[tenth:] >= low + 0.35 * rise)
    third = tenth + int(above[0]) if len(above) else len(weight) - 1
    begin = max(0, tenth - 60 - (third - tenth) * 2 // 3)
    piece = weight[begin : third + 1]
    return begin + _corner(piece) if len(piece) >= 6 else tenth


def _corner(values: Floats) -> int:
    """The corner of the flat line and the sloped line that fit best together."""
    count = len(values)
    best, at = np.inf, 0
    steps = np.arange(count, dtype=np.float64)
    for corner in range(count - 3):
        ramp = np.maximum(steps - corner, 0.0)
        centred = ramp - ramp.mean()
        spread = float(centred @ centred)
        slope = float(centred @ values) / spread
        rest = values - values.mean() - slope * centred
        error = float(rest @ rest)
        if error < best and slope > 0:
            best, at = error, corner
    return at


def _kept(sitting: Sitting, capacity: float, events: list[Event]) -> list[Event]:
    """Events whose plateaus differ by enough, and that did not go back by themselves."""
    kept = list(events)
    while True:
        wrong = next((i for i in range(len(kept)) if not _holds(sitting, capacity, kept, i)), None)
        if wrong is None:
            return kept
        del kept[wrong]


def _holds(sitting: Sitting, capacity: float, events: list[Event], i: int) -> bool:
    event = events[i]
    before = events[i - 1].end if i else 0
    after = events[i + 1].start if i + 1 < len(events) else sitting.count
    first = _plateau(sitting, before, event.start, from_end=True)
    near = _plateau(sitting, event.end, after, from_end=False)
    noise = max(
        _noise(sitting, max(before, event.start - 65), event.start - 5),
        _noise(sitting, event.end + 5, min(after, event.end + 65)),
    )
    least = max(LEAST_SHARE * capacity, NOISE_TIMES * noise)
    if event.sign * (near - first) < least:
        return False
    if after - event.end < 120:
        return True
    far = _level(sitting, max(event.end, after - 65), after - 5)
    return event.sign * (far - first) >= least / 2


def _noise(sitting: Sitting, a: int, b: int) -> float:
    """How far the weight of a plateau swings about its middle; 0 for one too short to tell."""
    piece = sitting.weight[max(a, 0) : max(b, 0)]
    if len(piece) < 20:
        return 0.0
    return NORMAL_MAD * float(np.median(np.abs(piece - np.median(piece))))
