"""From a weight log to proposed loads: when each was spread, how much it was, how sure that is.

A proposal is never a load: a person confirms, splits, joins or drops it. Each says by code why it
is less than sure. A fall of the weight while the machine stood is a dump or a stack, a class of its
own. Method: reference on data formats, section 6.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from .weight_events import (
    LEAST_SHARE,
    LONGEST_PLATEAU_S,
    NOISE_TIMES,
    Event,
    events_of,
    runs_of,
    swing_of,
)
from .weight_log import Floats, Sitting, Truths, WeightLog, WeightLogError, sittings

SETTLED_S = 5  # a scale swings for some seconds after the machine stops
LEAST_STANDSTILL_S = 8
STANDING_ERROR = 0.01  # of the mass: working assumption, from memory
MOVING_ERROR = 0.03
DRIFT_SHARE = 0.02  # of capacity: more between two empty readings is said
LEVELS_SHARE = 0.08  # of capacity: more between the readings around a fall and the fall itself
ROUGH_SHARE = 0.10  # of capacity: a rise inside a fall is said

# What makes a proposal less than sure, and by how much (project's own weights, not measured).
DOUBTS: dict[str, float] = {
    "cut_at_start": 0.4,
    "cut_at_end": 0.4,
    "silence": 0.5,
    "cell": 0.4,
    "speed_unknown": 0.6,
    "rise_inside": 0.7,
    "slow": 0.7,
    "weighed_moving": 0.9,
    "no_fill_seen": 0.9,
    "fill_differs": 0.8,
    "drift": 0.85,
    "levels_differ": 0.6,
    "no_position": 0.7,
    "outside": 0.6,
    "several_fields": 0.9,
    "other_field_named": 0.7,
}
Kind = Literal["load", "standing"]


def sure_of(doubts: Sequence[str]) -> float:
    """Return how sure a proposal with these doubts is, from 0 to 1.

    >>> sure_of([]), sure_of(["slow", "outside"])
    (1.0, 0.42)
    """
    return round(math.prod((DOUBTS[doubt] for doubt in doubts), start=1.0), 3)


@dataclass(frozen=True)
class Proposal:
    """One proposed load, or one fall while standing.

    Moments in the seconds of the log; ``mass`` and the levels in its unit. ``before_standing`` and
    ``after_standing`` say whether the scale was read at a standstill. ``runs`` are the stretches in
    which the weight fell, without the pauses. ``confidence`` from 0 to 1, ``doubts`` its reasons.
    """

    kind: Kind
    start_s: float
    end_s: float
    mass: float
    before: float
    after: float
    before_standing: bool
    after_standing: bool
    uncertainty: float
    confidence: float
    doubts: tuple[str, ...]
    runs: tuple[tuple[float, float], ...]
    filled: float | None = None


@dataclass(frozen=True)
class Fill:
    """One fill: its moments and the mass taken on."""

    start_s: float
    end_s: float
    mass: float


@dataclass(frozen=True)
class Reconstruction:
    """What a log gives. ``tares`` are the empty readings: (moment, weight) after each fall.

    ``unexplained`` is what the fills brought more than the falls took (with what stayed on board).
    """

    proposals: tuple[Proposal, ...]
    fills: tuple[Fill, ...]
    tares: tuple[tuple[float, float], ...]
    capacity: float
    unexplained: float
    parts: tuple[Sitting, ...] = field(default=(), compare=False)

    def part_at(self, at_s: float) -> Sitting | None:
        """The sitting that holds a moment."""
        return next((p for p in self.parts if p.start_s <= at_s < p.start_s + p.count), None)


def capacity_seen(parts: Sequence[Sitting]) -> float:
    """Return the span of the weights a log shows, from empty to full (0 without readings)."""
    if not parts:
        return 0.0
    low, high = np.percentile(np.concatenate([part.weight for part in parts]), [1, 99])
    return float(high - low)


def reconstruct(
    log: WeightLog, capacity: float | None = None, doubtful: Sequence[tuple[float, float]] = ()
) -> Reconstruction:
    """Return the proposals of a weight log.

    ``capacity`` is a full load in the unit of the log, above 0; without it the span of the weights
    is taken. ``doubtful`` are stretches (seconds) in which a weigh cell stuck. Raises
    WeightLogError for a capacity that cannot be. Source: reference on data formats, section 6,
    derived and measured on simulated logs only; no measured log was at hand.

    >>> import numpy as np
    >>> from farmrecords.calculations.weight_log import log_of
    >>> weight = np.concatenate([np.full(300, 9000.0), np.linspace(9000, 1000, 240),
    ...                          np.full(300, 1000.0)])
    >>> at, lat = np.arange(840.0), 43 + np.arange(840) * 2e-5
    >>> found = reconstruct(log_of(at, weight, np.full(840, -89.5), lat), 9000)
    >>> [(round(p.start_s), round(p.end_s), round(p.mass), p.kind) for p in found.proposals]
    [(300, 539, 8000, 'load')]
    """
    parts = sittings(log)
    size = capacity_seen(parts) if capacity is None else capacity
    if not math.isfinite(size) or (capacity is not None and size <= 0):
        raise WeightLogError(f"A load of {capacity} cannot be; give the mass of a full load.")
    proposals: list[Proposal] = []
    fills: list[Fill] = []
    unexplained = 0.0
    for part in parts if size > 0 else ():
        events = events_of(part, size)
        own, taken = _told(part, events, size, doubtful)
        proposals += own
        fills += taken
        unexplained += _unexplained(part, own, taken)
    tares = tuple((p.end_s, p.after) for p in proposals)
    return Reconstruction(tuple(proposals), tuple(fills), tares, size, unexplained, tuple(parts))


def _unexplained(part: Sitting, own: list[Proposal], taken: list[Fill]) -> float:
    change = float(np.median(part.weight[-30:]) - np.median(part.weight[:30]))
    return sum(f.mass for f in taken) - sum(p.mass for p in own) - change


@dataclass(frozen=True)
class _Level:
    value: float
    standing: bool


def _told(
    part: Sitting, events: list[Event], capacity: float, doubtful: Sequence[tuple[float, float]]
) -> tuple[list[Proposal], list[Fill]]:
    standstill = _settled(part)
    proposals: list[Proposal] = []
    fills: list[Fill] = []
    filled: float | None = None
    empty: float | None = None
    for i, event in enumerate(events):
        begin = events[i - 1].end if i else 0
        end = events[i + 1].start if i + 1 < len(events) else part.count
        before = _level(part, standstill, begin, event.start, last=True)
        after = _level(part, standstill, event.end, end, last=False)
        if event.sign > 0:
            mass = after.value - before.value
            fills.append(Fill(part.start_s + event.start, part.start_s + event.end, mass))
            filled = mass if filled is None else filled + mass
            continue
        if before.value - after.value < _least(part, (before, after), capacity):
            continue
        doubts = _doubts(part, event, (before, after), capacity, doubtful)
        doubts += _fill_doubts(filled, empty, before.value, capacity)
        if event.start - begin < SETTLED_S and not i:
            doubts.append("cut_at_start")
        if end - event.end < SETTLED_S and i + 1 == len(events):
            doubts.append("cut_at_end")
        proposals.append(_proposal(part, event, before, after, doubts, filled))
        filled, empty = None, after.value
    return proposals, fills


def _least(part: Sitting, levels: tuple[_Level, _Level], capacity: float) -> float:
    """The least fall that stands out of the noise of the readings before and after it."""
    least = LEAST_SHARE * capacity
    if all(level.standing for level in levels):
        return least / 2
    return max(least, NOISE_TIMES * swing_of(part))


def _settled(part: Sitting) -> Truths:
    """Seconds at which the machine has stood for some seconds and the scale is quiet."""
    standing = part.standing & ~part.silent
    settled = np.zeros(part.count, dtype=bool)
    for a, b in runs_of(standing):
        settled[min(a + SETTLED_S, b) : b] = True
    return settled


def _level(part: Sitting, standstill: Truths, a: int, b: int, *, last: bool) -> _Level:
    """The weight between two events: at the standstill nearest the fall, else while driving."""
    if b <= a:
        at = min(max(a, 0), part.count - 1)
        return _Level(float(part.weight[at]), False)
    stops = [(s, e) for s, e in runs_of(standstill[a:b]) if e - s >= LEAST_STANDSTILL_S]
    if stops:
        s, e = stops[-1] if last else stops[0]
        return _Level(float(np.median(part.weight[a + s : a + e])), True)
    if last:
        window = part.weight[max(a, b - LONGEST_PLATEAU_S) : max(b - SETTLED_S, a + 1)]
    else:
        window = part.weight[min(a + SETTLED_S, b - 1) : min(b, a + LONGEST_PLATEAU_S)]
    return _Level(float(np.median(window)), False)


def _doubts(
    part: Sitting,
    event: Event,
    levels: tuple[_Level, _Level],
    capacity: float,
    doubtful: Sequence[tuple[float, float]],
) -> list[str]:
    inside = slice(event.start, event.end + 1)
    found = []
    silent = part.silent[inside]
    if silent.sum() > 15:
        found.append("silence")
    start, end = part.start_s + event.start, part.start_s + event.end
    if any(a <= end + 60 and b >= start - 60 for a, b in doubtful):
        found.append("cell")
    if not _moves_known(part, event):
        found.append("speed_unknown")
    weight = part.weight[inside]
    if float((weight - np.minimum.accumulate(weight)).max()) > ROUGH_SHARE * capacity:
        found.append("rise_inside")
    if event.slow:
        found.append("slow")
    if not all(level.standing for level in levels):
        found.append("weighed_moving")
    fell = float(weight[0] - weight[-1])
    if abs(fell - (levels[0].value - levels[1].value)) > LEVELS_SHARE * capacity:
        found.append("levels_differ")
    return found


def _moves_known(part: Sitting, event: Event) -> bool:
    return bool(np.isfinite(part.speed[event.start : event.end + 1]).mean() > 0.3)


def _fill_doubts(
    filled: float | None, empty: float | None, before: float, capacity: float
) -> list[str]:
    """Whether what was on board is what was taken on since the last fall."""
    if empty is None:
        return [] if filled is not None else ["no_fill_seen"]
    if filled is None:
        return ["drift"] if abs(before - empty) > DRIFT_SHARE * capacity else []
    differs = abs(before - empty - filled) > 2 * DRIFT_SHARE * capacity
    return ["fill_differs"] if differs else []


def _proposal(
    part: Sitting,
    event: Event,
    before: _Level,
    after: _Level,
    doubts: list[str],
    filled: float | None,
) -> Proposal:
    mass = before.value - after.value
    errors = [STANDING_ERROR if lv.standing else MOVING_ERROR for lv in (before, after)]
    return Proposal(
        kind=_kind(part, event),
        start_s=part.start_s + event.start,
        end_s=part.start_s + event.end,
        mass=mass,
        before=before.value,
        after=after.value,
        before_standing=before.standing,
        after_standing=after.standing,
        uncertainty=mass * max(errors),
        confidence=sure_of(doubts),
        doubts=tuple(doubts),
        runs=_runs(part, event),
        filled=filled,
    )


def _kind(part: Sitting, event: Event) -> Kind:
    """A load moves while its weight falls; where no speed is known a person decides."""
    inside = slice(event.start, event.end + 1)
    known = np.isfinite(part.speed[inside])
    if not _moves_known(part, event):
        return "load"
    return "load" if float((~part.standing[inside])[known].mean()) >= 0.5 else "standing"


def _runs(part: Sitting, event: Event) -> tuple[tuple[float, float], ...]:
    """The stretches of an event without its pauses."""
    found = []
    start = event.start
    for a, b in event.pauses:
        if a > start and b < event.end:
            found.append((part.start_s + start, part.start_s + a))
            start = b
    found.append((part.start_s + start, part.start_s + event.end))
    return tuple(found)


def divided(proposal: Proposal, part: Sitting, at_s: float) -> tuple[Proposal, Proposal]:
    """Return a proposal as two, its mass divided by the weight at a moment inside it.

    Raises WeightLogError for a moment outside, or one with nothing spread before or after it.
    """
    if not proposal.start_s < at_s < proposal.end_s:
        raise WeightLogError("The moment to divide at lies outside the load.")
    weight = weight_along(proposal, part)
    seconds = proposal.start_s + np.arange(len(weight))
    sides = ["first" if second <= at_s else "second" for second in seconds]
    shares = dict(shares_by_place(weight, sides, proposal.mass))
    if len(shares) < 2:
        raise WeightLogError("At that moment nothing was spread yet, or everything was.")
    level = proposal.before - shares["first"]
    first = replace(
        proposal, end_s=at_s, mass=shares["first"], after=level,
        runs=tuple((a, min(b, at_s)) for a, b in proposal.runs if a < at_s),
    )  # fmt: skip
    second = replace(
        proposal, start_s=at_s, mass=shares["second"], before=level,
        runs=tuple((max(a, at_s), b) for a, b in proposal.runs if b > at_s),
    )  # fmt: skip
    return first, second


def joined(first: Proposal, second: Proposal) -> Proposal:
    """Return two proposals that follow each other as one, with the doubts of both."""
    doubts = tuple(dict.fromkeys((*first.doubts, *second.doubts)))
    return replace(
        first,
        end_s=second.end_s,
        mass=first.mass + second.mass,
        after=second.after,
        after_standing=second.after_standing,
        uncertainty=first.uncertainty + second.uncertainty,
        confidence=sure_of(doubts),
        doubts=doubts,
        runs=(*first.runs, *second.runs),
    )


def weight_along(proposal: Proposal, part: Sitting) -> Floats:
    """Return the weight once a second from the start to the end of a proposal."""
    start = round(proposal.start_s - part.start_s)
    return part.weight[max(start, 0) : round(proposal.end_s - part.start_s) + 1]


def shares_by_place(weight: Floats, places: Sequence[str], mass: float) -> list[tuple[str, float]]:
    """Return how a mass falls to the places a machine was in, by the weight at each border.

    ``weight`` once a second along the load and ``places`` the place of each second ("" for none);
    both of one length. The shares add up to ``mass``; a place where the weight did not fall has no
    share. In the order in which the places were entered first.

    >>> import numpy as np
    >>> shares_by_place(np.linspace(100, 0, 11), ["a"] * 5 + ["b"] * 6, 50.0)
    [('a', 20.0), ('b', 30.0)]
    """
    falling = np.minimum.accumulate(np.asarray(weight, dtype=np.float64))
    drops = -np.diff(falling)
    total = float(drops.sum())
    if total <= 0:
        return []
    found: dict[str, float] = {}
    for place, drop in zip(places[1:], drops.tolist(), strict=True):
        found[place] = found.get(place, 0.0) + drop
    return [(place, mass * drop / total) for place, drop in found.items() if drop > 0]
