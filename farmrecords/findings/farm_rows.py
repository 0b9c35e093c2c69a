"""The records of an operation's period that rules about storages and the farm look at.

Each list is read on first use and once; a year has few of them beside its loads.
"""

from __future__ import annotations

import datetime as dt
import functools
from collections import defaultdict
from typing import Any

from farmrecords.farm.models import AnimalCount, AnimalGroup, StatementOfNone, Storage
from farmrecords.findings.surroundings import Surroundings, in_force
from farmrecords.history import clock
from farmrecords.loads.models import Load, LoadDraw, Transfer
from farmrecords.measurements.models import (
    Deficiency,
    Discharge,
    Inspection,
    ManureTest,
    Mortality,
    StorageLevel,
)


class FarmPeriod:
    """One operation from a first to a last day, with the day on which it is judged."""

    def __init__(self, around: Surroundings, first_on: dt.date, last_on: dt.date) -> None:
        self.around = around
        self.operation = around.operation
        self.first_on, self.last_on = first_on, last_on
        self.today = clock.today(self.operation.time_zone)
        self.day = max(first_on, min(last_on, self.today))

    @functools.cached_property
    def stack(self) -> tuple[str, ...]:
        """The operation's jurisdictions on the day, and its permit's own conditions."""
        return self.around.farm_stack(self.day)

    def _rows(self, model: Any, day: str, *related: str) -> list[Any]:
        rows = model.objects.filter(
            operation=self.operation, voided=False, **{f"{day}__range": (self.first_on, self.day)}
        )
        return list(rows.select_related(*related).order_by(day, "pk"))

    @functools.cached_property
    def storages(self) -> list[Storage]:
        """The storages in use on a day of the period."""
        rows = Storage.objects.filter(operation=self.operation, voided=False)
        return [
            row
            for row in rows.filter(began_on__lte=self.day).order_by("name", "pk")
            if row.ended_on is None or row.ended_on >= self.first_on
        ]

    @functools.cached_property
    def levels(self) -> dict[Any, list[StorageLevel]]:
        """Readings of the period by storage, in order; missed ones left out."""
        found: dict[Any, list[StorageLevel]] = defaultdict(list)
        for row in self._rows(StorageLevel, "read_on"):
            if not row.missed:
                found[row.storage_id].append(row)
        return found

    @functools.cached_property
    def missed_levels(self) -> set[Any]:
        """Storages of which a reading of the period is recorded as missed."""
        rows = self._rows(StorageLevel, "read_on")
        return {row.storage_id for row in rows if row.missed}

    @functools.cached_property
    def inspections(self) -> dict[str, list[dt.date]]:
        """Days of the looks of the period by kind; missed ones left out."""
        found: dict[str, list[dt.date]] = defaultdict(list)
        for row in self._rows(Inspection, "inspected_on"):
            if not row.missed:
                found[row.kind].append(row.inspected_on)
        return found

    @functools.cached_property
    def deficiencies(self) -> list[Deficiency]:
        """What was found wrong in the period, and what was still open when it began."""
        rows = Deficiency.objects.filter(
            operation=self.operation, voided=False, found_on__lte=self.day
        )
        return [
            row
            for row in rows.order_by("found_on", "pk")
            if row.found_on >= self.first_on
            or row.corrected_on is None
            or row.corrected_on >= self.first_on
        ]

    @functools.cached_property
    def discharges(self) -> list[Discharge]:
        """Discharges of the period."""
        return self._rows(Discharge, "happened_on")

    @functools.cached_property
    def mortalities(self) -> list[Mortality]:
        """Dead animals of the period."""
        return self._rows(Mortality, "died_on")

    @functools.cached_property
    def transfers(self) -> list[Transfer]:
        """What was handed to receivers in the period."""
        rows = self._rows(Transfer, "moved_on", "storage", "test")
        return [row for row in rows if row.direction == "out"]

    @functools.cached_property
    def tests(self) -> dict[Any, list[ManureTest]]:
        """Manure tests by storage, newest sample first."""
        rows = ManureTest.objects.filter(operation=self.operation, voided=False)
        found: dict[Any, list[ManureTest]] = defaultdict(list)
        for row in rows.filter(sampled_on__lte=self.day).order_by("-sampled_on"):
            found[row.storage_id].append(row)
        return found

    @functools.cached_property
    def drawn_on(self) -> dict[Any, list[dt.date]]:
        """Days on which loads of the period drew from each storage, in order."""
        loads = Load.objects.filter(operation=self.operation).counted()
        rows = LoadDraw.objects.filter(load__in=loads.between(self.first_on, self.day))
        found: dict[Any, list[dt.date]] = defaultdict(list)
        for storage, day in (
            rows.values_list("storage_id", "load__local_day").distinct().order_by("load__local_day")
        ):
            found[storage].append(day)
        return found

    @functools.cached_property
    def groups(self) -> list[AnimalGroup]:
        """The animal groups."""
        return list(AnimalGroup.objects.filter(operation=self.operation, voided=False))

    @functools.cached_property
    def counts(self) -> dict[Any, AnimalCount]:
        """The latest count of each group by the day."""
        rows = AnimalCount.objects.filter(
            operation=self.operation, voided=False, counted_on__lte=self.day
        )
        return {row.group_id: row for row in rows.order_by("counted_on", "pk")}

    @functools.cached_property
    def _statements(self) -> list[StatementOfNone]:
        return list(StatementOfNone.objects.filter(operation=self.operation, voided=False))

    def states_none(self, subject: str, storage_id: Any = None) -> bool:
        """Whether a statement of none of the farm or storage covers the period up to the day."""
        return any(
            row.subject == subject
            and row.field_id is None
            and row.storage_id in (None, storage_id)
            and row.covers(self.first_on, self.day)
            for row in self._statements
        )

    def papers(self) -> tuple[str, ...]:
        """Papers recorded for the whole farm that are in force on the day."""
        rows = in_force(self.around.conditions, self.day)
        return tuple(
            sorted(
                {
                    row.paper
                    for row in rows
                    if row.paper and row.field_id is None and row.feature_id is None
                }
            )
        )
