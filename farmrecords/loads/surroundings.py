"""What entries of one operation rest on, looked up once: tests, calibrations, filed periods."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from decimal import Decimal
from functools import cached_property
from typing import Any
from uuid import UUID

from farmrecords.farm.models import Spreader, Storage
from farmrecords.measurements.models import Calibration, ManureTest
from farmrecords.people.models import ClosedPeriod, Operation


class Surroundings:
    """One operation's tests, calibrations, storages and filed periods, each fetched once."""

    def __init__(self, operation: Operation) -> None:
        self.operation = operation
        self.zone = operation.zone

    @cached_property
    def tests(self) -> dict[UUID, list[ManureTest]]:
        """Manure tests that count, by storage, oldest sampling first."""
        found: dict[UUID, list[ManureTest]] = defaultdict(list)
        rows = ManureTest.objects.filter(
            operation=self.operation, voided=False, storage__isnull=False
        )
        for test in rows.order_by("sampled_on", "recorded_at", "id"):
            if test.storage_id is not None:
                found[test.storage_id].append(test)
        return found

    @cached_property
    def calibrations(self) -> dict[UUID, list[Calibration]]:
        """Calibrations that count, by spreader, newest first."""
        found: dict[UUID, list[Calibration]] = defaultdict(list)
        rows = Calibration.objects.filter(operation=self.operation, voided=False)
        for row in rows.order_by("-calibrated_on", "-recorded_at", "id"):
            found[row.spreader_id].append(row)
        return found

    @cached_property
    def closed_periods(self) -> list[ClosedPeriod]:
        """Filed periods that nobody reopened."""
        return list(
            ClosedPeriod.objects.filter(
                operation=self.operation, voided=False, reopened_at__isnull=True
            )
        )

    @cached_property
    def storages(self) -> list[Storage]:
        """The operation's storages."""
        return list(Storage.objects.filter(operation=self.operation, voided=False))

    def closed_on(self, on: dt.date) -> ClosedPeriod | None:
        """The filed period that holds the day, if any."""
        return next((p for p in self.closed_periods if p.from_on <= on <= p.to_on), None)

    def only_storage(self, on: dt.date) -> Storage | None:
        """The storage, when the operation has exactly one in use on the day."""
        used = [storage for storage in self.storages if storage.is_used(on)]
        return used[0] if len(used) == 1 else None

    def calibration_with(
        self, spreader: Spreader | None, on: Any, column: str
    ) -> Calibration | None:
        """The newest calibration known on the day that states the column."""
        rows = self.calibrations.get(spreader.pk, []) if spreader else []
        return next((r for r in rows if r.calibrated_on <= on and getattr(r, column)), None)

    def load_of(self, spreader: Spreader | None, on: Any) -> tuple[str, str]:
        """Text and unit of a full load: as calibrated, else as rated, else nothing."""
        calibration = self.calibration_with(spreader, on, "load_text")
        if calibration:
            return calibration.load_text, calibration.load_unit
        if spreader and spreader.rated_load_text:
            return spreader.rated_load_text, spreader.rated_load_unit
        return "", ""

    def width_of(self, spreader: Spreader | None, on: Any) -> Decimal | None:
        """The effective width in feet: as calibrated, else as rated."""
        calibration = self.calibration_with(spreader, on, "width_ft")
        if calibration:
            return calibration.width_ft
        return spreader.rated_width_ft if spreader else None

    def rate_test(self, storage: Storage | None, on: dt.date) -> ManureTest | None:
        """The default test a rate was set from: the newest sampled whose result was known."""
        rows = self.tests.get(storage.pk, []) if storage else []
        return next((test for test in reversed(rows) if test.is_known_on(on)), None)

    def content_test(
        self, storage: Storage | None, on: dt.date, without: ManureTest | None = None
    ) -> ManureTest | None:
        """The default test of what was in it: the one sampled nearest to the day.

        Of two equally near the earlier sampled is taken. `without` leaves one test out.
        """
        rows = self.tests.get(storage.pk, []) if storage else []
        rows = [test for test in rows if without is None or test.pk != without.pk]
        return min(rows, key=lambda test: abs((test.sampled_on - on).days), default=None)
