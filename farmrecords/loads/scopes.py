"""What crew and haulers see, and which records a granted period rests on (the table of roles).

A crew member sees the fields, storages and spreaders of the jobs around today, the own loads of the
last fourteen days, and the features and boundaries that belong to those fields.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db.models import Q

from farmrecords.farm.models import Feature, Field, FieldVersion, Spreader, Storage
from farmrecords.loads.models import Load, Stop
from farmrecords.measurements.models import Calibration, ManureTest, SoilTest
from farmrecords.people.access import (
    OWN_LOADS_DAYS,
    Seat,
    register_crew_view,
    register_granted,
    register_support,
)
from farmrecords.plan.models import Job, PhosphorusRisk, PlannedCrop, PlanVersion

JOB_DAYS_BEFORE = 14
JOB_DAYS_AFTER = 14
STATED = ("load_text", "width_ft")


def jobs_of(seat: Seat) -> list[Job]:
    """The seat's own jobs from two weeks back to two weeks ahead."""
    first = seat.today - dt.timedelta(days=JOB_DAYS_BEFORE)
    last = seat.today + dt.timedelta(days=JOB_DAYS_AFTER)
    return list(
        Job.objects.filter(
            membership__person=seat.person,
            operation=seat.operation,
            voided=False,
            first_on__lte=last,
            last_on__gte=first,
        )
    )


def _field_ids(seat: Seat) -> set[Any]:
    return {field_id for job in jobs_of(seat) for field_id in job.field_ids}


def _own_loads(seat: Seat) -> Q:
    since = seat.today - dt.timedelta(days=OWN_LOADS_DAYS)
    return Q(person=seat.person, local_day__gte=since)


def _storages(seat: Seat) -> Q:
    if seat.role == "crew":
        return Q()
    return Q(pk__in={job.storage_id for job in jobs_of(seat)} - {None})


register_crew_view(Load, _own_loads)
register_crew_view(Field, lambda seat: Q(pk__in=_field_ids(seat)))
register_crew_view(FieldVersion, lambda seat: Q(field__in=_field_ids(seat)))
register_crew_view(Feature, lambda seat: Q() if _field_ids(seat) else Q(pk__in=[]))
register_crew_view(Storage, _storages)
register_crew_view(Spreader, lambda seat: Q())
register_crew_view(Job, lambda seat: Q(membership__person=seat.person))
register_crew_view(Stop, lambda seat: Q(person=seat.person))


def _loads_within(seat: Seat, first: dt.date, last: dt.date) -> Any:
    return Load.objects.filter(operation=seat.operation, local_day__gte=first, local_day__lte=last)


def _tests_used(seat: Seat, first: dt.date, last: dt.date) -> Q:
    loads = _loads_within(seat, first, last)
    return Q(pk__in=loads.values("rate_test")) | Q(pk__in=loads.values("content_test"))


def _soil_tests_in_force(seat: Seat, first: dt.date, last: dt.date) -> Q:
    fields = _loads_within(seat, first, last).values("parts__field")
    return Q(field__in=fields, sampled_on__lte=last)


def _crop_years(seat: Seat, first: dt.date, last: dt.date) -> Q:
    """The years of the period, and those its loads were spread for."""
    years = _loads_within(seat, first, last).values("crop_year")
    return Q(crop_year__gte=first.year, crop_year__lte=last.year) | Q(crop_year__in=years)


def _crops_in_force(seat: Seat, first: dt.date, last: dt.date) -> Q:
    in_force = PlanVersion.objects.filter(operation=seat.operation).in_force_between(first, last)
    return Q(plan__in=in_force.values("pk")) & _crop_years(seat, first, last)


def _calibrations_in_force(seat: Seat, first: dt.date, last: dt.date) -> Q:
    """What the spreaders of the period's loads stood calibrated by on its first day."""
    used = _loads_within(seat, first, last).values("spreader")
    rows = Calibration.objects.filter(
        operation=seat.operation, voided=False, spreader__in=used, calibrated_on__lt=first
    )
    newest: dict[Any, Any] = {}  # by spreader and by what the calibration states
    for row in rows.order_by("calibrated_on", "recorded_at", "id"):
        newest |= {(row.spreader_id, name): row.pk for name in STATED if getattr(row, name)}
    return Q(pk__in=set(newest.values()))


register_granted(PlannedCrop, _crops_in_force)
register_granted(PhosphorusRisk, _crop_years)
register_support(Calibration, _calibrations_in_force)
register_support(ManureTest, _tests_used)
register_support(SoilTest, _soil_tests_in_force)
