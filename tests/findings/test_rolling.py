"""What earlier loads on the same ground add up to: from tracks, and unknown without them."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from farmrecords.findings import index
from farmrecords.findings.judging import Judge
from farmrecords.findings.models import Judged
from farmrecords.history import write
from farmrecords.loads.facts import facts_of
from farmrecords.loads.models import Load
from farmrecords.rules.facts import UNKNOWN, Facts
from tests import builders
from tests.findings.conftest import DAY, Farm

NOT_CHECKED = {"soil_rechecked": False}


@pytest.fixture
def wisconsin(farm: Farm) -> Farm:
    builders.amend(farm.operation.jurisdictions.get(), stack=["us", "us-wi"])
    version = farm.field.version_on(DAY)
    further = {"bedrock": "silurian", "bedrock_depth_ft": "4", "soil_texture": "loam"}
    builders.amend(version, further=further)
    return farm


def facts(load: Load) -> Facts:
    judge = Judge(load.operation)
    load = Load.objects.get(pk=load.pk)
    kept = {row["part"]: row for row in facts_of(load).parts}
    part = load.parts.all()[0]
    stack = judge.around.stack(part.field, load.local_day)
    return judge._facts(load, part, kept[part.number], stack)


def day(offset: int) -> dt.date:
    return DAY + dt.timedelta(days=offset)


# 590 V.A (WI-H-6): wait seven days or check the soil again, on the same ground.
@pytest.mark.parametrize(("days", "expected"), [(6, "not_met"), (7, "met")])
def test_a_second_load_on_the_same_ground_waits_seven_days(
    wisconsin: Farm, outcome: Any, days: int, expected: str
) -> None:
    wisconsin.tracked(day(0))
    second = wisconsin.tracked(day(days), further=NOT_CHECKED)
    assert facts(second)["load.days_since_last"] == days
    assert outcome(second, "WI-H-6") == expected


def test_the_first_load_and_one_of_the_same_day_wait_for_nothing(wisconsin: Farm) -> None:
    first = wisconsin.tracked(day(0))
    assert facts(first)["load.days_since_last"] is UNKNOWN
    later = dt.datetime.combine(day(0), dt.time(15), tzinfo=dt.UTC)
    same_day = wisconsin.tracked(day(0), started_at=later, ended_at=None)
    assert facts(same_day)["load.days_since_last"] is UNKNOWN


def test_without_a_track_it_is_not_known_whether_it_is_the_same_ground(wisconsin: Farm) -> None:
    wisconsin.load(day(0))
    assert facts(wisconsin.tracked(day(3)))["load.days_since_last"] is UNKNOWN


def test_gallons_of_the_week_add_up_on_the_same_ground(wisconsin: Farm) -> None:
    """The same way driven twice within a week: twice the gallons on the same acres."""
    first = wisconsin.tracked(day(0))
    one = float(str(facts(first)["load.week_gal_per_ac"]))
    rate = float(str(facts(first)["load.rate_gal_per_ac"]))
    assert one == pytest.approx(rate)
    second = wisconsin.tracked(day(6))
    assert float(str(facts(second)["load.week_gal_per_ac"])) == pytest.approx(2 * rate, rel=0.01)
    third = wisconsin.tracked(day(13))
    assert float(str(facts(third)["load.week_gal_per_ac"])) == pytest.approx(rate)
    assert float(str(facts(third)["load.year_gal_per_ac"])) == pytest.approx(3 * rate, rel=0.01)


def test_gallons_of_the_week_are_unknown_beside_a_load_without_a_track(wisconsin: Farm) -> None:
    wisconsin.load(day(0))
    assert facts(wisconsin.tracked(day(1)))["load.week_gal_per_ac"] is UNKNOWN
    assert facts(wisconsin.load(day(20), area_ac=Decimal(4)))["load.week_gal_per_ac"] == 1625


def test_voiding_a_load_makes_later_loads_on_its_field_stale(wisconsin: Farm) -> None:
    first = wisconsin.tracked(day(0))
    second = wisconsin.tracked(day(3), further=NOT_CHECKED)
    index.refresh(wisconsin.operation)
    rows = Judged.objects.filter(load=second).values_list("findings__rule_id", "findings__outcome")
    assert ("WI-H-6", "not_met") in set(rows)
    with write.change(by=builders.actor(), channel="web") as change:
        change.void(first, base_rev=1, reason_code="void", reason_text="entered twice")
    assert Judged.objects.get(load=second).stale
    index.refresh(wisconsin.operation)
    rows = Judged.objects.filter(load=second).values_list("findings__rule_id", "findings__outcome")
    assert ("WI-H-6", "cannot_tell") in set(rows)  # nothing entered before is not "none before"
