"""What an operation's loads are judged with, read once for many: weather, tests, plan, papers.

Everything is asked "on this day" or "around this moment" of lists held in memory, so that judging
a year costs a fixed number of queries.
"""

from __future__ import annotations

import bisect
import datetime as dt
import functools
import itertools
from collections import defaultdict
from collections.abc import Callable
from typing import Any, TypeVar

from farmrecords.farm.models import Feature, Field, FieldVersion, Practice, StatementOfNone
from farmrecords.findings.assumptions import span
from farmrecords.findings.permit_layer import layers
from farmrecords.loads.models import Harvest, Planting
from farmrecords.measurements.models import (
    Forecast,
    Inspection,
    SoilTest,
    WeatherDay,
    WeatherReading,
)
from farmrecords.people.models import Jurisdiction, Operation, Permit
from farmrecords.plan.models import PermitCondition, PhosphorusRisk, PlannedCrop, PlanVersion

LONGEST_BLANK = span("weather_longest_blank_h")
FORECAST_LOOKED_AT_WITHIN = span("forecast_looked_at_within_h")
COVER_STANDS = span("cover_crop_stands_days")
COVER_SOON = span("cover_crop_soon_days")

T = TypeVar("T")


def in_force(rows: list[Any], on: dt.date) -> list[Any]:
    """Rows of dated facts in force on the day, newest first day first."""
    return [row for row in rows if row.holds_on(on)]


class Surroundings:
    """An operation's records around its loads, each list read on first use."""

    def __init__(self, operation: Operation) -> None:
        self.operation = operation
        # The largest distance that the rules judged with can ask; features must be looked for
        # at least so far.
        self.asked_ft = 0.0
        self._once: dict[tuple[Any, ...], Any] = {}

    def _dated(self, model: Any, *related: str) -> list[Any]:
        rows = model.objects.filter(operation=self.operation, voided=False)
        return list(rows.select_related(*related).order_by("-from_on", "-recorded_at"))

    @functools.cached_property
    def stacks(self) -> list[Jurisdiction]:
        return self._dated(Jurisdiction)

    @functools.cached_property
    def permits(self) -> list[Permit]:
        return self._dated(Permit)

    @functools.cached_property
    def plans(self) -> list[PlanVersion]:
        return self._dated(PlanVersion)

    @functools.cached_property
    def conditions(self) -> list[PermitCondition]:
        rows = self._dated(PermitCondition)
        for row in rows:
            row.operation = self.operation
        return rows

    @functools.cached_property
    def _versions(self) -> dict[Any, list[FieldVersion]]:
        return _by(self._dated(FieldVersion), "field_id")

    @functools.cached_property
    def features(self) -> dict[str, Feature]:
        """Every feature of the operation by its id as text; days are in the kept distances."""
        return {str(row.pk): row for row in Feature.objects.filter(operation=self.operation)}

    def thing(self, feature_id: Any) -> str:
        """What a feature is at all its places: the id of the first row that it follows."""
        found = str(feature_id)
        while (row := self.features.get(found)) and row.follows_id:
            found = str(row.follows_id)
        return found

    @functools.cached_property
    def _practices(self) -> dict[Any, list[Practice]]:
        return _by(self._dated(Practice), "field_id")

    @functools.cached_property
    def _statements(self) -> list[StatementOfNone]:
        return list(StatementOfNone.objects.filter(operation=self.operation, voided=False))

    @functools.cached_property
    def _soil_tests(self) -> dict[Any, list[SoilTest]]:
        rows = SoilTest.objects.filter(operation=self.operation, voided=False)
        return _by(list(rows.order_by("-sampled_on")), "field_id")

    @functools.cached_property
    def _risks(self) -> dict[Any, list[PhosphorusRisk]]:
        rows = PhosphorusRisk.objects.filter(operation=self.operation, voided=False)
        return _by(list(rows.order_by("-evaluated_on")), "field_id")

    @functools.cached_property
    def _crops(self) -> dict[tuple[Any, Any, int], list[PlannedCrop]]:
        found: dict[tuple[Any, Any, int], list[PlannedCrop]] = defaultdict(list)
        for crop in PlannedCrop.objects.filter(operation=self.operation, voided=False):
            found[crop.plan_id, crop.field_id, crop.crop_year].append(crop)
        return found

    @functools.cached_property
    def _readings(self) -> tuple[list[dt.datetime], list[WeatherReading]]:
        rows = WeatherReading.objects.filter(operation=self.operation, voided=False)
        ordered = list(rows.order_by("observed_at"))
        return [row.observed_at for row in ordered], ordered

    @functools.cached_property
    def _weather_days(self) -> dict[dt.date, WeatherDay]:
        rows = WeatherDay.objects.filter(operation=self.operation, voided=False)
        return {row.day: row for row in rows}

    @functools.cached_property
    def _forecasts(self) -> tuple[list[dt.datetime], list[Forecast]]:
        rows = Forecast.objects.filter(operation=self.operation, voided=False)
        ordered = list(rows.order_by("seen_at"))
        return [row.seen_at for row in ordered], ordered

    @functools.cached_property
    def _equipment_looks(self) -> dict[Any, list[Inspection]]:
        rows = Inspection.objects.filter(
            operation=self.operation, voided=False, missed=False, kind="equipment"
        )
        return _by(list(rows.order_by("-inspected_on")), "spreader_id")

    @functools.cached_property
    def _plantings(self) -> dict[Any, list[Planting]]:
        rows = Planting.objects.filter(operation=self.operation, voided=False)
        return _by(list(rows.order_by("-planted_on", "-recorded_at")), "field_id")

    @functools.cached_property
    def _harvests(self) -> dict[Any, list[Harvest]]:
        rows = Harvest.objects.filter(operation=self.operation, voided=False)
        return _by(list(rows.order_by("-harvested_on")), "field_id")

    def cover_crop(self, field_id: Any, on: dt.date) -> bool | None:
        """True where the last crop sown by the day is a cover crop not yet cut; else unknown."""
        last = next((r for r in self._plantings.get(field_id, []) if r.planted_on <= on), None)
        if last is None or not last.is_cover_crop or on - last.planted_on > COVER_STANDS:
            return None
        cut = any(
            last.planted_on <= row.harvested_on <= on for row in self._harvests.get(field_id, [])
        )
        return None if cut else True

    def cover_crop_soon(self, field_id: Any, on: dt.date) -> bool:
        """Whether a cover crop was sown soon after the day."""
        return any(
            row.is_cover_crop and dt.timedelta(0) < row.planted_on - on <= COVER_SOON
            for row in self._plantings.get(field_id, [])
        )

    def crop_year(self, field_id: Any, on: dt.date) -> int:
        """The crop year that manure of the day is for: the year whose crop stands or comes next.

        A crop sown for a later year by the day, or the year's own crop cut by the day with none
        of that year sown after it, moves the field on; else it is the calendar year.
        """
        sown = [row for row in self._plantings.get(field_id, []) if row.planted_on <= on]
        cut = [row for row in self._harvests.get(field_id, []) if row.harvested_on <= on]
        latest = max((row.crop_year for row in sown), default=on.year)
        if latest > on.year:
            return latest
        done = [row.harvested_on for row in cut if row.crop_year == on.year]
        stands = done and any(
            row.crop_year == on.year and row.planted_on > max(done) for row in sown
        )
        return on.year + 1 if done and not stands else on.year

    def version(self, field_id: Any, on: dt.date) -> FieldVersion | None:
        """Boundary and facts of the field in force on the day."""
        return next(iter(in_force(self._versions.get(field_id, []), on)), None)

    def stack(self, field: Field, on: dt.date) -> tuple[str, ...]:
        """The jurisdictions of the field on the day, its own or the operation's, and the permit."""
        return self.once(("stack", field.pk, on), lambda: self._stack(field, on))

    def _stack(self, field: Field, on: dt.date) -> tuple[str, ...]:
        version = self.version(field.pk, on)
        row = next(iter(in_force(self.stacks, on)), None)
        stack = version.stack if version and version.stack else row.stack if row else ()
        return (*stack, *layers(self.conditions, field.pk, on))

    def farm_stack(self, on: dt.date) -> tuple[str, ...]:
        """The jurisdictions of the operation on the day, and its permit's own conditions."""
        row = next(iter(in_force(self.stacks, on)), None)
        return (*(row.stack if row else ()), *layers(self.conditions, None, on))

    def once(self, key: tuple[Any, ...], make: Callable[[], T]) -> T:
        """What was made under the key before, or now: facts of one field and day."""
        if key not in self._once:
            self._once[key] = make()
        return self._once[key]

    def permit(self, on: dt.date) -> Permit | None:
        """The permit facts in force on the day."""
        return next(iter(in_force(self.permits, on)), None)

    def plan(self, on: dt.date) -> PlanVersion | None:
        """The plan version in force on the day."""
        return next(iter(in_force(self.plans, on)), None)

    def planned(self, field_id: Any, crop_year: int, on: dt.date) -> list[PlannedCrop]:
        """The crops planned for the field's crop year in the plan in force on the day."""
        plan = self.plan(on)
        return self._crops.get((plan.pk, field_id, crop_year), []) if plan else []

    def practices(self, field_id: Any, on: dt.date) -> list[Practice]:
        """Practices of the field in force on the day."""
        return in_force(self._practices.get(field_id, []), on)

    def papers(self, field_id: Any, on: dt.date) -> list[PermitCondition]:
        """Waivers, approvals and fields named for winter that cover the field on the day."""
        return [
            row
            for row in in_force(self.conditions, on)
            if row.field_id in (None, field_id) and not row.is_own_rule
        ]

    def states_none(self, subject: str, on: dt.date, field_id: Any = None) -> bool:
        """Whether a statement of none covers the subject and field on the day."""
        return any(
            row.subject == subject
            and row.field_id == field_id
            and (row.from_on is None or row.from_on <= on)
            and (row.to_on is None or row.to_on >= on)
            for row in self._statements
        )

    def soil_test(self, field_id: Any, on: dt.date) -> SoilTest | None:
        """The newest soil test sampled by the day."""
        rows = self._soil_tests.get(field_id, [])
        return next((row for row in rows if row.sampled_on <= on), None)

    def risk(self, field_id: Any, crop_year: int, on: dt.date) -> PhosphorusRisk | None:
        """The newest phosphorus risk of the crop year evaluated by the day."""
        return next(
            (
                row
                for row in self._risks.get(field_id, [])
                if row.crop_year == crop_year and row.evaluated_on <= on
            ),
            None,
        )

    def equipment_inspected_on(self, spreader_id: Any, on: dt.date) -> dt.date | None:
        """The last leak inspection of the spreader by the day."""
        rows = self._equipment_looks.get(spreader_id, [])
        return next((row.inspected_on for row in rows if row.inspected_on <= on), None)

    def forecast(self, before: dt.datetime) -> Forecast | None:
        """The last forecast seen in the 24 hours before the moment."""
        moments, rows = self._forecasts
        at = bisect.bisect_right(moments, before) - 1
        if at < 0 or before - moments[at] > FORECAST_LOOKED_AT_WITHIN:
            return None
        return rows[at]

    def readings(self, first: dt.datetime, last: dt.datetime) -> list[WeatherReading]:
        """Observations of the window, both ends included."""
        moments, rows = self._readings
        return rows[bisect.bisect_left(moments, first) : bisect.bisect_right(moments, last)]

    def is_recorded(self, first: dt.datetime, last: dt.datetime) -> bool:
        """Whether the weather of the window was recorded: by the hour, or by each of its days."""
        moments = [first, *(row.observed_at for row in self.readings(first, last)), last]
        if len(moments) > 2 and all(
            later - earlier <= LONGEST_BLANK for earlier, later in itertools.pairwise(moments)
        ):
            return True
        zone = self.operation.zone
        day, end = first.astimezone(zone).date(), last.astimezone(zone).date()
        while day <= end:
            if day not in self._weather_days:
                return False
            day += dt.timedelta(days=1)
        return True

    def weather_day(self, day: dt.date) -> WeatherDay | None:
        """The weather noted for the day."""
        return self._weather_days.get(day)


def _by(rows: list[Any], key: str) -> dict[Any, list[Any]]:
    found: dict[Any, list[Any]] = defaultdict(list)
    for row in rows:
        found[getattr(row, key)].append(row)
    return found
