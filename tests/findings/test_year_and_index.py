"""A field's year against its plan, and the index that must say what a fresh judgement says."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from farmrecords.findings import index
from farmrecords.findings.judging import of_field_year, of_load
from farmrecords.findings.models import FindingIndex, Judged
from farmrecords.findings.seasons import closed_windows
from farmrecords.findings.zones import zones_of
from farmrecords.history import write
from farmrecords.plan.models import PhosphorusRisk
from tests import builders
from tests.findings.conftest import DAY, Farm


def planned(farm: Farm, n_lb: str, p2o5_lb: str = "500") -> None:
    plan = builders.make_plan(farm.operation)
    builders.make_planned_crop(plan, farm.field, DAY.year, n_lb, p2o5_lb)


def year_outcome(farm: Farm, rule_id: str) -> str | None:
    found = {f.rule_id: f.outcome for f in of_field_year(farm.field, DAY.year)}
    return found.get(rule_id)


# 25 lb N per 1,000 gal x 6,500 gal on 4.0 ac noted = 40.625 lb N/ac (arithmetic of the builders'
# test and load); 412.4(c)(2) and 122.42(e)(5): applied must not exceed the plan's limit.
@pytest.mark.parametrize(
    ("limit", "expected"), [("40.7", "met"), ("40.6", "not_met"), ("160", "met")]
)
def test_nitrogen_is_held_against_the_plan_on_the_covered_acres(
    farm: Farm, limit: str, expected: str
) -> None:
    planned(farm, limit)
    farm.load()
    assert year_outcome(farm, "US-F12-N") == expected


# 12 lb P2O5 per 1,000 gal x 6,500 gal on 4.0 ac = 19.5 lb P2O5/ac.
@pytest.mark.parametrize(("limit", "expected"), [("19.5", "met"), ("19.4", "not_met")])
def test_phosphate_at_the_limit_is_met_and_just_over_is_not(
    farm: Farm, limit: str, expected: str
) -> None:
    planned(farm, "500", limit)
    farm.load()
    assert year_outcome(farm, "US-F12-P") == expected


def test_a_year_with_an_untested_load_cannot_be_told(farm: Farm) -> None:
    planned(farm, "160")
    farm.load()
    farm.load(content_test=None)
    assert year_outcome(farm, "US-F12-N") == "cannot_tell"


def test_a_year_without_a_plan_cannot_be_told(farm: Farm) -> None:
    farm.load()
    assert year_outcome(farm, "US-F12-N") == "cannot_tell"


# Vermont P Index 6.1 class texts (p_index reference 1.4): above 100 no manure or fertilizer P.
@pytest.mark.parametrize(("value", "expected"), [("100.49", "notice"), ("100.50", "notice")])
def test_the_vermont_index_advises_and_never_says_not_met(
    farm: Farm, value: str, expected: str
) -> None:
    planned(farm, "160")
    builders.save(
        PhosphorusRisk(
            operation=farm.operation,
            field=farm.field,
            crop_year=DAY.year,
            procedure="VT-6.1",
            version="6.1",
            value=Decimal(value),
            evaluated_on=dt.date(2026, 2, 1),
        )
    )
    farm.load()
    assert year_outcome(farm, "VT-P-1") in (expected, "met")


def indexed(farm: Farm) -> dict[tuple[Any, str], str]:
    rows = FindingIndex.objects.filter(operation=farm.operation)
    return {(row.load_id or row.field_id, row.rule_id): row.outcome for row in rows}


def fresh(farm: Farm) -> dict[tuple[Any, str], str]:
    found: dict[tuple[Any, str], str] = {}
    for load in farm.operation.loads.counted():
        found |= {(load.pk, f.rule_id): f.outcome for f in of_load(load)}
    for finding in of_field_year(farm.field, DAY.year):
        found[farm.field.pk, finding.rule_id] = finding.outcome
    return found


def test_the_index_says_what_a_fresh_judgement_says(farm: Farm) -> None:
    planned(farm, "100")
    farm.stream_at(90)
    for hours in range(4):
        farm.load(started_at=dt.datetime(2026, 5, 20, 12 + hours, tzinfo=dt.UTC), ended_at=None)
    index.refresh(farm.operation)
    assert indexed(farm) == fresh(farm)
    assert len(indexed(farm)) > 20


def test_a_new_fact_makes_the_index_stale_and_refresh_mends_it(farm: Farm) -> None:
    farm.tracked()
    index.refresh(farm.operation)
    assert not Judged.objects.filter(operation=farm.operation, stale=True).exists()
    farm.stream_at(90)
    assert Judged.objects.filter(operation=farm.operation, stale=True).exists()
    index.refresh(farm.operation)
    assert indexed(farm) == fresh(farm)
    assert "not_met" in {o for (_s, rule), o in indexed(farm).items() if rule == "US-SB-1"}


def test_a_void_load_leaves_the_index(farm: Farm) -> None:
    load = farm.load()
    index.refresh(farm.operation)
    assert FindingIndex.objects.filter(load=load).exists()
    with write.change(by=builders.actor(), channel="web") as change:
        change.void(load, base_rev=1, reason_code="void", reason_text="entered twice")
    index.refresh(farm.operation)
    assert not FindingIndex.objects.filter(load=load).exists()


def test_refreshing_twice_judges_nothing_the_second_time(farm: Farm) -> None:
    farm.load()
    assert index.refresh(farm.operation) == 2  # the load and its field's year
    assert index.refresh(farm.operation) == 0


def test_judging_more_loads_takes_no_more_queries(farm: Farm) -> None:
    def queries(loads: int) -> int:
        for minutes in range(loads):
            start = dt.datetime(2026, 5, 20, 12, minutes, tzinfo=dt.UTC)
            farm.load(started_at=start, ended_at=None)
        with CaptureQueriesContext(connection) as asked:
            index.refresh(farm.operation)
        return len(asked)

    queries(1)  # the rulebook is noted once
    few = queries(2)
    assert queries(12) <= few + 2


# 6 V.S.A. 4816(a): from December 15 to April 1; the end days are not settled by the text read,
# so the band hatches the days that are surely closed.
def test_the_year_band_hatches_the_vermont_window(farm: Farm) -> None:
    windows = [(w.first_on, w.last_on) for w in closed_windows(farm.field, 2026)]
    assert (dt.date(2026, 1, 1), dt.date(2026, 3, 31)) in windows
    assert (dt.date(2026, 12, 16), dt.date(2026, 12, 31)) in windows


def test_a_zone_reaches_as_far_as_the_rule_asks(farm: Farm) -> None:
    """412.4(c)(5): 100 ft; the stream 40 ft outside leaves a strip of 60 ft closed."""
    from shapely.geometry import shape

    from farmrecords.calculations.geodesy import LocalPlane

    stream = farm.stream_at(40)
    boundary = shape(builders.SQUARE)
    zones = zones_of(farm.field, boundary, [stream], DAY)
    plane = LocalPlane.centred_on(boundary)
    west, _s, east, _n = plane.project(zones[0][1]).bounds
    assert (east - west) / 0.3048 == pytest.approx(60, abs=0.6)
