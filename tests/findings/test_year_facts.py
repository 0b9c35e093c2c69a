"""Facts of a field's year that are gathered from several records of the book."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from farmrecords.findings.judging import of_field_year
from farmrecords.findings.load_facts import part_facts
from farmrecords.findings.surroundings import Surroundings
from farmrecords.findings.year_facts import year_facts
from farmrecords.findings.years_together import sums_of_years
from farmrecords.loads.facts import facts_of
from farmrecords.loads.models import Fertilizer, Load
from farmrecords.loads.year import field_year
from tests import builders
from tests.findings.conftest import DAY, Farm

TWO, THREE = "year.p2o5_2yr_lb_per_ac", "year.p2o5_3yr_lb_per_ac"


def facts(farm: Farm) -> dict[str, Any]:
    year = field_year(farm.field, DAY.year)
    return year_facts(Surroundings(farm.operation), year, DAY).values_by_name


def sums(farm: Farm, *stack: str) -> dict[str, Any]:
    year = field_year(farm.field, DAY.year)
    return sums_of_years(Surroundings(farm.operation), year, stack or ("us", "us-md"))


def in_year(farm: Farm, crop_year: int, p2o5_lb: str | None = "0", *, tracked: bool = True) -> Load:
    """A load of the crop year on the same strip, 78 lb P2O5, with a pass of fertilizer."""
    driven = farm.tracked if tracked else farm.load
    load = driven(DAY.replace(year=crop_year), crop_year=crop_year)
    if p2o5_lb is not None:
        builders.save(
            Fertilizer(
                operation=farm.operation, field=farm.field, spread_on=DAY.replace(year=crop_year),
                crop_year=crop_year, product="starter", n_lb_per_ac=Decimal(10),
                p2o5_lb_per_ac=Decimal(p2o5_lb),
            )
        )  # fmt: skip
    return load


# 40 CFR 122.42(e)(5)(i)(B), (ii)(D)(2): tests taken within 12 months of the application.
@pytest.mark.parametrize(
    ("sampled_on", "expected"),
    [(DAY.replace(year=2025), "met"), (dt.date(2025, 5, 19), "not_met")],
)
def test_the_oldest_test_that_a_rate_was_set_from_is_held_against_the_first_load(
    farm: Farm, sampled_on: dt.date, expected: str
) -> None:
    builders.make_planned_crop(builders.make_plan(farm.operation), farm.field, DAY.year)
    old = builders.make_manure_test(farm.storage, sampled_on)
    farm.load()
    farm.load(DAY + dt.timedelta(days=1), rate_test=old)
    assert facts(farm)["year.max_test_sampled_on"] == sampled_on
    found = {one.rule_id: one.outcome for one in of_field_year(farm.field, DAY.year)}
    assert found["US-F11-TEST"] == expected


def test_one_load_without_a_named_test_leaves_the_oldest_unknown(farm: Farm) -> None:
    farm.load()
    farm.load(DAY + dt.timedelta(days=1), rate_test=None)
    assert "year.max_test_sampled_on" not in facts(farm)


# 12 lb P2O5 per 1,000 gal x 6,500 gal = 78 lb on the acres of the track, each year the same; a
# thousandth for the outline rounded to seven decimals and joined on a grid.
def test_phosphate_of_several_years_is_added_up_on_the_ground_that_got_most(farm: Farm) -> None:
    loads = [in_year(farm, crop_year, "5") for crop_year in (2024, 2025, 2026)]
    strip_ac = facts_of(Load.objects.get(pk=loads[0].pk)).covered_ac
    found = sums(farm)
    assert found[TWO] == pytest.approx(2 * 78 / strip_ac + 2 * 5, rel=1e-3)
    assert found[THREE] == pytest.approx(3 * 78 / strip_ac + 3 * 5, rel=1e-3)


def test_a_year_before_the_book_began_leaves_the_sum_unknown(farm: Farm) -> None:
    in_year(farm, 2025)
    in_year(farm, 2026)
    found = sums(farm)
    assert found[TWO] > 0
    assert found[THREE] is None


def test_noted_acres_do_not_tell_whether_two_years_lie_on_the_same_ground(farm: Farm) -> None:
    in_year(farm, 2025)
    in_year(farm, 2026, tracked=False)
    assert sums(farm)[TWO] is None


def test_fertilizer_neither_entered_nor_stated_to_be_none_leaves_the_sum_unknown(
    farm: Farm,
) -> None:
    in_year(farm, 2025, None)
    in_year(farm, 2026)
    assert sums(farm)[TWO] is None


def test_sums_of_years_are_told_only_where_a_rule_asks_for_them(farm: Farm) -> None:
    in_year(farm, 2026)
    assert sums(farm, "us", "us-vt") == {}


def test_the_removal_of_several_years_is_the_sum_of_the_plans_of_those_years(farm: Farm) -> None:
    plan = builders.make_plan(farm.operation)
    for crop_year, removed in ((2024, "40"), (2025, "50.5"), (2026, "60")):
        crop = builders.make_planned_crop(plan, farm.field, crop_year)
        builders.amend(crop, p2o5_removal_lb_per_ac=Decimal(removed))
    farm.load()
    told = facts(farm)
    assert told["plan.p2o5_removal_lb_per_ac"] == 60
    assert told["plan.p2o5_removal_2yr_lb_per_ac"] == Decimal("110.5")
    assert told["plan.p2o5_removal_3yr_lb_per_ac"] == Decimal("150.5")


def test_the_removal_of_years_that_no_plan_tells_is_unknown(farm: Farm) -> None:
    crop = builders.make_planned_crop(builders.make_plan(farm.operation), farm.field, 2026)
    builders.amend(crop, p2o5_removal_lb_per_ac=Decimal(60))
    farm.load()
    told = facts(farm)
    assert told["plan.p2o5_removal_lb_per_ac"] == 60
    assert not [name for name in told if name.endswith(("2yr_lb_per_ac", "3yr_lb_per_ac"))]


def test_facts_entered_with_a_crop_and_with_the_permit_reach_the_rules(farm: Farm) -> None:
    crop = builders.make_planned_crop(builders.make_plan(farm.operation), farm.field, 2026)
    builders.amend(crop, further={"crop_n_need_lb_per_ac": "140"})
    builders.amend(farm.operation.permits.get(), further={"plan_duty": True})
    load = farm.load()
    told = facts(farm)
    assert told["plan.crop_n_need_lb_per_ac"] == 140
    assert told["operation.plan_duty"] is True
    assert of_part(farm, load)["plan.crop_n_need_lb_per_ac"] == 140


def test_crops_that_contradict_each_other_leave_a_further_fact_unknown(farm: Farm) -> None:
    plan = builders.make_plan(farm.operation)
    for name, need in (("rye", "40"), ("corn silage", "140")):
        crop = builders.make_planned_crop(plan, farm.field, 2026)
        builders.amend(crop, crop=f"{name} here", further={"crop_n_need_lb_per_ac": need})
    farm.load()
    assert "plan.crop_n_need_lb_per_ac" not in facts(farm)


def of_part(farm: Farm, load: Load) -> dict[str, Any]:
    load = Load.objects.get(pk=load.pk)
    told = facts_of(load).parts[0]
    around = Surroundings(farm.operation)
    return part_facts(around, load, load.parts.get(), told).values_by_name
