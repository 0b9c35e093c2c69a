"""The report has the findings of storages, transfers, the operation and of the report itself."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from farmrecords.findings.doors import open_subjects
from farmrecords.measurements.models import Deficiency, StorageLevel
from farmrecords.people.models import ClosedPeriod, Operation
from farmrecords.report import content
from farmrecords.report.model import AnnualReport, RuleFindings
from farmrecords.rules.vocabulary import SUBJECTS
from tests import builders as make
from tests.report.making import FIRST, LAST, six_loads, state_none, transfer

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2027, 2, 10, 15, tzinfo=dt.UTC)


@pytest.fixture
def farm(monkeypatch: pytest.MonkeyPatch) -> Operation:
    monkeypatch.setattr("farmrecords.history.clock.today", lambda _zone: NOW.date())
    operation = make.make_operation()
    storage = make.make_storage(operation, "Pit")
    six_loads(operation, storage)
    make.amend(operation.permits.get(), due_month=3, due_day=1)
    return operation


def built(farm: Operation, first: dt.date = FIRST, last: dt.date = LAST) -> AnnualReport:
    return content.build(farm, first, last)


def rule(report: AnnualReport, rule_id: str) -> RuleFindings | None:
    return next((one for one in report.findings.rules if one.rule_id == rule_id), None)


def outcome(report: AnnualReport, rule_id: str) -> str | None:
    one = rule(report, rule_id)
    if one is None:
        return None
    told = (("not_met", one.not_met), ("cannot_tell", one.cannot_tell), ("notice", one.notices))
    return next((name for name, rows in told if rows), "met")


def test_every_subject_of_the_rules_has_a_door(farm: Operation) -> None:
    assert set(open_subjects()) == set(SUBJECTS)


def test_storages_transfers_and_the_operation_stand_in_the_report(farm: Operation) -> None:
    storage = farm.storages.get()
    level = StorageLevel(operation=farm, storage=storage, read_on=FIRST, reading_ft=Decimal("4"))
    make.save(level)
    make.save(Deficiency(operation=farm, found_on=FIRST, description="marker leaning"))
    transfer(farm)  # without the address of the receiver
    report = built(farm)
    # 412.37(a)(1)(iii), (b)(3) and 122.42(e)(3)
    levels = rule(report, "US-F24")
    assert levels is not None
    assert levels.not_met[0].subject == "Pit, 2026-01-01 to 2026-12-31"
    assert outcome(report, "US-F27") == "not_met"
    handed = rule(report, "US-F41")
    assert handed is not None
    assert handed.not_met[0].subject == "Transfer to Neighbour, 2026-06-01"


# 122.42(e)(4)(vi): every discharge, or that there was none.
def test_discharges_are_told_only_by_a_record_or_a_statement_of_none(farm: Operation) -> None:
    assert outcome(built(farm), "US-F47") == "cannot_tell"
    state_none(farm, "discharges")
    assert outcome(built(farm), "US-F47") == "met"


# 122.42(e)(4)(vii): a statement whether a certified planner developed or approved the plan; "no"
# is a statement as well.
@pytest.mark.parametrize(
    ("answer", "expected"), [(True, "met"), (False, "met"), (None, "cannot_tell")]
)
def test_the_statement_on_the_planner_is_made_either_way(
    farm: Operation, answer: bool | None, expected: str
) -> None:
    plan = make.make_plan(farm)
    if answer is not None:
        make.amend(plan, by_certified_planner=answer)
    assert outcome(built(farm), "US-F48") == expected


# The permit's own due day, 1 March of the year after; 122.41 duty to file by it.
def test_a_report_not_filed_cannot_be_told_to_be_in_time(farm: Operation) -> None:
    assert outcome(built(farm), "US-F53") == "cannot_tell"


@pytest.mark.parametrize(
    ("filed", "expected"),
    [(dt.date(2027, 3, 1), "met"), (dt.date(2027, 3, 2), "not_met")],
)
def test_a_report_filed_by_the_due_day_is_in_time(
    farm: Operation, filed: dt.date, expected: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    moment = dt.datetime.combine(filed, dt.time(15), tzinfo=dt.UTC)
    monkeypatch.setattr("farmrecords.history.clock.now", lambda: moment)
    make.save(ClosedPeriod(operation=farm, from_on=FIRST, to_on=LAST))
    assert outcome(built(farm), "US-F53") == expected


def test_days_that_are_no_reporting_period_are_no_report(farm: Operation) -> None:
    assert outcome(built(farm, FIRST, LAST - dt.timedelta(days=1)), "US-F53") is None
    assert outcome(built(farm, FIRST, LAST - dt.timedelta(days=1)), "US-F27") is None


def test_the_page_links_each_finding_to_its_record(farm: Operation) -> None:
    row: Any = transfer(farm)
    person = make.make_person("ana")
    make.make_member(farm, "office", person)
    client = Client()
    client.force_login(person)
    page = client.get(reverse("report_period", args=[farm.slug, FIRST, LAST])).content.decode()
    assert reverse("record_page", args=[farm.slug, "transfers", row.pk]) in page
    assert reverse("storage", args=[farm.slug, farm.storages.get().pk]) in page
