"""Kept facts of a load: ground covered, distances, and the versions they came from.

They are dear to compute and cheap to keep; they are facts, never verdicts. A change of a boundary,
a feature, a spreader or a calibration makes the facts of the operation stale; they are worked out
again when next asked for. Per part: part (its number), field, field_version and its revision,
boundary_ac, covered_ac, swept_ac, covered_from ("track", "noted", "whole_field" or None),
rate_per_ac, rate_unit, outside_ac, footprint (GeoJSON or None), distances_from ("track",
"boundary", or None when no distance can be told), trouble (why a track told nothing),
searched_ft (every feature nearer than that is told) and distances: feature, feature_rev, kind,
name, distance_ft, uncertainty_ft, down_gradient.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import prefetch_related_objects

from farmrecords.farm.models import Feature, FieldVersion, Spreader
from farmrecords.history import clock, write
from farmrecords.loads.distances import distances, search_ft
from farmrecords.loads.ground import Ground, ground_of
from farmrecords.loads.models import Load, LoadFacts, LoadPart
from farmrecords.loads.surroundings import Surroundings
from farmrecords.measurements.models import Calibration
from farmrecords.people.models import Operation
from farmrecords.plan.models import PermitCondition

WAY = 3  # raised when the way of computing changes, so that kept facts are worked out again
STALE = 0  # a revision no load has
RESTS_ON = (FieldVersion, Feature, Spreader, Calibration, PermitCondition)


def facts_of(load: Load) -> LoadFacts:
    """The facts of a load; computed and kept when missing or stale."""
    kept = getattr(load, "facts", None)
    if kept is None or kept.load_rev != load.rev:
        kept = facts_for([load])[load.pk]
    return kept


def facts_for(loads: Iterable[Load]) -> dict[UUID, LoadFacts]:
    """The facts of many loads by id, computed where missing or stale, in few queries."""
    wanted = list(loads)
    found = LoadFacts.objects.in_bulk([load.pk for load in wanted])
    behind = [
        load for load in wanted if load.pk not in found or found[load.pk].load_rev != load.rev
    ]
    if behind:
        renew(behind)
        found |= LoadFacts.objects.in_bulk([load.pk for load in behind])
    for load in wanted:
        load.facts = found[load.pk]  # type: ignore[assignment]
    return found


def facts_within(loads: Sequence[Load], search_ft: float) -> dict[UUID, LoadFacts]:
    """The facts of loads of one operation searched farther than the kept ones; nothing is kept."""
    if not loads:
        return {}
    land = Land(loads[0].operation)
    land.search_ft = max(search_ft, land.search_ft)
    rows = _computed(land, loads, {load.pk: "" for load in loads})
    return {row.load_id: row for row in rows}


def renew(loads: Iterable[Load]) -> None:
    """Compute and keep the facts of many loads at once."""
    by_operation: dict[UUID, list[Load]] = defaultdict(list)
    for load in loads:
        by_operation[load.operation_id].append(load)
    for members in by_operation.values():
        _renew(members[0].operation, members)


def _renew(operation: Operation, loads: list[Load]) -> None:
    prefetch_related_objects(loads, "parts", "spreader")
    land = Land(operation)
    marks = {load.pk: land.fingerprint(load) for load in loads}
    known = LoadFacts.objects.in_bulk(list(marks))
    same = [load for load in loads if _unchanged(known.get(load.pk), marks[load.pk])]
    for load in same:
        known[load.pk].load_rev = load.rev
    LoadFacts.objects.bulk_update([known[load.pk] for load in same], ["load_rev"], batch_size=500)
    rest = [load for load in loads if load.pk not in {load.pk for load in same}]
    rows = _computed(land, rest, marks)
    LoadFacts.objects.bulk_create(
        rows,
        batch_size=200,
        update_conflicts=True,
        unique_fields=["load"],
        update_fields=[
            "load_rev", "parts", "covered_ac", "swept_ac", "fingerprint", "computed_at",
        ],
    )  # fmt: skip
    for row in rows:
        row.load.facts = row  # type: ignore[assignment]


def _unchanged(kept: LoadFacts | None, mark: str) -> bool:
    return kept is not None and kept.fingerprint == mark


def _computed(land: Land, loads: Sequence[Load], marks: dict[UUID, str]) -> list[LoadFacts]:
    grounds: list[tuple[Ground, Any]] = []
    owners: list[Load] = []
    for load in loads:
        width = land.around.width_of(load.spreader, load.local_day)
        for part in load.parts.all():
            version = land.version_on(part.field_id, load.local_day)
            grounds.append((ground_of(part, version, load.spreader, width), load.local_day))
            owners.append(load)
    told: dict[UUID, list[dict[str, Any]]] = defaultdict(list)
    near = distances(grounds, land.features, land.search_ft)
    for load, (ground, _day), rows in zip(owners, grounds, near, strict=True):
        told[load.pk].append(ground.told(load) | {"distances": rows, "searched_ft": land.search_ft})
    now = clock.now()
    return [
        LoadFacts(
            load=load,
            load_rev=load.rev,
            parts=told[load.pk],
            covered_ac=_sum(told[load.pk], "covered_ac"),
            swept_ac=_sum(told[load.pk], "swept_ac"),
            fingerprint=marks[load.pk],
            computed_at=now,
        )
        for load in loads
    ]


def _sum(told: list[dict[str, Any]], name: str) -> float | None:
    """The sum over the parts; None as soon as one is not known."""
    values = [row[name] for row in told]
    return None if None in values else sum(values)


class Land:
    """Boundaries, features and widths of one operation, fetched once."""

    def __init__(self, operation: Operation) -> None:
        self.around = Surroundings(operation)
        self.features = list(
            Feature.objects.filter(operation=operation, voided=False).order_by("id")
        )
        conditions = PermitCondition.objects.filter(operation=operation, voided=False)
        self.search_ft = search_ft(conditions, self.features)
        self._versions: dict[UUID, list[FieldVersion]] = defaultdict(list)
        rows = FieldVersion.objects.filter(operation=operation, voided=False)
        for row in rows.order_by("-from_on", "-recorded_at"):
            self._versions[row.field_id].append(row)

    def version_on(self, field_id: UUID, on: Any) -> FieldVersion | None:
        """The version of a field in force on the day."""
        return next((row for row in self._versions.get(field_id, []) if row.holds_on(on)), None)

    def fingerprint(self, load: Load) -> str:
        """What the facts of a load rest on, as one hash."""
        day, spreader = load.local_day, load.spreader
        told = [
            WAY,
            self.search_ft,
            load.amount_kind,
            [self._part(part, day) for part in load.parts.all()],
            [(str(row.pk), row.rev) for row in self.features if row.holds_on(day)],
            _plain(self.around.width_of(spreader, day)),
            (spreader.discharge_side, _plain(spreader.throw_ft)) if spreader else None,
        ]
        return hashlib.sha256(json.dumps(told).encode()).hexdigest()

    def _part(self, part: LoadPart, day: Any) -> list[Any]:
        version = self.version_on(part.field_id, day)
        return [
            part.number,
            str(part.field_id),
            part.amount_milli,
            _plain(part.area_ac),
            part.track_sha256,
            (str(version.pk), version.rev) if version else None,
        ]


def _plain(number: Any) -> str | None:
    """A number in one form, whether just entered or read back."""
    return None if number is None else f"{Decimal(number).normalize():f}"


@write.on_written
def mark_stale(written: list[Any]) -> None:
    """Let facts that rest on something just written be worked out again when next asked for."""
    operations = {item.obj.operation_id for item in written if isinstance(item.obj, RESTS_ON)}
    if operations:
        LoadFacts.objects.filter(load__operation__in=operations).update(load_rev=STALE)
