"""A load's findings from real records: each boundary from both sides, the citation beside it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from farmrecords.farm.models import Practice, StatementOfNone
from farmrecords.findings.judging import Judge, of_load
from farmrecords.findings.rulebooks import rulebook
from farmrecords.history import clock, write
from farmrecords.loads.models import Load, LoadDraw, LoadPart
from farmrecords.measurements.models import WeatherDay
from farmrecords.plan.models import PermitCondition
from farmrecords.rules.permits import PermitCondition as DraftCondition
from farmrecords.rules.permits import rules_of
from tests import builders
from tests.findings.conftest import DAY, FOOT_LON, Farm


def state_all_features_mapped(farm: Farm) -> None:
    builders.save(
        StatementOfNone(
            operation=farm.operation,
            subject="features",
            field=farm.field,
            stated_by=builders.make_member(farm.operation, "office").person,
            stated_on=dt.date(2026, 1, 2),
            looked_how="walked the edge with the map",
        )
    )


# 40 CFR 412.4(c)(5): 100 ft from down-gradient surface water.
def test_a_load_nearer_than_100_ft_to_a_stream_is_not_met(farm: Farm, outcome: Any) -> None:
    farm.stream_at(90)
    assert outcome(farm.tracked(), "US-SB-1") == "not_met"


def test_without_a_track_a_field_that_reaches_near_a_stream_cannot_be_told(
    farm: Farm, outcome: Any
) -> None:
    """The boundary is only the nearest the load may have come; the rest of the field is far."""
    farm.stream_at(90)
    state_all_features_mapped(farm)
    assert outcome(farm.load(), "US-SB-1") == "cannot_tell"


def test_without_a_track_a_field_wholly_too_near_is_not_met(farm: Farm, outcome: Any) -> None:
    """A field of 60 ft beside a stream at 20 ft: no part of it lies 100 ft away."""
    east = -89.5 + 60 * FOOT_LON
    corners = [(-89.5, 43.0), (east, 43.0), (east, 43.001), (-89.5, 43.001), (-89.5, 43.0)]
    strip = {"type": "Polygon", "coordinates": [[list(corner) for corner in corners]]}
    farm.field = builders.make_field(farm.operation, "88", strip)
    farm.stream_at(20)
    assert outcome(farm.load(), "US-SB-1") == "not_met"


def test_a_load_beyond_100_ft_is_met_once_no_other_feature_is_stated(
    farm: Farm, outcome: Any
) -> None:
    farm.stream_at(110)
    state_all_features_mapped(farm)
    assert outcome(farm.load(), "US-SB-1") == "met"


def test_nothing_entered_is_not_none(farm: Farm, outcome: Any) -> None:
    assert outcome(farm.load(), "US-SB-1") == "cannot_tell"


def test_a_distance_within_its_doubt_cannot_be_told(farm: Farm, outcome: Any) -> None:
    farm.stream_at(110, uncertainty_ft=Decimal(20))
    state_all_features_mapped(farm)
    assert outcome(farm.load(), "US-SB-1") == "cannot_tell"


def test_a_stream_up_gradient_asks_no_distance(farm: Farm, outcome: Any) -> None:
    farm.stream_at(50, down_gradient="no")
    state_all_features_mapped(farm)
    assert outcome(farm.load(), "US-SB-1") == "met"


def test_a_feature_of_unknown_gradient_near_the_ground_cannot_be_told(
    farm: Farm, outcome: Any
) -> None:
    farm.stream_at(50, down_gradient="unknown")
    state_all_features_mapped(farm)
    assert outcome(farm.load(), "US-SB-1") == "cannot_tell"


# 40 CFR 412.4(c)(5)(ii): a documented demonstration replaces the distance.
@pytest.mark.parametrize(
    ("document", "expected"), [("letter of 2026-02-01", "met"), ("", "not_met")]
)
def test_an_approved_alternative_counts_only_with_its_document(
    farm: Farm, outcome: Any, document: str, expected: str
) -> None:
    stream = farm.stream_at(60)
    state_all_features_mapped(farm)
    builders.save(
        Practice(
            operation=farm.operation,
            field=farm.field,
            feature=stream,
            kind="approved_alternative",
            from_on=dt.date(2026, 2, 1),
            document=document,
        )
    )
    assert outcome(farm.tracked(), "US-SB-1") == expected


# The same provision: what is approved of a stream stays approved when its line is drawn anew.
@pytest.mark.parametrize(("is_the_same", "expected"), [(True, "met"), (False, "not_met")])
def test_an_approval_follows_a_feature_to_its_new_place(
    farm: Farm, outcome: Any, is_the_same: bool, expected: str
) -> None:
    old = farm.stream_at(70, to_on=dt.date(2026, 3, 31))
    farm.stream_at(60, from_on=dt.date(2026, 4, 1), follows=old if is_the_same else None)
    state_all_features_mapped(farm)
    builders.save(
        Practice(
            operation=farm.operation, field=farm.field, feature=old, kind="approved_alternative",
            from_on=dt.date(2026, 2, 1), document="letter of 2026-02-01",
        )
    )  # fmt: skip
    assert outcome(farm.tracked(), "US-SB-1") == expected


# 40 CFR 122.42(e)(5)(i)(B): manure tests within 12 months of the day of application.
@pytest.mark.parametrize(
    ("spread_on", "expected"),
    [(dt.date(2027, 1, 10), "met"), (dt.date(2027, 1, 11), "not_met")],
)
def test_a_manure_test_holds_for_twelve_months(
    farm: Farm, outcome: Any, spread_on: dt.date, expected: str
) -> None:
    assert outcome(farm.load(spread_on), "US-F15-L") == expected


def test_the_age_rule_asks_the_test_the_rate_was_set_from(farm: Farm, outcome: Any) -> None:
    late = builders.make_manure_test(farm.storage, dt.date(2027, 3, 1))
    load = farm.load(dt.date(2027, 3, 10), content_test=late)
    assert outcome(load, "US-F15-L") == "not_met"


def test_a_load_without_a_test_cannot_be_told(farm: Farm, outcome: Any) -> None:
    assert outcome(farm.load(rate_test=None), "US-F15-L") == "cannot_tell"


# 40 CFR 412.4(c)(3): soil analysed at least once every five years for phosphorus.
@pytest.mark.parametrize(
    ("sampled_on", "expected"),
    [(dt.date(2021, 5, 20), "met"), (dt.date(2021, 5, 19), "not_met")],
)
def test_a_soil_test_holds_for_five_years(
    farm: Farm, outcome: Any, sampled_on: dt.date, expected: str
) -> None:
    builders.make_soil_test(farm.field, sampled_on)
    assert outcome(farm.load(DAY), "US-F16") == expected


# 40 CFR 412.37(c)(3): weather at application and 24 hours before and after.
def note_weather(farm: Farm, *days: dt.date) -> None:
    for day in days:
        builders.save(
            WeatherDay(
                operation=farm.operation, day=day, rain_in=Decimal("0.10"), source="yard gauge"
            )
        )


def test_weather_noted_on_all_three_days_is_met(farm: Farm, outcome: Any) -> None:
    note_weather(farm, *(DAY + dt.timedelta(days=n) for n in (-1, 0, 1)))
    with clock.standing_at(dt.datetime(2026, 5, 25, 12, tzinfo=dt.UTC)):
        assert outcome(farm.load(), "US-F34") == "met"


def test_weather_not_noted_the_day_before_is_not_met(farm: Farm, outcome: Any) -> None:
    note_weather(farm, DAY, DAY + dt.timedelta(days=1))
    with clock.standing_at(dt.datetime(2026, 5, 25, 12, tzinfo=dt.UTC)):
        assert outcome(farm.load(), "US-F34") == "not_met"


def test_the_24_hours_after_are_not_missing_before_they_are_over(farm: Farm, outcome: Any) -> None:
    note_weather(farm, DAY - dt.timedelta(days=1), DAY)
    load = farm.load()
    with clock.standing_at(load.ended_at + dt.timedelta(hours=2)):
        assert outcome(load, "US-F34") == "notice"


# 6 V.S.A. 4816(a): closed from December 15 to April 1; the ends are not settled in the text read.
@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (dt.date(2026, 12, 14), "met"),
        (dt.date(2026, 12, 15), "cannot_tell"),
        (dt.date(2026, 12, 16), "not_met"),
        (dt.date(2027, 3, 31), "not_met"),
        (dt.date(2027, 4, 1), "cannot_tell"),
        (dt.date(2027, 4, 2), "met"),
    ],
)
def test_the_vermont_window_closes_by_the_calendar(
    farm: Farm, outcome: Any, day: dt.date, expected: str
) -> None:
    assert outcome(farm.load(day), "VT-W-1") == expected


def test_a_recorded_emergency_exemption_opens_the_window_on_its_days_only(
    farm: Farm, outcome: Any
) -> None:
    builders.save(
        PermitCondition(
            operation=farm.operation,
            kind="emergency",
            paper="emergency_exemption",
            text="emergency spreading",
            document="approval of 2027-01-20",
            from_on=dt.date(2027, 1, 20),
            to_on=dt.date(2027, 1, 22),
        )
    )
    assert outcome(farm.load(dt.date(2027, 1, 22)), "VT-W-1") == "met"
    assert outcome(farm.load(dt.date(2027, 1, 23)), "VT-W-1") == "not_met"


def test_a_void_load_has_no_findings(farm: Farm) -> None:
    load = farm.load()
    with write.change(by=builders.actor(), channel="web") as change:
        change.void(load, base_rev=1, reason_code="void", reason_text="entered twice")
    assert of_load(load) == []


def test_every_finding_carries_its_citation_and_a_plain_sentence(farm: Farm) -> None:
    farm.stream_at(90)
    findings = of_load(farm.load())
    assert len(findings) >= 5
    for finding in findings:
        assert finding.citation
        assert finding.sentence
        assert "{" not in finding.sentence


def test_a_load_on_two_fields_says_the_weightier_outcome_and_names_the_field(farm: Farm) -> None:
    far = {
        "type": "Polygon",
        "coordinates": [[[-89.45, 43.0], [-89.449, 43.0], [-89.449, 43.001], [-89.45, 43.0]]],
    }
    other = builders.make_field(farm.operation, "77", far)
    farm.stream_at(90)
    one = farm.tracked()
    both = Load(
        **{
            field.attname: getattr(one, field.attname)
            for field in Load._meta.concrete_fields
            if field.name not in ("id", "rev", "recorded_at")
        }
    )
    parts = [
        LoadPart(field=other, number=1, amount_milli=3_000_000),
        LoadPart(
            field=farm.field,
            number=2,
            amount_milli=3_500_000,
            track_sha256=one.parts.get().track_sha256,
        ),
    ]
    draw = LoadDraw(storage=farm.storage, number=1, amount_milli=6_500_000)
    builders.save(both, {"parts": parts, "draws": [draw]})
    found = next(f for f in of_load(both) if f.rule_id == "US-SB-1")
    assert found.outcome == "not_met"
    assert str(farm.field) in found.sentence


def keep_from_wells(farm: Farm, asked_ft: int) -> str:
    row = builders.make_condition(farm.operation, value=str(asked_ft), text="Wells")
    return f"{row.layer}-1"


def well_at(farm: Farm, distance_ft: float) -> None:
    place = {"type": "Point", "coordinates": [-89.5 - distance_ft * FOOT_LON, 43.0018]}
    builders.make_feature(farm.operation, "well_drinking", place, uncertainty_ft=Decimal(0))


# A condition of the permit may ask more than any rule of the book: one foot decides all the same.
@pytest.mark.parametrize(
    ("distance_ft", "expected"), [(1900, "not_met"), (1990, "not_met"), (2010, "met")]
)
def test_a_permit_may_ask_two_thousand_feet(
    farm: Farm, outcome: Any, distance_ft: int, expected: str
) -> None:
    rule = keep_from_wells(farm, 2000)
    state_all_features_mapped(farm)
    well_at(farm, distance_ft)
    assert outcome(farm.tracked(), rule) == expected


def test_facts_kept_before_a_larger_distance_was_asked_are_worked_out_again(
    farm: Farm, outcome: Any
) -> None:
    state_all_features_mapped(farm)
    well_at(farm, 1900)
    load = farm.tracked()
    assert of_load(load)
    rule = keep_from_wells(farm, 2000)
    assert outcome(Load.objects.get(pk=load.pk), rule) == "not_met"


# The kept facts tell of features to 1,500 ft; a draft of 5,000 ft looks farther.
@pytest.mark.parametrize(("distance_ft", "expected"), [(4900, "not_met"), (5100, "met")])
def test_a_draft_that_asks_more_than_was_searched_looks_farther(
    farm: Farm, distance_ft: int, expected: str
) -> None:
    condition = DraftCondition(
        "setback",
        "Wells",
        "draft",
        dt.date(2026, 1, 1),
        number=Decimal(5000),
        features=["well_drinking"],
    )
    _section, rules = rules_of([condition], "us", "draft")
    state_all_features_mapped(farm)
    well_at(farm, distance_ft)
    load = farm.tracked()
    draft = Judge(farm.operation, rulebook().with_rules(rules))
    found = {one.rule_id: one.outcome for one in draft.load(load)}
    assert found["us-1"] == expected
    assert found["US-SB-1"] == "met"
