"""The derived index of findings: serves lists and counts, goes stale on any change, never filed."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.db.models import Count

from farmrecords.findings.judging import Judge, year_day
from farmrecords.findings.load_facts import settles_at
from farmrecords.findings.models import FindingIndex, Judged
from farmrecords.findings.rolling import YEAR
from farmrecords.findings.rulebooks import note_rulebook, rulebook
from farmrecords.history import clock
from farmrecords.history.hooks import Ready, before_writing
from farmrecords.history.write import Written, on_written
from farmrecords.loads.facts import facts_for
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.year import years_of
from farmrecords.people.models import Operation
from farmrecords.rules.findings import COUNTED, Finding, counted_under

BATCH = 400


def refresh(operation: Operation) -> int:
    """Judge what is new or stale and index it; returns how many records were judged."""
    note_rulebook(operation)
    judge = Judge(operation)
    mark, now = rulebook().fingerprint, clock.now()
    fresh = Judged.objects.filter(operation=operation).fresh(now, mark)
    stale_loads = (
        Load.objects.filter(operation=operation)
        .counted()
        .exclude(pk__in=fresh.filter(load__isnull=False).values("load"))
        .select_related("operation", "spreader", "rate_test", "content_test", "facts")
        .prefetch_related("parts__field__operation", "draws__storage")
        .order_by("local_day", "pk")
    )
    waiting = list(stale_loads)
    done = 0
    for start in range(0, len(waiting), BATCH):
        some = waiting[start : start + BATCH]
        facts_for(some)
        done += _store([(_judged(load, mark, now), judge.load(load)) for load in some])
    done += _refresh_years(operation, judge, mark)
    _drop_uncounted(operation)
    return done


def is_behind(operation: Operation) -> bool:
    """Whether anything of the operation waits for being judged, or judged again."""
    return (
        Judged.objects.filter(operation=operation).behind(clock.now()).exists()
        or Load.objects.filter(operation=operation, judged=None).counted().exists()
    )


def is_due(operation: Operation) -> bool:
    """Whether a moment is over that an indexed finding waited for."""
    rows = Judged.objects.filter(operation=operation, stale=False)
    return rows.filter(again_at__lte=clock.now()).exists()


def _judged(load: Load, mark: str, now: dt.datetime) -> Judged:
    settled = settles_at(load)
    return Judged(
        operation_id=load.operation_id,
        load=load,
        day=load.local_day,
        fingerprint=mark,
        again_at=settled if settled > now else None,
    )


def _refresh_years(operation: Operation, judge: Judge, mark: str) -> int:
    """Judge the field-years that are not fresh; one whose last load went leaves the index."""
    done = 0
    years = set(
        Load.objects.filter(operation=operation).counted().values_list("crop_year", flat=True)
    )
    of_fields = Judged.objects.filter(operation=operation, field__isnull=False)
    fresh = set(of_fields.fresh(clock.now(), mark).values_list("field_id", "crop_year"))
    for crop_year in sorted(years):
        batch = [
            (
                Judged(
                    operation=operation,
                    field=year.field,
                    crop_year=crop_year,
                    day=year_day(year),
                    fingerprint=mark,
                ),
                judge.field_year(year),
            )
            for year in years_of(operation, crop_year).values()
            if (year.field.pk, crop_year) not in fresh and year.load_count
        ]
        done += _store(batch)
    of_fields.filter(stale=True).delete()  # not judged anew: no load is left of that year
    return done


@transaction.atomic
def _store(batch: list[tuple[Judged, list[Finding]]]) -> int:
    loads = [row.load_id for row, _findings in batch if row.load_id]
    Judged.objects.filter(load__in=loads).delete()
    for row, _findings in batch:
        if row.field_id:
            Judged.objects.filter(field=row.field_id, crop_year=row.crop_year).delete()
    Judged.objects.bulk_create([row for row, _findings in batch])
    FindingIndex.objects.bulk_create(
        _line(row, finding) for row, findings in batch for finding in findings
    )
    return len(batch)


def _line(row: Judged, finding: Finding) -> FindingIndex:
    return FindingIndex(
        judged=row,
        operation_id=row.operation_id,
        load_id=row.load_id,
        field_id=row.field_id,
        crop_year=row.crop_year,
        day=row.day,
        rule_id=finding.rule_id,
        title=finding.title[:200],
        outcome=finding.outcome,
        standing=finding.standing,
        missing=list(finding.missing),
    )


def _drop_uncounted(operation: Operation) -> None:
    gone = Load.objects.filter(operation=operation).exclude(
        pk__in=Load.objects.filter(operation=operation).counted().values("pk")
    )
    Judged.objects.filter(load__in=gone).delete()


def counts(operation: Operation, first: dt.date, last: dt.date) -> dict[str, int]:
    """How many indexed findings of each outcome in the period; what is to confirm counts apart."""
    found = dict.fromkeys(COUNTED, 0)
    rows = FindingIndex.objects.filter(operation=operation, day__gte=first, day__lte=last)
    for outcome, standing, number in rows.values_list("outcome", "standing").annotate(
        n=Count("id")
    ):
        found[counted_under(outcome, standing)] += number
    return found


def fingerprint_of(findings: Iterable[Finding]) -> str:
    """A short mark of what findings say, to compare index and fresh judgement."""
    said = "\n".join(f"{f.rule_id} {f.outcome} {f.rule_fingerprint}" for f in findings)
    return hashlib.sha256(said.encode()).hexdigest()


def _mark_later(operation_id: Any, fields: set[Any], first: dt.date, last: dt.date) -> None:
    """Loads of the same fields from the first day until a year after the last look back on it."""
    Judged.objects.filter(
        operation=operation_id,
        load__parts__field__in=fields,
        load__local_day__range=(first, last + YEAR),
        stale=False,
    ).update(stale=True)


@before_writing
def mark_left_year(ready: Ready) -> None:
    """A load that leaves a crop year or field makes what stays there stale as well."""
    was, row = ready.stored, ready.row
    if isinstance(row, Load) and was is not None:
        fields = {part.field_id for part in was.parts.all()}
        _mark_later(was.operation_id, fields, was.local_day, was.local_day)
    if isinstance(row, Load) and was is not None and was.crop_year != row.crop_year:
        Judged.objects.filter(
            operation=row.operation_id, field__isnull=False, crop_year=was.crop_year
        ).update(stale=True)


@on_written
def mark_stale(written: list[Written]) -> None:
    """Any change in an operation makes its index stale: a load's own rows, or everything."""
    objects = [line.obj for line in written if line.obj is not None]
    loads = [obj for obj in objects if isinstance(obj, Load)]
    for operation_id in {load.operation_id for load in loads}:
        own = [load for load in loads if load.operation_id == operation_id]
        fields = set(LoadPart.objects.filter(load__in=own).values_list("field_id", flat=True))
        days = [load.local_day for load in own]
        _mark_later(operation_id, fields, min(days), max(days))
    if loads:
        Judged.objects.filter(load__in=loads).update(stale=True)
    for operation_id, crop_year in {(load.operation_id, load.crop_year) for load in loads}:
        Judged.objects.filter(
            operation_id=operation_id, field__isnull=False, crop_year=crop_year
        ).update(stale=True)
    others = {getattr(obj, "operation_id", None) for obj in objects if not isinstance(obj, Load)}
    for changed in others - {None}:
        Judged.objects.filter(operation=changed, stale=False).update(stale=True)
