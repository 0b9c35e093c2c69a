"""The facts of a load as they were at a past moment, from the records as they then stood."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from typing import Any
from uuid import UUID

from farmrecords.farm.models import Feature, FieldVersion
from farmrecords.history.read import as_of, as_of_many
from farmrecords.loads.distances import distances, search_ft
from farmrecords.loads.ground import Ground, ground_of
from farmrecords.loads.models import Load
from farmrecords.loads.surroundings import Surroundings
from farmrecords.plan.models import PermitCondition


def facts_as_of(load: Load, moment: dt.datetime) -> list[dict[str, Any]]:
    """The facts of each part as the load, boundaries and features read at `moment`.

    Spreader and calibration are those of today: what a track covered is told with the width known
    now. Empty when the load was not recorded yet.
    """
    then = as_of(Load, load.pk, moment)
    if then is None:
        return []
    versions = _versions(load.operation_id, moment)
    around = Surroundings(load.operation)
    width = around.width_of(then.spreader, then.local_day)
    grounds: list[tuple[Ground, Any]] = []
    for part in then.parts.all():
        rows = versions.get(part.field_id, [])
        version = next((row for row in rows if row.holds_on(then.local_day)), None)
        grounds.append((ground_of(part, version, then.spreader, width), then.local_day))
    features = _features(load.operation_id, moment)
    conditions = PermitCondition.objects.filter(operation=load.operation_id, voided=False)
    near = distances(grounds, features, search_ft(conditions, features))
    return [
        ground.told(then) | {"distances": rows}
        for (ground, _day), rows in zip(grounds, near, strict=True)
    ]


def _versions(operation_id: UUID, moment: dt.datetime) -> dict[UUID, list[FieldVersion]]:
    found: dict[UUID, list[FieldVersion]] = defaultdict(list)
    keys = FieldVersion.objects.filter(operation=operation_id).values_list("pk", flat=True)
    rows = as_of_many(FieldVersion, keys, moment).values()
    for row in sorted(rows, key=lambda row: row.from_on, reverse=True):
        if not row.voided:
            found[row.field_id].append(row)
    return found


def _features(operation_id: UUID, moment: dt.datetime) -> list[Feature]:
    keys = Feature.objects.filter(operation=operation_id).values_list("pk", flat=True)
    rows = as_of_many(Feature, keys, moment).values()
    return sorted((row for row in rows if not row.voided), key=lambda row: row.pk)
