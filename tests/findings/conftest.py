"""A small Vermont farm: one field, a stream beside it, a storage with a test, a plan."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest

from farmrecords.farm.models import Feature, Field, Storage
from farmrecords.findings.judging import of_load
from farmrecords.loads.models import Load
from farmrecords.loads.tracks import keep_track
from farmrecords.measurements.models import ManureTest
from farmrecords.people.models import Operation
from tests import builders

DAY = dt.date(2026, 5, 20)
# At 43.0018 N one foot is 3.7383e-6 degrees of longitude (WGS84, radius of the parallel).
FOOT_LON = 0.3048 / (111_319.4908 * 0.7322)


@dataclass
class Farm:
    """What the tests of findings stand on."""

    operation: Operation
    field: Field
    storage: Storage
    test: ManureTest

    def stream_at(self, distance_ft: float, **values: Any) -> Feature:
        """A stream west of the field, at the distance from its western edge."""
        lon = -89.5 - distance_ft * FOOT_LON
        line = {"type": "LineString", "coordinates": [[lon, 42.999], [lon, 43.005]]}
        return builders.make_feature(self.operation, "stream_perennial", line, **values)

    def load(self, day: dt.date = DAY, **values: Any) -> Load:
        """A surface load over the whole field with both test links set."""
        values = {"rate_test": self.test, "content_test": self.test, "ground": "dry"} | values
        values.setdefault("area_ac", Decimal(4))
        return builders.make_load(self.field, self.storage, day, **values)

    def tracked(self, day: dt.date = DAY, **values: Any) -> Load:
        """A load driven north along the western boundary, its 30-ft swath touching the line."""
        lon = -89.5 + 15 * FOOT_LON
        start = dt.datetime.combine(day, dt.time(12), tzinfo=dt.UTC)
        way = [
            (start + dt.timedelta(seconds=4 * n), lon, 43.0002 + n * 0.0001, True)
            for n in range(33)
        ]
        spreader = builders.make_spreader(self.operation)
        track = keep_track([way], source="receiver", uncertainty_ft=1.0)
        values = {"rate_test": self.test, "content_test": self.test, "ground": "dry"} | values
        return builders.make_load(
            self.field, self.storage, day, spreader=spreader, track_sha256=track, **values
        )


@pytest.fixture
def farm(db: None) -> Farm:
    operation = builders.make_operation()
    storage = builders.make_storage(operation)
    return Farm(
        operation=operation,
        field=builders.make_field(operation),
        storage=storage,
        test=builders.make_manure_test(storage, dt.date(2026, 1, 10)),
    )


@pytest.fixture
def outcome() -> Any:
    """The outcome of one rule for a load; None when it was not asked."""

    def outcome_of(load: Load, rule_id: str) -> str | None:
        found = {finding.rule_id: finding.outcome for finding in of_load(load)}
        return found.get(rule_id)

    return outcome_of
