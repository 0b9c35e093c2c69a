"""The facts of a load become a system's own words, or the missing fact is named."""

from dataclasses import replace

import pytest

from farmrecords.calculations.available_nitrogen import AvailabilityError, system_named, systems
from farmrecords.calculations.available_words import (
    SpreadFacts,
    Words,
    _rows,
    available_in,
    readings,
    words_for,
)
from farmrecords.calculations.manure_test import ManureContent

COW = SpreadFacts("dairy", "manure", "liquid", "incorporated", 4, 6.0, 24.0, 1)


def application(system, **facts):
    return words_for(system_named(system), replace(COW, **facts)).application


def test_every_word_stands_in_the_systems_own_tables():
    for name, kinds in _rows().items():
        system = systems()[name]
        materials = {*system.rows("organic"), *system.rows("total")}
        ways = {*system.rows("ammonium"), *system.rows("volatilisation"), *system.columns("total")}
        assert {row["word"] for row in kinds.get("material", ())} <= materials
        assert {row["word"] for row in kinds.get("application", ())} <= ways


@pytest.mark.parametrize(
    ("system", "hours", "word"),
    [
        # New York and Alberta: the days of the tables' own rows, each to its last hour
        ("NY", 24.0, "incorporated within 1 day"),
        ("NY", 24.01, "incorporated within 2 days"),
        ("NY", 120.0, "incorporated within 5 days"),
        ("NY", 120.01, "later or not incorporated"),
        ("AB", 120.0, "incorporated within 5 days"),
        # Minnesota: below 12 h, 12-96 h, above 96 h
        ("MN", 11.99, "broadcast, within 12 h"),
        ("MN", 12.0, "broadcast, 12-96 h"),
        ("MN", 96.0, "broadcast, 12-96 h"),
        ("MN", 96.01, "broadcast, more than 96 h or never"),
        # Wisconsin: below 1 h, 1-72 h, above 72 h
        ("WI", 0.99, "within 1 h or injected"),
        ("WI", 1.0, "1-72 h"),
        ("WI", 72.01, "more than 72 h or none"),
    ],
)
def test_hours_to_incorporation_change_the_word_at_the_tables_own_bounds(system, hours, word):
    assert application(system, incorporated_after_h=hours) == word


@pytest.mark.parametrize(
    ("days", "word"),
    # Pennsylvania: same day, 1 day, 2-4 days, 5-6 days, 7 days or more
    [(0, "same day"), (1, "1 day"), (2, "2-4 days"), (4, "2-4 days"), (5, "5-6 days"),
     (6, "5-6 days"), (7, "7 days or more, or none")],
)  # fmt: skip
def test_pennsylvania_counts_calendar_days(days, word):
    assert application("PA", incorporated_after_days=days) == word


@pytest.mark.parametrize(
    ("solids", "word"),
    [(17.99, "cow, below 18 % dry matter"), (18.0, "cow, 18 % dry matter or more")],
)  # Cornell: DM < 18 %, DM >= 18 %
def test_dry_matter_decides_the_row_of_new_york(solids, word):
    assert words_for(system_named("NY"), replace(COW, solids_pct=solids)).material == word


@pytest.mark.parametrize(
    ("system", "lacking", "named"),
    [
        ("NY", {"solids_pct": None}, "dry matter"),
        ("NY", {"species": None}, "animals"),
        ("NY", {"incorporated_after_h": None}, "when it was incorporated"),
        ("AB", {"method": "surface"}, "growing crop"),
        ("AB", {"method": "surface", "growing_crop": False}, "ground cover"),
    ],
)
def test_a_missing_fact_is_named_and_nothing_is_guessed(system, lacking, named):
    with pytest.raises(AvailabilityError, match=named):
        words_for(system_named(system), replace(COW, **lacking))


@pytest.mark.parametrize(
    ("system", "facts"),
    [
        ("NY", {"month": 10, "method": "injected"}),  # in autumn only the others have a row
        ("MN", {"method": "injected"}),  # knife and sweep differ
        ("NE", {}),  # ammonium factors of incorporation are not held
        ("IA", {"incorporated_after_h": 2.0}),  # only "at once" stands in the table
        ("NY", {"species": "other"}),
    ],
)
def test_a_choice_without_a_row_is_refused(system, facts):
    with pytest.raises(AvailabilityError, match="no row"):
        words_for(system_named(system), replace(COW, **facts))


@pytest.mark.parametrize(
    ("month", "word"),
    [(2, "autumn or winter, not injected"), (3, "incorporated within 1 day"),
     (8, "incorporated within 1 day"), (9, "autumn or winter, not injected")],
)  # fmt: skip
def test_new_york_keeps_generally_no_ammonium_of_autumn_and_winter(month, word):
    # from memory, as the whole ammonium table; the months are an assumption that is shown
    assert application("NY", month=month) == word


def test_what_has_no_row_is_said_with_the_facts_it_hangs_on():
    with pytest.raises(AvailabilityError, match="no row for: incorporated, after 2 h, month 4"):
        application("IA", incorporated_after_h=2.0)


def test_a_liquid_left_on_bare_soil_counts_by_albertas_note():
    facts = {"method": "surface", "growing_crop": False, "residue": False}
    assert application("AB", **facts) == "liquid on bare soil, not incorporated"
    assert application("AB", **facts | {"residue": True}) == "on a cover crop or residue"


def test_a_system_that_leaves_a_choice_asks_for_it():
    words = Words("beef or dairy", "injected")
    manure = ManureContent("liquid", 20.0, None, None, None, None)
    iowa = system_named("IA")
    assert readings(iowa) == ("lower", "upper")
    with pytest.raises(AvailabilityError, match="lower; upper"):
        available_in(manure, iowa, words)
    # Iowa State PMR 1003: 50 % of total N x 1.00 at the upper end
    assert available_in(manure, iowa, words, "upper").available_n == pytest.approx(10.0)
