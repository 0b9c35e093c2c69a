"""Permit conditions judged as rules of the operation's own layer."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from farmrecords.findings.judging import of_load
from farmrecords.findings.permit_layer import own_rules, rulebook_of
from farmrecords.findings.rulebooks import rulebook
from farmrecords.findings.seasons import closed_windows
from farmrecords.findings.zones import asked_ft
from farmrecords.history import write
from tests import builders
from tests.findings.conftest import DAY, Farm


def own(farm: Farm, load: Any) -> dict[str, str]:
    """What the permit's own rules say of the load, by the rule's title."""
    return {f.title: f.outcome for f in of_load(load) if f.rule_id.startswith("permit-")}


# The numbers are those of an invented permit; each comparison is read off the entry itself.
@pytest.mark.parametrize(("cap", "expected"), [("1625", "met"), ("1624.99", "not_met")])
def test_a_largest_rate_of_the_permit_is_judged_at_the_number_and_just_over(
    farm: Farm, cap: str, expected: str
) -> None:
    """6,500 gal on 4.0 ac noted are 1,625 gal/ac."""
    builders.make_condition(
        farm.operation, kind="cap", value=cap, unit="gal/ac", text="Lagoon", feature_kinds=[]
    )
    assert own(farm, farm.load()) == {"Lagoon": expected}


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (dt.date(2026, 6, 30), None),
        (dt.date(2026, 7, 1), "not_met"),
        (dt.date(2026, 7, 4), "not_met"),
        (dt.date(2026, 7, 5), None),
    ],
)
def test_a_closed_season_of_the_permit_holds_on_both_of_its_days(
    farm: Farm, day: dt.date, expected: str | None
) -> None:
    builders.make_condition(
        farm.operation, kind="season", season_first="07-01", season_last="07-04",
        text="Fair week", value=None, unit="", feature_kinds=[],
    )  # fmt: skip
    found = own(farm, farm.load(day)).get("Fair week")
    assert found == expected or (expected is None and found == "met")


def test_a_condition_judges_only_its_field_and_only_its_days(farm: Farm) -> None:
    other = builders.make_field(farm.operation)
    made = builders.make_condition(
        farm.operation, kind="cap", value="1", unit="gal/ac", text="Little", field=other,
        feature_kinds=[], to_on=DAY,
    )  # fmt: skip
    assert own(farm, farm.load()) == {}
    there = builders.make_load(other, farm.storage, DAY)
    assert own(farm, there) == {"Little": "not_met"}
    later = builders.make_load(other, farm.storage, DAY + dt.timedelta(days=1))
    assert own(farm, later) == {}
    with write.change(by=builders.actor(), channel="web") as change:
        change.void(made, base_rev=1, reason_code="void", reason_text="not ours")
    assert own(farm, there) == {}


def test_a_stricter_distance_of_the_permit_widens_the_zone(farm: Farm) -> None:
    well = builders.make_feature(
        farm.operation, "well_drinking", {"type": "Point", "coordinates": [-89.5, 43.0]}
    )
    ordinary = asked_ft(farm.field, well, DAY, method="surface", form="liquid") or 0
    builders.make_condition(farm.operation, value=ordinary + 50)
    assert asked_ft(farm.field, well, DAY, method="surface", form="liquid") == ordinary + 50


def test_a_closed_season_of_the_permit_is_hatched_in_the_year_band(farm: Farm) -> None:
    builders.make_condition(
        farm.operation, kind="season", season_first="07-01", season_last="07-04",
        text="Fair week", value=None, unit="", feature_kinds=[],
    )  # fmt: skip
    windows = [(w.first_on, w.last_on, w.label) for w in closed_windows(farm.field, 2026)]
    assert (dt.date(2026, 7, 1), dt.date(2026, 7, 4), "Fair week") in windows


def test_a_paper_for_one_feature_stands_with_that_feature_alone(farm: Farm) -> None:
    near = farm.stream_at(90)
    builders.make_condition(
        farm.operation, kind="waiver", paper="written_waiver", feature=near, value=None, unit="",
        feature_kinds=[],
    )  # fmt: skip
    from farmrecords.findings.load_facts import part_facts
    from farmrecords.findings.surroundings import Surroundings
    from farmrecords.loads.facts import facts_of

    farm.stream_at(60)
    load = farm.load()
    part = load.parts.get()
    facts = part_facts(Surroundings(farm.operation), load, part, facts_of(load).parts[0])
    assert [seen.documents for seen in facts.features] == [(), ("written_waiver",)]
    assert facts["documents.held"] == ()


def test_the_joined_rulebook_is_kept_and_the_packaged_one_stays_as_it_was(farm: Farm) -> None:
    before = rulebook().fingerprint
    assert rulebook_of(farm.operation) is rulebook()
    builders.make_condition(farm.operation)
    joined = rulebook_of(farm.operation)
    assert joined is rulebook_of(farm.operation)
    assert joined.fingerprint != before == rulebook().fingerprint
    assert len(joined.rules) == len(rulebook().rules) + len(own_rules(farm.operation))
