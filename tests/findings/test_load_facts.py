"""What the rules may look at for a load: each fact from the record that knows it, or none."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from farmrecords.findings.judging import Judge
from farmrecords.findings.load_facts import operation_facts, part_facts
from farmrecords.loads.facts import facts_of
from farmrecords.loads.models import Harvest, Load, LoadPart, Planting
from farmrecords.people.models import Permit
from farmrecords.plan.models import PermitCondition
from farmrecords.rules.facts import UNKNOWN, Facts
from tests import builders
from tests.findings.conftest import DAY, Farm


def facts(load: Load) -> Facts:
    judge = Judge(load.operation)
    kept = {row["part"]: row for row in facts_of(load).parts}
    part = load.parts.all()[0]
    return part_facts(judge.around, load, part, kept[part.number])


POUNDS = {
    "amount_text": "54000",
    "amount_unit": "lb",
    "amount_milli": 54_000_000,
    "amount_kind": "lb",
    "measured_by": "truck_scale",
}


@pytest.mark.parametrize("form", ["liquid", "solid"])
def test_a_weighed_load_has_the_form_of_its_storage(farm: Farm, form: str) -> None:
    """A tank of liquid that went over a scale stays liquid: pounds say nothing about form."""
    farm.storage = builders.make_storage(farm.operation, form=form)
    assert facts(farm.load(**POUNDS))["material.form"] == form


def without_storage(farm: Farm, **values: Any) -> Load:
    """A weighed load that another farm put on the field: no storage of this farm gave it."""
    start = dt.datetime.combine(DAY, dt.time(12), tzinfo=dt.UTC)
    load = Load(
        operation=farm.operation,
        local_day=DAY,
        started_at=start,
        started_offset_min=-240,
        crop_year=DAY.year,
        method="surface",
        origin="other_farm",
        **POUNDS,
        **values,
    )
    part = LoadPart(field=farm.field, number=1, amount_milli=load.amount_milli)
    return builders.save(load, {"parts": [part], "draws": []})


def test_without_storage_the_test_says_the_form(farm: Farm) -> None:
    assert facts(without_storage(farm, content_test=farm.test))["material.form"] == "liquid"


def test_a_weighed_load_of_unknown_storage_and_no_test_has_no_form(farm: Farm) -> None:
    assert facts(without_storage(farm))["material.form"] is UNKNOWN


def test_a_weighed_liquid_does_not_escape_a_rule_of_liquids(farm: Farm, outcome: Any) -> None:
    """Vermont rows for liquids; the cap of the permit in gallons cannot be told from pounds."""
    cap(farm, "1")
    assert outcome(farm.load(**POUNDS), rule_of_cap(farm)) == "cannot_tell"


def cap(farm: Farm, most: str) -> None:
    builders.make_condition(
        farm.operation, kind="cap", value=most, unit="gal/ac", text="Cap", feature_kinds=[]
    )


def rule_of_cap(farm: Farm) -> str:
    return f"{PermitCondition.objects.get(operation=farm.operation).layer}-1"


# 6,500 gal on 4 ac noted are 1,625 gal/ac; over the builders' square of about 40 ac some 160.
@pytest.mark.parametrize(
    ("most", "area_ac", "expected"),
    [
        ("2000", None, "cannot_tell"),
        ("2000", Decimal(4), "met"),
        ("1000", Decimal(4), "not_met"),
        ("100", None, "not_met"),
    ],
)
def test_a_rate_over_the_whole_field_shows_a_breach_and_never_a_cap_that_is_kept(
    farm: Farm, outcome: Any, most: str, area_ac: Decimal | None, expected: str
) -> None:
    """The ground that was covered got at least the mean of the field, perhaps much more."""
    cap(farm, most)
    assert outcome(farm.load(area_ac=area_ac), rule_of_cap(farm)) == expected


def test_the_rate_over_the_whole_field_stands_under_its_own_name(farm: Farm) -> None:
    seen = facts(farm.load(area_ac=None))
    assert seen["load.rate_gal_per_ac"] is UNKNOWN
    assert isinstance(seen["load.whole_field_gal_per_ac"], Decimal)
    assert seen["load.rate_basis"] == "whole_field"


def test_the_programme_of_the_permit_says_whether_it_is_the_federal_one() -> None:
    def npdes(**values: Any) -> object:
        return operation_facts(Permit(size_class="large", approach="linear", **values)).get(
            "operation.npdes"
        )

    assert npdes(programme="npdes", is_permitted=True) is True
    assert npdes(programme="", is_permitted=False) is False
    assert npdes(programme="state_permit", is_permitted=True) is None


# "The plan lists the field for winter" is a record of its own; a plan without one says nothing.
def test_a_plan_alone_does_not_say_that_a_field_is_not_named_for_winter(farm: Farm) -> None:
    builders.make_plan(farm.operation)
    assert facts(farm.load())["field.winter_listed"] is UNKNOWN


def test_a_field_named_for_winter_is_named_and_the_others_of_that_plan_are_not(farm: Farm) -> None:
    builders.make_plan(farm.operation)
    builders.make_condition(
        farm.operation,
        kind="winter_field",
        field=farm.field,
        text="winter",
        value=None,
        unit="",
        feature_kinds=[],
    )
    assert facts(farm.load())["field.winter_listed"] is True
    farm.field = builders.make_field(farm.operation, "91")
    assert facts(farm.load())["field.winter_listed"] is UNKNOWN


def sown(farm: Farm, crop: str, on: dt.date, *, cover: bool) -> None:
    builders.save(
        Planting(
            operation=farm.operation,
            field=farm.field,
            planted_on=on,
            crop_year=on.year,
            crop=crop,
            is_cover_crop=cover,
        )
    )


def test_a_cover_crop_stands_from_the_day_it_was_sown_until_the_next_crop(farm: Farm) -> None:
    sown(farm, "rye", dt.date(2026, 9, 20), cover=True)
    assert facts(farm.load(dt.date(2026, 9, 20)))["field.cover_crop"] is True
    assert facts(farm.load(dt.date(2026, 9, 20)))["load.cover_crop"] == "growing"
    assert facts(farm.load(dt.date(2026, 9, 19)))["field.cover_crop"] is UNKNOWN
    sown(farm, "corn", dt.date(2027, 5, 4), cover=False)
    assert facts(farm.load(dt.date(2027, 5, 3)))["field.cover_crop"] is True
    assert facts(farm.load(dt.date(2027, 5, 4)))["field.cover_crop"] is UNKNOWN


def test_a_cover_crop_cut_or_a_year_old_is_not_known_to_stand(farm: Farm) -> None:
    sown(farm, "rye", dt.date(2026, 9, 20), cover=True)
    assert facts(farm.load(dt.date(2027, 9, 21)))["field.cover_crop"] is UNKNOWN
    builders.save(
        Harvest(
            operation=farm.operation,
            field=farm.field,
            harvested_on=dt.date(2027, 5, 10),
            crop_year=2027,
            crop="rye",
        )
    )
    assert facts(farm.load(dt.date(2027, 5, 11)))["field.cover_crop"] is UNKNOWN
    assert facts(farm.load(dt.date(2027, 5, 9)))["field.cover_crop"] is True


# Minnesota permits of 7 Jan 2025 (MN-N-1): a cover crop within 14 days after.
@pytest.mark.parametrize(
    ("sown_on", "expected"),
    [(dt.date(2026, 10, 15), "within_14_days"), (dt.date(2026, 10, 16), UNKNOWN)],
)
def test_a_cover_crop_sown_soon_after_is_told_as_such(
    farm: Farm, sown_on: dt.date, expected: object
) -> None:
    load = farm.load(dt.date(2026, 10, 1))
    sown(farm, "rye", sown_on, cover=True)
    assert facts(load)["load.cover_crop"] == expected


def test_a_cover_crop_of_another_field_says_nothing(farm: Farm) -> None:
    here, farm.field = farm.field, builders.make_field(farm.operation, "92")
    sown(farm, "rye", dt.date(2026, 5, 1), cover=True)
    farm.field = here
    assert facts(farm.load(DAY))["field.cover_crop"] is UNKNOWN


# 12 lb P2O5 per 1,000 gal x 6,500 gal on 4.0 ac = 19.5 lb P2O5/ac (arithmetic).
def test_phosphate_of_a_load_is_told_on_the_acres_it_covered(farm: Farm) -> None:
    assert facts(farm.load())["load.p2o5_lb_per_ac"] == Decimal("19.5")


@pytest.mark.parametrize("values", [{"area_ac": None}, {"content_test": None}])
def test_phosphate_of_a_load_is_unknown_without_covered_acres_or_test(
    farm: Farm, values: dict[str, Any]
) -> None:
    assert facts(farm.load(**values))["load.p2o5_lb_per_ac"] is UNKNOWN
