"""Permit conditions as records: what each kind needs, and from when a paper holds."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from farmrecords.history import write
from farmrecords.history.read import history_of
from farmrecords.history.recorded import table
from farmrecords.plan.models import PermitCondition
from tests import builders

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("values", "named"),
    [
        ({"kind": "distance", "value": None}, "value"),
        ({"kind": "distance", "feature_kinds": []}, "feature_kinds"),
        ({"kind": "distance", "feature_kinds": ["moat"]}, "feature_kinds"),
        ({"kind": "cap", "unit": "ft"}, "unit"),
        ({"kind": "season", "season_first": "12-15"}, "season_last"),
        ({"kind": "season", "season_first": "12-15", "season_last": "02-30"}, "season_last"),
        ({"kind": "winter_field"}, "field"),
        ({"kind": "waiver", "paper": "a_wink"}, "paper"),
        ({"kind": "waiver", "paper": "recorded_waiver"}, "recorded_on"),
        ({"kind": "emergency", "paper": "emergency_notice"}, "noticed_at"),
        ({"to_on": dt.date(2025, 12, 31)}, "to_on"),
    ],
)
def test_what_a_kind_needs_is_asked_for_at_its_place(values: dict[str, Any], named: str) -> None:
    with pytest.raises(ValidationError) as refused:
        builders.make_condition(builders.make_operation(), **values)
    assert named in refused.value.message_dict


@pytest.mark.parametrize(
    "values",
    [
        {"kind": "cap", "value": "6000", "unit": "gal/ac"},
        {"kind": "season", "season_first": "12-15", "season_last": "02-29"},
        {"kind": "winter_barred"},
        {"kind": "variance", "paper": "variance_papers"},
        {"text": 'The "north"\nfield {only}, 5 % slope \\ part'},
    ],
)
def test_each_kind_with_what_it_needs_is_recorded(values: dict[str, Any]) -> None:
    made = builders.make_condition(builders.make_operation(), **values)
    assert PermitCondition.objects.get(pk=made.pk).kind == made.kind


def test_a_link_to_another_farm_is_refused() -> None:
    theirs = builders.make_field(builders.make_operation("elsewhere"))
    with pytest.raises(ValidationError, match="another operation"):
        builders.make_condition(builders.make_operation("here"), field=theirs)


def test_the_database_itself_refuses_a_cap_without_its_unit() -> None:
    made = builders.make_condition(builders.make_operation())
    with pytest.raises(IntegrityError), transaction.atomic():
        table(PermitCondition).filter(pk=made.pk).update(kind="cap", unit="ft")


def test_a_notice_holds_from_the_moment_the_agency_was_told() -> None:
    told = dt.datetime(2026, 1, 20, 14, 5, tzinfo=dt.UTC)
    made = builders.make_condition(
        builders.make_operation(), kind="emergency", paper="emergency_notice", noticed_at=told
    )
    assert not made.holds_at(told - dt.timedelta(minutes=1))
    assert made.holds_at(told)


def test_a_waiver_holds_from_the_day_it_was_recorded() -> None:
    made = builders.make_condition(
        builders.make_operation(), kind="waiver", paper="recorded_waiver",
        recorded_with="county recorder", recorded_on=dt.date(2026, 3, 2),
    )  # fmt: skip
    assert not made.holds_at(dt.datetime(2026, 3, 1, 18, tzinfo=dt.UTC))
    assert made.holds_at(dt.datetime(2026, 3, 2, 18, tzinfo=dt.UTC))


def test_an_amendment_and_a_void_stay_in_the_history_with_their_reasons() -> None:
    made = builders.make_condition(builders.make_operation())
    with write.change(by=builders.actor(), channel="web") as change:
        change.amend(made, base_rev=1, values={"value": 200}, reason_code="entry_error",
                     reason_text="the permit says 200")  # fmt: skip
    with write.change(by=builders.actor(), channel="web") as change:
        change.void(made, base_rev=2, reason_code="void", reason_text="another farm's permit")
    said = [(entry.act, entry.reason_text) for entry in history_of(made)]
    assert said == [
        ("create", ""), ("amend", "the permit says 200"), ("void", "another farm's permit"),
    ]  # fmt: skip
