"""A field's year: what it received, what the plan allows, and what is left.

The same figures stand on the page, in the findings and in the report. Amounts are exact sums of
thousandths; pounds go through the calculations. A figure in pounds is None as soon as one load of
the year has no test for that nutrient.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID

from django.db.models import Prefetch

from farmrecords.calculations.rate import each_load_milli
from farmrecords.farm.acres import acres_of
from farmrecords.farm.models import Field, FieldVersion, StatementOfNone
from farmrecords.history import clock
from farmrecords.loads.available import Choices, EarlierManure
from farmrecords.loads.facts import facts_for
from farmrecords.loads.limits import Supply, crop_year_days, limits_of
from farmrecords.loads.models import Fertilizer, Harvest, Load, LoadDraw, LoadPart
from farmrecords.loads.nutrients import pounds_in_all
from farmrecords.loads.surroundings import Surroundings
from farmrecords.loads.year_figures import FieldYear, YearPart
from farmrecords.people.models import Operation
from farmrecords.plan.models import PlannedCrop

__all__ = ["FieldYear", "YearPart", "field_year", "operation_years", "years_of"]


def field_year(field: Field, crop_year: int, *, until: dt.date | None = None) -> FieldYear:
    """The year of one field, up to and including a day when one is given."""
    return _years(field.operation, crop_year, until, [field])[field.pk]


def years_of(
    operation: Operation, crop_year: int, *, until: dt.date | None = None
) -> dict[UUID, FieldYear]:
    """Every field's year by field id, in a number of queries that does not grow with the list."""
    fields = list(Field.objects.filter(operation=operation, voided=False))
    for field in fields:
        field.operation = operation
    return _years(operation, crop_year, until, fields)


def operation_years(operation: Operation) -> list[int]:
    """The crop years the operation has records of, newest first."""
    rows = Load.objects.filter(operation=operation, voided=False)
    years = set(rows.order_by().values_list("crop_year", flat=True).distinct())
    return sorted(years, reverse=True)


def _years(
    operation: Operation, crop_year: int, until: dt.date | None, fields: Sequence[Field]
) -> dict[UUID, FieldYear]:
    on = until or dt.date(crop_year, 12, 31)
    wanted = [field.pk for field in fields]
    rows = _parts(operation, crop_year, until, wanted)
    facts = facts_for({row.load_id: row.load for row in rows}.values())
    choices = Choices(operation)
    by_field: dict[UUID, list[YearPart]] = defaultdict(list)
    amounts = [(row.amount_milli, row.load.amount_kind, row.load.content_test) for row in rows]
    for row, (pounds, missing) in zip(rows, pounds_in_all(amounts), strict=True):
        told = _told_of(row, facts[row.load_id].parts)
        by_field[row.field_id].append(YearPart(row.load, row, pounds, missing, told, choices))
    land = _Land(operation, crop_year, until, on, wanted)
    supply = _Supplies(operation, crop_year, on)
    acres = {field.pk: acres_of(land.versions.get(field.pk))[0] for field in fields}
    earlier = EarlierManure(operation, crop_year, acres, choices)
    found = {}
    for field in fields:
        year = _one(field, crop_year, until, by_field[field.pk], land, supply)
        found[field.pk] = replace(year, earlier=earlier)
    return found


def _one(
    field: Field,
    crop_year: int,
    until: dt.date | None,
    parts: list[YearPart],
    land: _Land,
    supply: _Supplies,
) -> FieldYear:
    version = land.versions.get(field.pk)
    acres, acres_from = acres_of(version)
    return FieldYear(
        field=field,
        crop_year=crop_year,
        until=until,
        version=version,
        acres=acres,
        acres_from=acres_from,
        parts=tuple(parts),
        fertilizers=tuple(land.fertilizers[field.pk]),
        harvests=tuple(land.harvests[field.pk]),
        limits=limits_of(land.plan, land.crops[field.pk], land.permit),
        no_fertilizer=land.states_no_fertilizer(field),
        supplies=supply.for_loads([row.load for row in parts]),
    )


def _parts(
    operation: Operation, crop_year: int, until: dt.date | None, fields: list[UUID]
) -> list[LoadPart]:
    """The shares of counted loads, oldest first, with everything a year looks at."""
    rows = LoadPart.objects.filter(
        load__operation=operation,
        load__crop_year=crop_year,
        load__voided=False,
        load__status="counted",
        field__in=fields,
    )
    if until is not None:
        rows = rows.filter(load__local_day__lte=until)
    draws = LoadDraw.objects.select_related("storage")
    found = list(
        rows.select_related("load__content_test", "load__rate_test", "load__spreader")
        .prefetch_related("load__parts", Prefetch("load__draws", queryset=draws))
        .order_by("load__local_day", "load__started_at", "load__id", "number")
    )
    same: dict[UUID, Load] = {}
    for row in found:
        row.load = same.setdefault(row.load_id, row.load)
        row.load.operation = operation
    return found


def _told_of(row: LoadPart, told: list[dict[str, Any]]) -> dict[str, Any]:
    return next((part for part in told if part["part"] == row.number), {})


class _Land:
    """Versions, planned crops, fertilizer and harvests of the fields, fetched once."""

    def __init__(
        self,
        operation: Operation,
        crop_year: int,
        until: dt.date | None,
        on: dt.date,
        fields: list[UUID],
    ) -> None:
        versions = FieldVersion.objects.filter(field__in=fields).in_force(on)
        self.versions: dict[UUID, FieldVersion] = {}
        for version in versions:
            self.versions.setdefault(version.field_id, version)
        self.plan = operation.plan_versions.the_one_in_force(on)
        self.permit = operation.permit_on(on)
        planned = PlannedCrop.objects.filter(
            plan=self.plan, field__in=fields, crop_year=crop_year, voided=False
        ).order_by("recorded_at", "id")
        self.crops = _by_field(planned)
        spread = Fertilizer.objects.filter(field__in=fields, crop_year=crop_year, voided=False)
        cut = Harvest.objects.filter(field__in=fields, crop_year=crop_year, voided=False)
        if until is not None:
            spread, cut = spread.filter(spread_on__lte=until), cut.filter(harvested_on__lte=until)
        self.fertilizers = _by_field(spread)
        self.harvests = _by_field(cut)
        self._stated = _statements_of_no_fertilizer(operation, crop_year, on)

    def states_no_fertilizer(self, field: Field) -> bool:
        """Whether a statement about the field or the whole farm says that none was spread."""
        return not self._stated.isdisjoint((None, field.pk))


def _statements_of_no_fertilizer(
    operation: Operation, crop_year: int, on: dt.date
) -> set[UUID | None]:
    """Fields (None: every field) that a statement covers from the crop year's begin to the day."""
    first, _last = crop_year_days(crop_year)
    last = max(first, min(on, clock.today(operation.time_zone)))
    rows = StatementOfNone.objects.filter(
        operation=operation, subject="fertilizer", storage__isnull=True, voided=False
    )
    return {row.field_id for row in rows if row.covers(first, last)}


def _by_field(rows: Iterable[Any]) -> dict[UUID, list[Any]]:
    found: dict[UUID, list[Any]] = defaultdict(list)
    for row in rows:
        found[row.field_id].append(row)
    return found


class _Supplies:
    """The storages manure may still come from, with the newest test known and typical loads."""

    def __init__(self, operation: Operation, crop_year: int, on: dt.date) -> None:
        self.around = Surroundings(operation)
        self.on = on
        self.typical = _typical_amounts(operation, crop_year, on)

    def for_loads(self, loads: Sequence[Load]) -> tuple[Supply, ...]:
        """The storages in use, those the loads came from first."""
        used = [draw.storage_id for load in loads for draw in load.draws.all()]
        rows = []
        in_use = [storage for storage in self.around.storages if storage.is_used(self.on)]
        for storage in sorted(in_use, key=lambda s: (s.pk not in used, s.name)):
            test = self.around.rate_test(storage, self.on)
            kind = Supply(storage, test).kind
            typical = self.typical.get((storage.pk, kind), [])
            rows.append(Supply(storage, test, tuple(typical)))
        return tuple(rows)


def _typical_amounts(
    operation: Operation, crop_year: int, on: dt.date
) -> dict[tuple[UUID, str], list[int]]:
    """Thousandths of the single loads of the crop year, by storage and kind."""
    rows = LoadDraw.objects.filter(
        load__operation=operation,
        load__crop_year=crop_year,
        load__local_day__lte=on,
        load__voided=False,
        load__status="counted",
    ).values_list("storage_id", "load__amount_kind", "load__amount_milli", "load__loads_counted")
    found: dict[tuple[UUID, str], list[int]] = defaultdict(list)
    for storage_id, kind, milli, count in rows:
        found[storage_id, kind].append(each_load_milli(milli, count))
    return found
