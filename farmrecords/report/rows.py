"""The records a period's report is made from, read with a constant number of queries."""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Prefetch, Q

from farmrecords.farm.acres import acres_of
from farmrecords.farm.models import (
    AnimalCount,
    AnimalGroup,
    Feature,
    Field,
    FieldVersion,
    StatementOfNone,
    Storage,
)
from farmrecords.findings.permit_layer import own_rules
from farmrecords.findings.surroundings import Surroundings
from farmrecords.loads.available import Choices, EarlierManure, Residual
from farmrecords.loads.limits import rate_approach
from farmrecords.loads.models import Fertilizer, Harvest, Load, LoadPart, Planting, Transfer
from farmrecords.measurements.models import Discharge, SoilTest, StorageLevel
from farmrecords.people.dated import Dated
from farmrecords.people.models import Operation, Permit
from farmrecords.plan.models import PermitCondition, PlannedCrop, PlanVersion

LEVEL_DAYS = 14  # a reading this near to a day still says what stood in the storage on it

D = TypeVar("D", bound=Dated)


@dataclass(frozen=True)
class Rows:
    """Everything of one operation and period, void records left out."""

    operation: Operation
    first_on: dt.date
    last_on: dt.date
    permits: list[Permit]
    stacks: list[Any]
    conditions: list[PermitCondition]
    groups: list[AnimalGroup]
    counts: list[AnimalCount]
    storages: list[Storage]
    levels: list[StorageLevel]
    fields: list[Field]
    features: list[Feature]
    plans: list[PlanVersion]
    loads: list[Load]
    moved: list[Transfer]
    discharges: list[Discharge]
    statements: list[StatementOfNone]
    plantings: list[Planting]
    harvests: list[Harvest]
    soil_tests: list[SoilTest]
    all_fertilizers: list[Fertilizer]

    @cached_property
    def permit(self) -> Permit | None:
        """The permit facts in force on the last day."""
        return in_force(self.permits, self.last_on)

    @cached_property
    def plan(self) -> PlanVersion | None:
        """The plan version in force on the last day: the current one of the report."""
        return in_force(self.plans, self.last_on)

    @cached_property
    def around(self) -> Surroundings:
        """What findings look at around loads and fields, each list read on first use."""
        return Surroundings(self.operation)

    @property
    def transfers(self) -> list[Transfer]:
        """What was handed to receivers."""
        return [row for row in self.moved if row.direction == "out"]

    @property
    def received(self) -> list[Transfer]:
        """What was received from other farms."""
        return [row for row in self.moved if row.direction == "in"]

    @cached_property
    def approach(self) -> str:
        """The rate approach that permit and plan name: linear, narrative, or "" if it is open."""
        return rate_approach(self.permit, self.plan)

    @cached_property
    def parts_by_field(self) -> dict[UUID, list[LoadPart]]:
        """The parts of the period's own loads, by field, in the order of the loads."""
        found: dict[UUID, list[LoadPart]] = defaultdict(list)
        for load in self.loads:
            for part in load.parts.all():
                part.load = load
                found[part.field_id].append(part)
        return dict(found)

    @cached_property
    def used_fields(self) -> list[Field]:
        """Fields that took manure in the period, each once, by number."""
        return [row for row in self.fields if row.pk in self.parts_by_field]

    def statement_about(
        self,
        subject: str,
        field: Field | None = None,
        days: tuple[dt.date, dt.date] | None = None,
    ) -> StatementOfNone | None:
        """The latest statement of none about a subject that covers all the days.

        Without days, those of the period. With a field, a statement about that field counts as
        well as one about the whole farm.
        """
        first, last = days or (self.first_on, self.last_on)
        whose = {None, field.pk if field else None}
        for row in reversed(self.statements):
            is_about = row.subject == subject and row.storage_id is None and row.field_id in whose
            if is_about and row.covers(first, last):
                return row
        return None

    @cached_property
    def nitrogen(self) -> Choices:
        """The systems of available nitrogen that the operation chose."""
        return Choices(self.operation)

    @cached_property
    def _earlier(self) -> dict[int, EarlierManure]:
        return {}

    def residual_of(self, field: Field, crop_year: int) -> Residual:
        """What manure of the two crop years before gives a field, as its year's page says it."""
        if crop_year not in self._earlier:
            on = min(self.last_on, dt.date(crop_year, 12, 31))
            acres = {row.pk: acres_of(version_of(row, on))[0] for row in self.fields}
            manure = EarlierManure(self.operation, crop_year, acres, self.nitrogen)
            self._earlier[crop_year] = manure
        return self._earlier[crop_year].on(field.pk)

    @cached_property
    def fertilizers(self) -> list[Fertilizer]:
        """The passes of the period."""
        return [r for r in self.all_fertilizers if self.first_on <= r.spread_on <= self.last_on]

    def fertilizers_of(self, field: Field, crop_year: int) -> list[Fertilizer]:
        """Every pass on a field for a crop year up to the last day, also before the period."""
        rows = self.all_fertilizers
        return [row for row in rows if row.field_id == field.pk and row.crop_year == crop_year]


def in_force(rows: Iterable[D], on: dt.date) -> D | None:
    """The dated row in force on the day with the latest first day."""
    held = [row for row in rows if row.holds_on(on)]
    return max(held, key=lambda row: row.from_on, default=None)


def version_of(field: Field, on: dt.date) -> FieldVersion | None:
    """The field's version on the day, from what was read with it; the nearest one at its ends."""
    versions = list(field.versions.all())
    held = in_force(versions, on)
    if held is not None:
        return held
    earlier = [row for row in versions if row.from_on <= on]
    return max(earlier or versions, key=lambda row: row.from_on, default=None)


def read(operation: Operation, first: dt.date, last: dt.date) -> Rows:
    """Read the records of the period; the number of queries does not grow with them."""
    of = {"operation": operation, "voided": False}
    near = dt.timedelta(days=LEVEL_DAYS)
    loads = _loads(operation, first, last)
    return Rows(
        operation=operation,
        first_on=first,
        last_on=last,
        permits=list(Permit.objects.in_force_between(first, last).filter(operation=operation)),
        stacks=list(operation.jurisdictions.in_force_between(first, last)),
        conditions=own_rules(operation),
        groups=list(AnimalGroup.objects.filter(**of).order_by("name", "id")),
        counts=list(
            AnimalCount.objects.filter(**of, counted_on__lte=last).order_by("counted_on", "id")
        ),
        storages=list(Storage.objects.filter(**of).order_by("name", "id")),
        levels=list(
            StorageLevel.objects.filter(
                Q(read_on__range=(first - near, first + near))
                | Q(read_on__range=(last - near, last + near)),
                **of,
                missed=False,
            ).order_by("read_on", "id")
        ),
        fields=_fields(operation),
        features=list(
            Feature.objects.in_force_between(first, last)
            .filter(operation=operation)
            .order_by("kind", "name", "id")
        ),
        plans=list(
            PlanVersion.objects.in_force_between(first, last)
            .filter(operation=operation)
            .prefetch_related(
                Prefetch("crops", PlannedCrop.objects.filter(voided=False).order_by("crop_year"))
            )
        ),
        loads=loads,
        moved=list(
            Transfer.objects.filter(**of, moved_on__range=(first, last))
            .select_related("storage")
            .order_by("moved_on", "id")
        ),
        discharges=list(
            Discharge.objects.filter(
                **of, from_production_area=True, happened_on__range=(first, last)
            ).order_by("happened_on", "id")
        ),
        statements=list(
            StatementOfNone.objects.filter(**of)
            .select_related("stated_by", "field")
            .order_by("stated_on", "id")
        ),
        plantings=list(_of_period(Planting, of, "planted_on", first, last)),
        harvests=list(_of_period(Harvest, of, "harvested_on", first, last)),
        soil_tests=list(_of_period(SoilTest, of, "sampled_on", first, last)),
        all_fertilizers=list(_fertilizers(of, {load.crop_year for load in loads}, first, last)),
    )


def _fertilizers(
    of: dict[str, Any], crop_years: set[int], first: dt.date, last: dt.date
) -> Iterable[Fertilizer]:
    """Passes of the period, and earlier ones for the crop years that its loads count in."""
    rows = Fertilizer.objects.filter(
        Q(spread_on__gte=first) | Q(crop_year__in=crop_years), **of, spread_on__lte=last
    )
    return rows.select_related("field").order_by("spread_on", "id")


def _fields(operation: Operation) -> list[Field]:
    versions = FieldVersion.objects.filter(voided=False).order_by("from_on")
    found = Field.objects.filter(operation=operation, voided=False).select_related("operation")
    return sorted(found.prefetch_related(Prefetch("versions", versions)), key=_by_number)


def _by_number(field: Field) -> tuple[list[tuple[int, int | str]], dt.date, str]:
    """Field 2 before field 10, and 12A before 12B."""
    pieces = re.findall(r"\d+|\D+", field.number)
    order = [(0, int(piece)) if piece.isdecimal() else (1, piece) for piece in pieces]
    return order, field.began_on, str(field.pk)


def _loads(operation: Operation, first: dt.date, last: dt.date) -> list[Load]:
    return list(
        Load.objects.filter(operation=operation)
        .counted()
        .of_this_farm()
        .between(first, last)
        .select_related(
            "operation", "spreader", "facts", "content_test__storage", "rate_test__storage"
        )
        .prefetch_related("parts__field", "draws__storage")
        .order_by("local_day", "started_at", "id")
    )


def _of_period(
    model: Any, of: dict[str, Any], day: str, first: dt.date, last: dt.date
) -> Iterable[Any]:
    rows = model.objects.filter(**of, **{f"{day}__range": (first, last)}).select_related("field")
    return rows.order_by(day, "id")
