"""Storages, transfers and the operation's period are held to the rules that are about them."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from farmrecords.farm.models import AnimalCount, AnimalGroup, StatementOfNone, Storage
from farmrecords.findings.farm_judging import FarmJudge, of_farm
from farmrecords.loads.models import Transfer
from farmrecords.measurements.models import (
    Deficiency,
    Discharge,
    Inspection,
    Mortality,
    StorageLevel,
)
from tests import builders
from tests.findings.conftest import Farm

MARCH = dt.date(2025, 3, 1), dt.date(2025, 3, 31)
YEAR = dt.date(2025, 1, 1), dt.date(2025, 12, 31)


def march(day: int) -> dt.date:
    return dt.date(2025, 3, day)


def judged(farm: Farm, period: tuple[dt.date, dt.date] = MARCH) -> FarmJudge:
    return of_farm(farm.operation, *period)


def of_storage(farm: Farm, rule: str, period: tuple[dt.date, dt.date] = MARCH) -> str | None:
    found = judged(farm, period).storage(Storage.objects.get(pk=farm.storage.pk))
    return {one.rule_id: one.outcome for one in found}.get(rule)


def of_operation(farm: Farm, rule: str, period: tuple[dt.date, dt.date] = MARCH) -> str | None:
    return {one.rule_id: one.outcome for one in judged(farm, period).operation()}.get(rule)


def read_levels(farm: Farm, *days: int, reading: str = "4.00") -> None:
    for day in days:
        builders.save(
            StorageLevel(
                operation=farm.operation,
                storage=farm.storage,
                read_on=march(day),
                reading_ft=Decimal(reading),
            )
        )


# 412.37(a)(1)(iii). Calendar weeks wholly in March 2025: from the 3rd, 10th, 17th and 24th; the
# gap view is the worked boundary of the reference: 3, 10, 17, then 25 March is 8 days.
@pytest.mark.parametrize(
    ("days", "weeks", "gap"),
    [
        ((3, 10, 17, 24, 31), "met", "met"),
        ((3, 10, 17, 25, 31), "met", "notice"),
        ((3, 10, 17, 31), "not_met", "notice"),
        ((), "cannot_tell", "cannot_tell"),
    ],
)
def test_a_week_without_a_level_is_not_met_and_none_entered_cannot_be_told(
    farm: Farm, days: tuple[int, ...], weeks: str, gap: str
) -> None:
    read_levels(farm, *days)
    assert of_storage(farm, "US-F24") == weeks
    assert of_storage(farm, "US-F24-GAP") == gap


def test_a_level_recorded_as_missed_is_no_level(farm: Farm) -> None:
    missed = StorageLevel(
        operation=farm.operation, storage=farm.storage, read_on=march(5), missed=True
    )
    builders.save(missed)
    assert of_storage(farm, "US-F24") == "not_met"


# 412.37(a)(2): the marker shows the design storm; 10 ft deep, mark at 8.5 ft.
@pytest.mark.parametrize(("reading", "outcome"), [("8.50", "met"), ("8.51", "notice")])
def test_the_level_is_held_against_the_mark(farm: Farm, reading: str, outcome: str) -> None:
    builders.amend(farm.storage, pump_out_ft=Decimal("8.5"))
    read_levels(farm, 3, reading=reading)
    assert of_storage(farm, "US-F26") == outcome


def test_a_mark_with_its_storm_is_a_marker_and_without_one_it_cannot_be_told(farm: Farm) -> None:
    assert of_storage(farm, "US-F25") == "cannot_tell"
    builders.amend(
        farm.storage,
        pump_out_ft=Decimal("8.5"),
        storm_depth_in=Decimal("4.6"),
        storm_source="TP-40",
    )
    assert of_storage(farm, "US-F25") == "met"


def test_a_solid_stack_is_not_asked_for_levels(farm: Farm) -> None:
    builders.amend(farm.storage, form="solid", shape="stack")
    assert of_storage(farm, "US-F24") is None
    assert of_storage(farm, "US-F26") is None


# 412.37(b)(5): solids, treatment, total volume and days.
def test_the_design_is_met_only_with_every_part_and_a_small_total_is_not(farm: Farm) -> None:
    parts = {"solids_allowance_gal": 1000, "treatment_volume_gal": 500, "design_days": 180}
    builders.amend(farm.storage, **parts)
    assert of_storage(farm, "US-F29") == "cannot_tell"
    builders.amend(farm.storage, design_volume_gal=1499)
    assert of_storage(farm, "US-F29") == "met"
    assert of_storage(farm, "US-F29-SUM") == "not_met"
    builders.amend(farm.storage, design_volume_gal=1500)
    assert of_storage(farm, "US-F29-SUM") == "cannot_tell"  # further parts are not entered


def discharge(farm: Farm, storage: Storage | None, told_h: float, days: int) -> None:
    aware = dt.datetime(2025, 3, 10, 15, tzinfo=dt.UTC)
    builders.save(
        Discharge(
            operation=farm.operation,
            storage=storage,
            happened_on=march(10),
            happened_at=aware,
            volume_text="350",
            aware_at=aware,
            told_at=aware + dt.timedelta(hours=told_h),
            written_on=march(10) + dt.timedelta(days=days),
        )
    )


# 122.41(l)(6): orally within 24 hours, in writing within five days.
@pytest.mark.parametrize(
    ("told_h", "days", "oral", "written"),
    [(24, 5, "met", "met"), (24.01, 6, "not_met", "not_met")],
)
def test_the_agency_knows_of_a_discharge_in_time(
    farm: Farm, told_h: float, days: int, oral: str, written: str
) -> None:
    discharge(farm, farm.storage, told_h, days)
    assert of_storage(farm, "US-F31-ORAL") == oral
    assert of_storage(farm, "US-F31-WRITTEN") == written
    assert of_storage(farm, "US-F30") == "met"


def test_of_two_discharges_the_late_one_decides(farm: Farm) -> None:
    discharge(farm, farm.storage, 30, 5)
    discharge(farm, farm.storage, 2, 5)
    assert of_storage(farm, "US-F31-ORAL") == "not_met"


def test_a_discharge_that_names_no_storage_is_judged_with_the_operation(farm: Farm) -> None:
    discharge(farm, None, 30, 5)
    assert of_storage(farm, "US-F31-ORAL") is None
    assert of_operation(farm, "US-F31-ORAL") == "not_met"
    assert of_storage(farm, "US-F30") == "cannot_tell"


def state_none(farm: Farm, subject: str) -> None:
    person = builders.make_member(farm.operation, "office").person
    builders.save(
        StatementOfNone(
            operation=farm.operation,
            subject=subject,
            from_on=MARCH[0],
            to_on=MARCH[1],
            stated_by=person,
            stated_on=MARCH[1],
            looked_how="walked the yard each Friday",
        )
    )


def test_no_overflow_needs_a_statement_of_none(farm: Farm) -> None:
    assert of_storage(farm, "US-F30") == "cannot_tell"
    state_none(farm, "discharges")
    assert of_storage(farm, "US-F30") is None  # it does not apply: nothing ran over


# 412.37(b)(3): corrected within 30 days or explained; found on 1 March, day 30 is the 31st.
@pytest.mark.parametrize(
    ("corrected", "explanation", "outcome"),
    [
        (march(31), "", "met"),
        (dt.date(2025, 4, 1), "", "not_met"),
        (None, "", "not_met"),
        (None, "the bank was too wet for the digger", "met"),
    ],
)
def test_a_deficiency_has_thirty_days_or_an_explanation(
    farm: Farm, corrected: dt.date | None, explanation: str, outcome: str
) -> None:
    assert of_operation(farm, "US-F27", YEAR) is None
    builders.save(
        Deficiency(
            operation=farm.operation,
            found_on=march(1),
            description="rodent holes in the bank",
            corrected_on=corrected,
            explanation=explanation,
        )
    )
    assert of_operation(farm, "US-F27", YEAR) == outcome


# 412.37(a)(1)(i)-(ii): diversions weekly, water lines daily.
def test_rounds_are_counted_once_any_of_their_kind_is_entered(farm: Farm) -> None:
    assert of_operation(farm, "US-F22") == "cannot_tell"
    for day in (3, 10, 17, 24):
        look(farm, "diversions", day)
    for day in range(1, 31):
        look(farm, "water_lines", day)
    assert of_operation(farm, "US-F22") == "met"
    assert of_operation(farm, "US-F23") == "not_met"
    look(farm, "water_lines", 31)
    assert of_operation(farm, "US-F23") == "met"


def look(farm: Farm, kind: str, day: int) -> None:
    builders.save(Inspection(operation=farm.operation, kind=kind, inspected_on=march(day)))


def count(farm: Farm, kind: str, head: int, **values: Any) -> AnimalGroup:
    group = builders.save(
        AnimalGroup(operation=farm.operation, name=f"{kind} {head}", kind=kind, **values)
    )
    builders.save(
        AnimalCount(
            operation=farm.operation,
            group=group,
            counted_on=MARCH[0],
            open_head=head // 2,
            roof_head=head - head // 2,
        )
    )
    return group


# 122.23(b)(4): 700 mature dairy cows are large, 699 are not; rows without a group stay unknown.
@pytest.mark.parametrize(("head", "outcome"), [(700, "met"), (699, "cannot_tell")])
def test_the_class_is_held_against_the_heads(farm: Farm, head: int, outcome: str) -> None:
    count(farm, "dairy_mature", head)
    assert of_operation(farm, "US-F01") == outcome


def test_layers_whose_manure_system_is_not_entered_are_in_no_row(farm: Farm) -> None:
    group = count(farm, "layers", 82_000)
    assert of_operation(farm, "US-F01") == "cannot_tell"
    builders.amend(group, has_liquid_system=False)
    assert of_operation(farm, "US-F01") == "met"


# 412.37(a)(4): not into a liquid system.
@pytest.mark.parametrize(
    ("method", "outcome"),
    [("composted", "met"), ("liquid system", "not_met"), ("taken by the lorry", "cannot_tell")],
)
def test_where_dead_animals_went_is_judged_in_the_words_of_the_rules(
    farm: Farm, method: str, outcome: str
) -> None:
    group = count(farm, "dairy_mature", 700)
    assert of_operation(farm, "US-F28-RECORD") == "cannot_tell"
    builders.save(
        Mortality(operation=farm.operation, group=group, died_on=march(5), head=1, method=method)
    )
    assert of_operation(farm, "US-F28") == outcome
    assert of_operation(farm, "US-F28-RECORD") == "met"


# 122.42(e)(1)(vi) and (e)(6): one plan in force with its file; a changed plan waits for the notice.
def test_a_changed_plan_waits_for_the_notice(farm: Farm) -> None:
    builders.make_plan(farm.operation)
    assert of_operation(farm, "US-F55") == "met"
    later = builders.make_plan(farm.operation, march(10))
    assert of_operation(farm, "US-F55") == "cannot_tell"
    builders.amend(later, approved_on=march(11))
    assert of_operation(farm, "US-F55") == "not_met"
    builders.amend(later, approved_on=march(10))
    assert of_operation(farm, "US-F55") == "met"


# 412.4(c)(3): manure analysed at least once a year; test of 10 January 2026.
@pytest.mark.parametrize(
    ("day", "outcome"),
    [(dt.date(2027, 1, 10), "met"), (dt.date(2027, 1, 11), "not_met")],
)
def test_a_storage_is_tested_each_year_it_is_drawn_from(
    farm: Farm, day: dt.date, outcome: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    farm.load(dt.date(2026, 3, 1))
    farm.load(day)
    monkeypatch.setattr("farmrecords.history.clock.today", lambda _zone: dt.date(2027, 6, 1))
    period = dt.date(2026, 1, 1), dt.date(2027, 6, 1)
    assert of_operation(farm, "US-F14", period) == outcome


def handed(farm: Farm, **values: Any) -> Transfer:
    values = {
        "receiver_name": "Tolland Farm",
        "receiver_address": "2 Mill Road",
        "storage": farm.storage,
        "test": farm.test,
        "analysis_given_on": dt.date(2026, 3, 1),
        "moved_on": dt.date(2026, 3, 1),
    } | values
    return builders.save(
        Transfer(
            operation=farm.operation,
            direction="out",
            amount_text="4200",
            amount_unit="gal",
            amount_milli=4_200_000,
            amount_kind="gal",
            **values,
        )
    )


def of_transfer(farm: Farm, row: Transfer, rule: str) -> str | None:
    found = judged(farm, (row.moved_on, row.moved_on)).transfer(row)
    return {one.rule_id: one.outcome for one in found}.get(rule)


# 122.42(e)(3): the most current analysis before the transfer; date, name, address and amount.
def test_a_transfer_is_written_down_with_its_receiver(farm: Farm) -> None:
    assert of_transfer(farm, handed(farm), "US-F41") == "met"
    assert of_transfer(farm, handed(farm, receiver_address=""), "US-F41") == "not_met"


@pytest.mark.parametrize(
    ("given", "outcome"),
    [
        (dt.date(2026, 3, 1), "met"),
        (dt.date(2026, 3, 2), "not_met"),
        (None, "cannot_tell"),
    ],
)
def test_the_analysis_is_given_by_the_day_of_the_transfer(
    farm: Farm, given: dt.date | None, outcome: str
) -> None:
    assert of_transfer(farm, handed(farm, analysis_given_on=given), "US-F41-GIVEN") == outcome


def test_an_older_analysis_is_not_the_newest_once_the_newer_was_known(farm: Farm) -> None:
    later = builders.make_manure_test(
        farm.storage, dt.date(2026, 2, 20), reported_on=dt.date(2026, 3, 2)
    )
    row = handed(farm)
    assert of_transfer(farm, row, "US-F41-GIVEN") == "met"
    builders.amend(later, reported_on=dt.date(2026, 3, 1))
    assert of_transfer(farm, row, "US-F41-GIVEN") == "not_met"


# 412.4(c)(3): within twelve months; sampled on 10 January 2026.
@pytest.mark.parametrize(
    ("day", "outcome"),
    [(dt.date(2027, 1, 10), "met"), (dt.date(2027, 1, 11), "not_met")],
)
def test_the_analysis_given_is_not_older_than_a_year(
    farm: Farm, day: dt.date, outcome: str
) -> None:
    row = handed(farm, moved_on=day, analysis_given_on=day)
    assert of_transfer(farm, row, "US-F41-AGE") == outcome


def test_without_a_test_the_analysis_cannot_be_told(farm: Farm) -> None:
    row = handed(farm, test=None)
    assert of_transfer(farm, row, "US-F41-GIVEN") == "cannot_tell"
    assert of_transfer(farm, row, "US-F41-AGE") == "cannot_tell"


def test_manure_received_is_not_held_to_the_duties_of_a_giver(farm: Farm) -> None:
    row = handed(farm)
    row.direction = "in"
    assert judged(farm, YEAR).transfer(row) == []
