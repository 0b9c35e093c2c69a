"""What the rules may look at for one feature near the ground of a load."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from farmrecords.farm.further import further_facts
from farmrecords.farm.models import Feature as FeatureRecord
from farmrecords.farm.models import Practice
from farmrecords.findings.surroundings import Surroundings
from farmrecords.plan.models import PermitCondition
from farmrecords.rules.facts import Feature

PAPERS = {"approved_alternative": "equal_reduction", "vegetated_buffer": ""}
# Where distances are measured from ground that manure went on, or will go on.
GROUND_KNOWN = ("track", "planned")


@dataclass(frozen=True)
class _Held:
    """What may soften a distance: practices, papers by thing, and how the ground is known."""

    practices: dict[str, list[Practice]]
    papers: dict[str, list[PermitCondition]]
    distances_from: str | None

    @property
    def softens(self) -> bool:
        """Whether there is any practice or paper of a feature."""
        return bool(self.practices or self.papers)


def features_near(
    around: Surroundings, field_id: Any, kept: dict[str, Any] | None, moment: dt.datetime
) -> list[Feature]:
    """The features of the kept facts, with what practices and papers of the day say of them."""
    if not kept:
        return []
    held = _held(around, field_id, moment, kept["distances_from"])
    return [
        _feature(
            row,
            around.features.get(str(row["feature"])),
            held,
            around.thing(row["feature"]) if held.softens else "",
        )
        for row in kept["distances"]
    ]


def feature_touched(
    around: Surroundings, field_id: Any, record: FeatureRecord, moment: dt.datetime
) -> Feature:
    """A feature as the rules see it from ground that reaches it: no distance, no doubt."""
    row = {
        "feature": str(record.pk),
        "kind": record.kind,
        "name": record.name,
        "distance_ft": 0.0,
        "uncertainty_ft": 0.0,
        "down_gradient": record.down_gradient,
    }
    held = _held(around, field_id, moment, None)
    return _feature(row, record, held, around.thing(record.pk))


def _held(
    around: Surroundings, field_id: Any, moment: dt.datetime, distances_from: str | None
) -> _Held:
    on = moment.astimezone(around.operation.zone).date()
    papers: dict[str, list[PermitCondition]] = defaultdict(list)
    for row in around.papers(field_id, on):
        if row.feature_id and row.paper and row.holds_at(moment):
            papers[around.thing(row.feature_id)].append(row)
    practices: dict[str, list[Practice]] = defaultdict(list)
    for item in around.practices(field_id, on):
        if item.feature_id:
            practices[around.thing(item.feature_id)].append(item)
    return _Held(practices, papers, distances_from)


def _feature(row: dict[str, Any], record: FeatureRecord | None, held: _Held, thing: str) -> Feature:
    mine = held.practices.get(thing, [])
    papers = {item.paper for item in held.papers.get(thing, [])}
    papers |= {PAPERS.get(item.kind, item.paper) for item in mine if item.document}
    buffers = [item for item in mine if item.kind == "vegetated_buffer" and item.width_ft]
    width = max((item.width_ft or Decimal(0) for item in buffers), default=Decimal(0))
    further = further_facts("feature", record.further) if record else {}
    values: dict[str, Any] = {
        "distance_ft": Decimal(str(round(row["distance_ft"], 2))),
        "uncertainty_ft": Decimal(str(round(row["uncertainty_ft"], 2))),
        "down_gradient": {"yes": True, "no": False}.get(row["down_gradient"]),
        "buffer_width_ft": width,
        "documents": tuple(sorted(papers - {""})),
        "built_on": record.built_on if record else None,
    }
    if "farthest_ft" in row:
        values["farthest_ft"] = Decimal(str(round(row["farthest_ft"], 2)))
    if width:
        values["buffer_permanent"] = True
        if held.distances_from in GROUND_KNOWN:
            values["buffer_unspread"] = values["distance_ft"] >= width
    values |= {name.removeprefix("feature."): value for name, value in further.items()}
    return Feature(kind=row["kind"], name=row["name"], **values)
