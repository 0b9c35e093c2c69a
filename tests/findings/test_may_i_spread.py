"""The answer for a planned load, by the judge of recorded loads."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from farmrecords.calculations.units import parse_amount
from farmrecords.farm.models import Feature, Practice, StatementOfNone
from farmrecords.findings.may_i_spread import Answer, Asked, answers
from farmrecords.findings.zones import asked_ft, known_on
from farmrecords.history import clock
from farmrecords.loads.models import Harvest, Load
from farmrecords.loads.year import years_of
from tests import builders
from tests.findings.conftest import DAY, FOOT_LON, Farm


def ask(farm: Farm, **values: Any) -> Answer:
    given = {"storage": farm.storage, "on": DAY, "method": "surface", "ground": "dry"} | values
    asked = Asked(**given)
    with clock.standing_at(noon_of(asked.on)):
        years = years_of(farm.operation, asked.on.year, until=asked.on)
        return answers(farm.operation, asked, [farm.field], years)[0]


def noon_of(on: dt.date) -> dt.datetime:
    return dt.datetime.combine(on, dt.time(16), tzinfo=dt.UTC)


def none_of(farm: Farm, subject: str) -> None:
    person = builders.make_member(farm.operation, "office").person
    builders.save(
        StatementOfNone(
            operation=farm.operation,
            subject=subject,
            field=farm.field,
            stated_by=person,
            stated_on=dt.date(2026, 1, 5),
            looked_how="walked the edge",
        )
    )


def rules_of(found: list[Any]) -> set[str]:
    return {one.rule_id for one in found}


def test_a_closed_season_closes_the_field_and_names_the_rule(farm: Farm) -> None:
    """6 V.S.A. 4816(a): closed from December 15 to April 1."""
    answer = ask(farm, on=dt.date(2027, 1, 15))
    assert answer.verdict == "closed"
    assert "VT-W-1" in rules_of(answer.against)


def test_a_near_stream_leaves_the_rest_of_the_field_open(farm: Farm) -> None:
    """412.4(c)(5): 100 ft; the stream 40 ft west of the field closes a strip of 60 ft."""
    far, near = ask(farm), None
    farm.stream_at(40, uncertainty_ft=Decimal(0))
    near = ask(farm)
    assert near.keeps[0].ask.asked_ft == 100
    assert near.keeps[0].feature.kind == "stream_perennial"
    assert far.open_ac is not None
    assert near.open_ac is not None
    assert near.open_ac < far.open_ac
    assert not rules_of(near.against) & {"US-SB-1"}
    assert near.verdict != "open"


def test_what_nobody_looked_for_is_missing_and_the_answer_cannot_be_told(farm: Farm) -> None:
    before = ask(farm)
    assert before.verdict == "cannot_tell"
    assert "features.mapped" in before.missing
    none_of(farm, "features")
    assert "features.mapped" not in ask(farm).missing


def test_a_statement_of_none_settles_phosphorus_of_several_years(farm: Farm) -> None:
    none_of(farm, "multi_year_p")
    assert "field.p_surplus_lb_per_ac" not in ask(farm).missing


def test_frozen_ground_is_not_asked_of_dry_ground(farm: Farm) -> None:
    """Vermont RAP 6.05."""
    assert "VT-W-2" in rules_of(ask(farm, ground="frozen").against)
    assert "VT-W-2" not in rules_of(ask(farm).against)


def test_more_than_the_plan_leaves_is_said(farm: Farm) -> None:
    """25 lb N per 1,000 gal: 10 lb N/ac over the field's acres are 400 gal/ac."""
    plan = builders.make_plan(farm.operation)
    builders.make_planned_crop(plan, farm.field, DAY.year, "10", "500")
    little = ask(farm, amount=parse_amount("500", "gal"))
    assert little.left is not None
    assert little.left.amount_milli is not None
    assert not little.is_too_much
    over = f"{little.left.amount_milli // 1000 + 1}"
    assert ask(farm, amount=parse_amount(over, "gal")).is_too_much


def test_the_rate_is_the_amount_on_the_open_ground(farm: Farm) -> None:
    answer = ask(farm, amount=parse_amount("6,500", "gal"))
    assert answer.rate is not None
    assert answer.open_ac is not None
    assert abs(answer.rate * answer.open_ac - 6500) < 1


def test_asking_records_nothing(farm: Farm) -> None:
    farm.operation.log.refresh_from_db()
    head = farm.operation.log.head_seq
    ask(farm, amount=parse_amount("6500", "gal"))
    farm.operation.log.refresh_from_db()
    assert farm.operation.log.head_seq == head
    assert not Load.objects.exists()


def test_a_cap_of_the_permit_is_the_most_that_may_go_on(farm: Farm) -> None:
    builders.make_condition(
        farm.operation, kind="cap", value="3000", unit="gal/ac", text="Lagoon", feature_kinds=[]
    )
    answer = ask(farm)
    amounts = [most.amount for most, _total in answer.most]
    assert amounts == [Decimal(3000)]
    assert answer.most[0][1] is not None
    assert answer.open_ac is not None
    assert abs(answer.most[0][1] - 3000 * answer.open_ac) < 0.01


@pytest.mark.parametrize("asked_ft", [400, 750, 1000])
def test_a_large_distance_round_a_well_closes_only_the_ground_within_it(
    farm: Farm, asked_ft: int
) -> None:
    """The field is 400 m square; the open ground must not be judged too near to its own circle.

    The well lies so far west of the field that the circle takes a strip of 150 ft at its middle.
    """
    builders.make_condition(
        farm.operation,
        kind="distance",
        value=str(asked_ft),
        unit="ft",
        text="Well",
        feature_kinds=["well_drinking"],
    )
    place = {"type": "Point", "coordinates": [-89.5 - (asked_ft - 150) * FOOT_LON, 43.0018]}
    builders.make_feature(farm.operation, "well_drinking", place, uncertainty_ft=Decimal(0))
    answer = ask(farm)
    assert [keep.ask.asked_ft for keep in answer.keeps] == [asked_ft]
    assert not [one for one in answer.against if one.rule_id.endswith("distance")], answer.against
    assert answer.verdict != "closed"


def approve(farm: Farm, stream: Feature) -> None:
    builders.save(
        Practice(
            operation=farm.operation,
            field=farm.field,
            feature=stream,
            kind="approved_alternative",
            from_on=dt.date(2026, 2, 1),
            document="letter of 2026-02-01",
        )
    )


def buffer(farm: Farm, stream: Feature, width_ft: int) -> None:
    builders.save(
        Practice(
            operation=farm.operation,
            field=farm.field,
            feature=stream,
            kind="vegetated_buffer",
            from_on=dt.date(2026, 2, 1),
            width_ft=Decimal(width_ft),
        )
    )


def federal_zone_ft(farm: Farm, stream: Feature) -> Decimal | None:
    known = replace(known_on(farm.field, DAY), stack=("us",))
    return asked_ft(farm.field, stream, DAY, method="surface", form="liquid", known=known)


# 412.4(c)(5)(i)-(ii): a 35-ft vegetated buffer, or a documented alternative, replaces 100 ft.
def test_zones_know_the_practices_that_judging_knows(farm: Farm) -> None:
    stream = farm.stream_at(20)
    assert federal_zone_ft(farm, stream) == 100
    buffer(farm, stream, 35)
    assert federal_zone_ft(farm, stream) == 35
    approve(farm, stream)
    assert federal_zone_ft(farm, stream) is None


def test_ground_outside_a_buffer_is_open_and_judged_met(farm: Farm) -> None:
    """The stream lies at the edge: the zone of 100 ft shrinks to the 60 ft of the buffer."""
    none_of(farm, "features")
    stream = farm.stream_at(0, uncertainty_ft=Decimal(0))
    wide = ask(farm)
    buffer(farm, stream, 60)
    narrow = ask(farm)
    assert wide.open_ac is not None
    assert narrow.open_ac is not None
    assert narrow.open_ac > wide.open_ac
    outcomes = {one.rule_id: one.outcome for one in narrow.findings}
    assert outcomes["US-SB-1"] == "met"


def test_the_crop_year_is_that_of_the_crop_that_comes_next(farm: Farm) -> None:
    """After the harvest of the year's crop manure feeds the next year's; so does what is sown."""
    autumn = dt.date(2026, 10, 5)
    plan = builders.make_plan(farm.operation)
    builders.make_planned_crop(plan, farm.field, 2026, "10", "500")
    builders.make_planned_crop(plan, farm.field, 2027, "400", "500")
    this_year = ask(farm, on=autumn).left
    builders.save(
        Harvest(
            operation=farm.operation,
            field=farm.field,
            harvested_on=dt.date(2026, 9, 28),
            crop_year=2026,
            crop="corn silage",
        )
    )
    next_year = ask(farm, on=autumn).left
    assert this_year is not None
    assert next_year is not None
    assert this_year.amount_milli is not None
    assert next_year.amount_milli is not None
    assert next_year.amount_milli > this_year.amount_milli * 30  # 400 lb against 10 lb
