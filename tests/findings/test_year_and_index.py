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
from farmrecords.history import clock, write
from farmrecords.loads.models import Fertilizer
from farmrecords.measurements.models import WeatherDay
from farmrecords.plan.models import PhosphorusRisk, PlannedCrop
from tests import builders
from tests.findings.conftest import DAY, Farm


def planned(farm: Farm, n_lb: str, p2o5_lb: str = "500", **values: Any) -> PlannedCrop:
    plan = builders.make_plan(farm.operation)
    crop = builders.make_planned_crop(plan, farm.field, DAY.year, n_lb, p2o5_lb)
    return builders.amend(crop, **values) if values else crop


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
    planned(farm, "500", limit, is_p_limited=True)
    farm.load()
    assert year_outcome(farm, "US-F12-P") == expected


# 122.42(e)(5), derived: the lesser of both rates only if the field is P-limited, else the N rate.
def test_phosphate_does_not_bind_a_field_that_the_plan_does_not_limit_by_it(farm: Farm) -> None:
    planned(farm, "500", "1")
    farm.load()
    assert year_outcome(farm, "US-F12-P") is None


def test_a_mean_of_the_whole_field_is_never_a_limit_that_is_kept(farm: Farm) -> None:
    """25 x 6.5 = 162.5 lb N on a field of about 40 ac are some 4 lb N/ac at the least."""
    planned(farm, "160")
    farm.load(area_ac=None)
    assert year_outcome(farm, "US-F12-N") == "cannot_tell"


def test_a_mean_of_the_whole_field_above_the_limit_is_a_breach(farm: Farm) -> None:
    planned(farm, "3")
    farm.load(area_ac=None)
    assert year_outcome(farm, "US-F12-N") == "not_met"


def fertilize(farm: Farm, n_lb: str) -> None:
    builders.save(
        Fertilizer(
            operation=farm.operation,
            field=farm.field,
            spread_on=DAY,
            crop_year=DAY.year,
            product="starter",
            n_lb_per_ac=Decimal(n_lb),
        )
    )


def under_narrative_terms(farm: Farm, crop: PlannedCrop) -> None:
    builders.amend(farm.operation.permits.get(), approach="narrative")
    builders.amend(crop.plan, approach="narrative")


# 122.42(e)(5)(i): a linear term limits manure; (ii): a narrative term limits all sources, so
# that 40.625 lb of manure N, 10 lb of fertilizer and 5 lb of credits make 55.625 lb N/ac.
@pytest.mark.parametrize(
    ("approach", "limit", "expected"),
    [
        ("linear", "40.7", "met"),
        ("linear", "40.6", "not_met"),
        ("narrative", "55.7", "met"),
        ("narrative", "55.6", "not_met"),
    ],
)
def test_a_limit_counts_manure_alone_or_all_sources_by_the_approach(
    farm: Farm, approach: str, limit: str, expected: str
) -> None:
    crop = planned(farm, limit, n_credit_lb_per_ac=Decimal(5))
    if approach == "narrative":
        under_narrative_terms(farm, crop)
    fertilize(farm, "10")
    farm.load()
    assert year_outcome(farm, "US-F12-N") == expected


def test_a_narrative_limit_without_stated_credits_shows_a_breach_only(farm: Farm) -> None:
    under_narrative_terms(farm, planned(farm, "160"))
    fertilize(farm, "10")
    farm.load()
    assert year_outcome(farm, "US-F12-N") == "cannot_tell"
    builders.amend(PlannedCrop.objects.get(), n_limit_lb_per_ac=Decimal(3))
    assert year_outcome(farm, "US-F12-N") == "not_met"


def test_a_limit_in_available_nitrogen_is_not_held_against_total_nitrogen(farm: Farm) -> None:
    planned(farm, "1", n_counts="available")
    farm.load()
    assert year_outcome(farm, "US-F12-N") == "cannot_tell"


def test_crops_of_which_some_count_total_and_some_available_cannot_be_told(farm: Farm) -> None:
    crop = planned(farm, "1")
    builders.save(
        PlannedCrop(
            operation=farm.operation,
            plan=crop.plan,
            field=farm.field,
            crop_year=DAY.year,
            crop="rye",
            n_counts="available",
            n_limit_lb_per_ac=Decimal(1),
        )
    )
    farm.load()
    assert year_outcome(farm, "US-F12-N") == "cannot_tell"


def test_a_year_with_an_untested_load_cannot_be_told(farm: Farm) -> None:
    planned(farm, "160")
    farm.load()
    farm.load(content_test=None)
    assert year_outcome(farm, "US-F12-N") == "cannot_tell"


def test_a_year_without_a_plan_cannot_be_told(farm: Farm) -> None:
    farm.load()
    assert year_outcome(farm, "US-F12-N") == "cannot_tell"


# Vermont P Index 6.1 class texts (p_index reference 1.4), to the nearest whole: at 61-100
# management by phosphorus, whose cap is the plan's own limit (19.5 lb P2O5/ac went on); above
# 100 no manure or fertilizer phosphorus. Its force is memory: it only ever advises.
@pytest.mark.parametrize(
    ("value", "p2o5_limit", "expected"),
    [
        ("100.49", "19.5", "met"),
        ("100.49", "19.4", "notice"),
        ("100.50", "19.5", "notice"),
        ("60.49", "1", "met"),
    ],
)
def test_the_vermont_index_advises_by_class_and_never_says_not_met(
    farm: Farm, value: str, p2o5_limit: str, expected: str
) -> None:
    planned(farm, "160", p2o5_limit, is_p_limited=True)
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
    assert year_outcome(farm, "VT-P-1") == expected


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


# 412.37(c)(3): the weather of the 24 hours after; until they are over nothing is missing.
def test_time_alone_makes_a_finding_old_and_refresh_judges_it_again(farm: Farm) -> None:
    load = farm.load()
    for back in (1, 0):
        builders.save(
            WeatherDay(
                operation=farm.operation,
                day=DAY - dt.timedelta(days=back),
                rain_in=Decimal("0.10"),
                source="yard gauge",
            )
        )
    assert load.ended_at is not None
    due = load.ended_at + dt.timedelta(hours=24)
    with clock.standing_at(due - dt.timedelta(minutes=1)):
        index.refresh(farm.operation)
        assert indexed(farm)[load.pk, "US-F34"] == "notice"
        assert not index.is_behind(farm.operation)
        assert index.refresh(farm.operation) == 0
    with clock.standing_at(due):
        assert index.is_behind(farm.operation)
        assert index.refresh(farm.operation) == 1
        assert indexed(farm)[load.pk, "US-F34"] == "not_met"
        assert indexed(farm) == fresh(farm)
        assert not index.is_behind(farm.operation)


def test_a_load_moved_to_another_crop_year_leaves_nothing_in_the_old_one(farm: Farm) -> None:
    planned(farm, "1")
    load = farm.load()
    index.refresh(farm.operation)
    assert field_years(farm) == {DAY.year}
    builders.amend(load, crop_year=DAY.year + 1)
    index.refresh(farm.operation)
    assert field_years(farm) == {DAY.year + 1}


def test_the_year_that_a_load_leaves_is_judged_without_it(farm: Farm) -> None:
    """162.5 lb N on 4 ac are 40.6 lb N/ac; twice that on 4.9 ac are 66.3 lb N/ac (arithmetic)."""
    planned(farm, "60")
    farm.load()
    other = farm.load(area_ac=Decimal("0.9"))
    index.refresh(farm.operation)
    before = indexed(farm)[farm.field.pk, "US-F12-N"]
    builders.amend(other, crop_year=DAY.year + 1)
    index.refresh(farm.operation)
    rows = FindingIndex.objects.filter(field=farm.field, rule_id="US-F12-N", crop_year=DAY.year)
    assert [row.outcome for row in rows] == ["met"]
    assert before == "not_met"


def field_years(farm: Farm) -> set[int]:
    rows = Judged.objects.filter(operation=farm.operation, field__isnull=False)
    return {row.crop_year for row in rows if row.crop_year}


def test_voiding_the_last_load_of_a_year_takes_the_year_out_of_the_index(farm: Farm) -> None:
    load = farm.load()
    index.refresh(farm.operation)
    assert field_years(farm) == {DAY.year}
    with write.change(by=builders.actor(), channel="web") as change:
        change.void(load, base_rev=1, reason_code="void", reason_text="entered twice")
    index.refresh(farm.operation)
    assert field_years(farm) == set()
    assert not FindingIndex.objects.filter(operation=farm.operation).exists()
