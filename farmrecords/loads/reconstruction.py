"""Proposed loads of a weight log on the fields of a farm: where each was spread, and how much.

Nothing here becomes a load. A person's decisions on a proposal are answers of the file, by the
moment it began: `load:` confirm, amend or drop; `load_field:` the field when the place does not
tell; `split:` a moment to divide it at; `join:` next, to make it one with the following.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

import numpy as np
import shapely
from django.utils.translation import gettext as _

from farmrecords.calculations.reconstruction import (
    Proposal,
    Reconstruction,
    divided,
    joined,
    reconstruct,
    shares_by_place,
    weight_along,
)
from farmrecords.calculations.units import UnitError, convert
from farmrecords.calculations.weigh_cells import CellTrouble, summed
from farmrecords.calculations.weight_log import Sitting, WeightLogError, log_of
from farmrecords.farm.acres import boundary_of
from farmrecords.farm.models import Field
from farmrecords.loads.import_rows import plain
from farmrecords.people.models import Operation

ROUND_TO = {"ton": "0.01", "tonne": "0.01"}
LEAST_SHARE = 0.02  # of a load: less on a neighbouring field is the width of the border
EDGE_S = 20  # a shorter stretch outside every field is a turn on the headland
MOST_LINE_POINTS = 40
Decisions = dict[str, str]


@dataclass
class ProposedLoad:
    """One proposed load with its moments, fields and what a person decided on it."""

    key: str
    proposal: Proposal
    part: Sitting
    started: dt.datetime
    ended: dt.datetime
    unit: str
    shares: list[tuple[Field | None, Decimal]]
    doubts: list[str]
    decision: str
    worker: str = ""
    joins_next: bool = False
    divided_at: str = ""
    trouble: str = ""
    places: list[str] = field(default_factory=list)

    @property
    def amount(self) -> Decimal:
        """The mass as it would be recorded, in the unit of the log."""
        return _rounded(self.proposal.mass, self.unit)

    @property
    def line(self) -> list[list[float]]:
        """The way of the load, thinned, as longitude and latitude."""
        lonlat = positions(self)
        known = lonlat[np.isfinite(lonlat).all(axis=1)]
        step = max(1, len(known) // MOST_LINE_POINTS)
        return [[round(x, 6), round(y, 6)] for x, y in known[::step].tolist()]


@dataclass
class Rebuilt:
    """What one series of a file gives."""

    found: Reconstruction
    loads: list[ProposedLoad]
    troubles: tuple[CellTrouble, ...]
    base: dt.datetime


class Land:
    """The fields of an operation, to find the one a position lies in on a day."""

    def __init__(self, operation: Operation) -> None:
        self.fields = list(Field.objects.filter(operation=operation, voided=False))
        self.by_key = {str(one.pk): one for one in self.fields}
        self._names: dict[str, list[Field]] = {}
        for one in self.fields:
            names = (one.number, one.name, str(one), *map(str, one.aliases))
            for name in {plain(name) for name in names if name}:
                self._names.setdefault(name, []).append(one)
        self._days: dict[dt.date, tuple[list[str], Any]] = {}

    def named(self, label: str) -> Field | None:
        """The one field that goes by a name or alias."""
        found = self._names.get(plain(label), []) if label else []
        return found[0] if len(found) == 1 else None

    def places(self, lonlat: np.ndarray, on: dt.date) -> list[str]:
        """The key of the field each position lies in, "" outside and where there is none."""
        keys, tree = self._on(on)
        found = [""] * len(lonlat)
        known = np.flatnonzero(np.isfinite(lonlat).all(axis=1))
        if tree is None or not len(known):
            return found
        points = shapely.points(lonlat[known])
        for at, which in tree.query(points, predicate="intersects").T.tolist():
            found[known[at]] = keys[which]
        return found

    def _on(self, on: dt.date) -> tuple[list[str], Any]:
        if on not in self._days:
            keys, shapes = [], []
            for one in self.fields:
                boundary = boundary_of(one.version_on(on))
                if boundary is not None:
                    keys.append(str(one.pk))
                    shapes.append(boundary)
            self._days[on] = keys, shapely.STRtree(shapes) if shapes else None
        return self._days[on]


def rebuild(
    operation: Operation, item: dict[str, Any], capacity: float | None, decisions: Decisions
) -> Rebuilt:
    """The proposed loads of one series, with the decisions on them. Raises WeightLogError."""
    at_s = np.array(item["at_s"], dtype=float)
    cells = [_numbers(values) for values in item["cells"].values()]
    total = summed(at_s, cells)
    log = log_of(at_s, total.weight, _numbers(item["lon"]), _numbers(item["lat"]))
    found = reconstruct(log, capacity, total.doubtful)
    base = dt.datetime.fromisoformat(item["base"]).astimezone(dt.UTC)
    land = Land(operation)
    loads = []
    for proposal, joins, cut, trouble in _as_decided(found, base, decisions):
        part = found.part_at(proposal.start_s)
        if part is None:
            continue
        one = _proposed(operation, land, item, base, proposal, part, decisions)
        one.joins_next, one.divided_at, one.trouble = joins, cut, trouble
        loads.append(one)
    return Rebuilt(found, loads, total.troubles, base)


def _numbers(values: Sequence[float | None]) -> np.ndarray:
    return np.array([np.nan if value is None else value for value in values], dtype=float)


def key_of(base: dt.datetime, at_s: float) -> str:
    """The name a proposal goes by in the decisions: the second it began, in UTC."""
    moment = base + dt.timedelta(seconds=round(at_s))
    return moment.astimezone(dt.UTC).replace(microsecond=0).strftime("%Y-%m-%dT%H:%M:%SZ")


def _as_decided(
    found: Reconstruction, base: dt.datetime, decisions: Decisions
) -> list[tuple[Proposal, bool, str, str]]:
    """The proposals after joining and dividing, with what was asked and what could not be done."""
    rows: list[tuple[Proposal, bool, str, str]] = []
    waiting = list(found.proposals)
    while waiting:
        one = waiting.pop(0)
        key, joins = key_of(base, one.start_s), False
        while decisions.get(f"join:{key}") == "next" and waiting:
            following = waiting.pop(0)
            key, joins = key_of(base, following.start_s), True
            one = joined(one, following)
        cut = decisions.get(f"split:{key_of(base, one.start_s)}", "")
        part = found.part_at(one.start_s)
        if cut and part is not None:
            try:
                moment = dt.datetime.fromisoformat(cut)
                rows += [
                    (half, joins, cut if first else "", "")
                    for half, first in zip(
                        divided(one, part, (moment - base).total_seconds()),
                        (True, False),
                        strict=True,
                    )
                ]
                continue
            except WeightLogError as trouble:
                rows.append((one, joins, cut, str(trouble)))
                continue
            except (ValueError, TypeError):
                rows.append((one, joins, cut, _no_moment(cut)))
                continue
        rows.append((one, joins, cut, ""))
    return rows


def _no_moment(given: str) -> str:
    return _("“%(given)s” is no time. Enter it as 2026-04-22 14:05:30.") % {"given": given[:40]}


def _proposed(
    operation: Operation,
    land: Land,
    item: dict[str, Any],
    base: dt.datetime,
    proposal: Proposal,
    part: Sitting,
    decisions: Decisions,
) -> ProposedLoad:
    key = key_of(base, proposal.start_s)
    started = base + dt.timedelta(seconds=round(proposal.start_s))
    ended = base + dt.timedelta(seconds=round(proposal.end_s))
    task = _task_at(item, (proposal.start_s + proposal.end_s) / 2)
    doubts = list(proposal.doubts)
    one = ProposedLoad(
        key=key,
        proposal=proposal,
        part=part,
        started=started,
        ended=ended,
        unit=item["unit"],
        shares=[],
        doubts=doubts,
        decision=decisions.get(f"load:{key}", ""),
        worker=str(task.get("worker", "")) if task else "",
    )
    chosen = land.by_key.get(decisions.get(f"load_field:{key}", ""))
    if chosen is not None:
        one.shares = [(chosen, one.amount)]
        one.places = [str(chosen.pk)] * len(weight_along(proposal, part))
        return one
    day = started.astimezone(operation.zone).date()
    _put_on_fields(one, land, day, land.named(str(task.get("field", "")) if task else ""))
    return one


def _task_at(item: dict[str, Any], at_s: float) -> dict[str, Any] | None:
    return next((t for t in item["tasks"] if t["from_s"] <= at_s <= t["to_s"]), None)


def positions(one: ProposedLoad) -> np.ndarray:
    """Longitude and latitude once a second from start to end; NaN where not known."""
    start = max(round(one.proposal.start_s - one.part.start_s), 0)
    end = round(one.proposal.end_s - one.part.start_s) + 1
    return np.column_stack([one.part.lon[start:end], one.part.lat[start:end]])


def _put_on_fields(one: ProposedLoad, land: Land, day: dt.date, named: Field | None) -> None:
    """Divide the mass over the fields by the weight at each border."""
    lonlat = positions(one)
    if not np.isfinite(lonlat).all(axis=1).any():
        one.doubts.append("no_position")
        one.shares = [(named, one.amount)]
        one.places = [str(named.pk) if named else ""] * len(lonlat)
        return
    one.places = _without_turns(land.places(lonlat, day))
    shares = shares_by_place(weight_along(one.proposal, one.part), one.places, 1.0)
    kept = [(key, share) for key, share in shares if share >= LEAST_SHARE]
    if not kept:
        kept = [("", 1.0)]
    if any(not key for key, _share in kept):
        one.doubts.append("outside")
    if sum(bool(key) for key, _share in kept) > 1:
        one.doubts.append("several_fields")
    if named is not None and all(key != str(named.pk) for key, _share in kept):
        one.doubts.append("other_field_named")
    one.shares = _amounts(one, kept, land)


def _amounts(
    one: ProposedLoad, kept: list[tuple[str, float]], land: Land
) -> list[tuple[Field | None, Decimal]]:
    """Shares as amounts that add up to the load; the largest takes what rounding leaves."""
    whole = sum(share for _key, share in kept)
    parts = [_rounded(one.proposal.mass * share / whole, one.unit) for _key, share in kept]
    largest = max(range(len(kept)), key=lambda i: kept[i][1])
    parts[largest] += one.amount - sum(parts)
    return [(land.by_key.get(key), part) for (key, _s), part in zip(kept, parts, strict=True)]


def _without_turns(places: list[str]) -> list[str]:
    """Places in which a short stretch outside every field belongs to the field before it."""
    found = list(places)
    at = 0
    while at < len(found):
        end = at
        while end < len(found) and found[end] == places[at]:
            end += 1
        if places[at] == "" and end - at <= EDGE_S:
            beside = found[at - 1] if at else (found[end] if end < len(found) else "")
            found[at:end] = [beside] * (end - at)
        at = end
    return found


def _rounded(mass: float, unit: str) -> Decimal:
    return Decimal(str(mass)).quantize(Decimal(ROUND_TO.get(unit, "1")))


def full_load(text: str, text_unit: str, unit: str) -> float | None:
    """A full load in the unit of the log; None when it is not known or of another kind."""
    if not text:
        return None
    try:
        return float(convert(Decimal(text.replace(",", "")), text_unit, unit))
    except (UnitError, ArithmeticError):
        return None
