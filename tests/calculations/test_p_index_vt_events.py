"""The Vermont index from what was logged: days, tools and hours in the index's own words."""

import dataclasses
import datetime as dt

import pytest

from farmrecords.calculations.p_index_vt_events import (
    FertilizerEvent,
    ManureEvent,
    fertilizer_code,
    incorporation_class,
    manure_inputs,
    manure_of,
    recomputed,
    time_window,
)
from farmrecords.calculations.p_index_vt_inputs import ManureForIndex, PIndexError, VtInputs

# Columns of the workbook (its cases, read)
VT_H = VtInputs("NW", "<600 ft", 3, 0, 1, "Other (C, non-clay)", "0-20%",
                "corn and other row crops", 0, tile=True)  # fmt: skip
VT_F = VtInputs("NW", "600-1000 ft", 5, 0, 3, "Other (D, non-clay)", "0-20%",
                "corn and other row crops", 0,
                fertilizer_lb_p2o5_per_ac=10, fertilizer_code="Injected or subsurface banded",
                )  # fmt: skip


@pytest.mark.parametrize(
    ("day", "vegetated", "window"),
    [
        ((2025, 12, 15), False, "Oct - Dec 15"),  # project choice: 15 December in the earlier one
        ((2025, 12, 16), False, "Dec 15 - March"),
        ((2025, 10, 1), False, "Oct - Dec 15"),
        ((2025, 9, 30), True, "May - Sept"),
        ((2025, 5, 1), False, "May - Sept"),
        ((2025, 4, 30), False, "April - bare"),
        ((2025, 4, 1), True, "April - vegetated"),
        ((2025, 3, 31), True, "Dec 15 - March"),
        ((2025, 1, 1), False, "Dec 15 - March"),
        ((2025, 11, 30), False, "Oct - Dec 15"),
    ],
)
def test_each_day_has_its_window(day, vegetated, window):
    assert time_window(dt.date(*day), vegetated) == window


# Vermont workbook 6.1: immediate, < 1 day, < 2 days, (2-3 days: use 3-4), 5-7, 8-21, not
# incorporated
@pytest.mark.parametrize(
    ("hours", "name"),
    [(0, "Immediate"), (0.5, "< 1 day"), (23.9, "< 1 day"), (24, "< 2 days"), (47.9, "< 2 days"),
     (48, "3 - 4 days"), (96, "3 - 4 days"), (96.1, "5 - 7 days"), (168, "5 - 7 days"),
     (169, "8 - 21 days"), (504, "8 - 21 days"), (504.1, "Not incorporated"),
     (None, "Not incorporated")],
)  # fmt: skip
def test_hours_become_a_class(hours, name):
    assert incorporation_class(hours) == name


def test_workbook_column_h_from_one_logged_event():
    # VT-H: 70 lb, October, left on top: 97.0728 High
    event = ManureEvent(dt.date(2025, 10, 20), 70, "dairy")
    found = recomputed(VT_H, [event])
    assert found.logged.index == pytest.approx(97.0728, abs=1e-4)
    assert found.logged.risk_class == "High"
    assert found.planned.index < found.logged.index
    assert any("manure differs" in note for note in found.notes)


def test_workbook_column_f_from_logged_events():
    # VT-F: 50 lb in October, moldboard within a day; 10 lb fertilizer banded: 67.5271
    manure = [ManureEvent(dt.date(2025, 10, 3), 50, "dairy", "moldboard", 12)]
    found = recomputed(VT_F, manure, [FertilizerEvent(dt.date(2025, 5, 2), 10, "injected")])
    assert found.logged.index == pytest.approx(67.5271, abs=1e-4)
    assert not any("fertilizer" in note for note in found.notes)


def test_a_plan_that_was_kept_gives_the_same_index_and_no_note():
    plan = dataclasses.replace(
        VT_H, manure=(ManureForIndex(70, "Oct - Dec 15", "Not incorporated", "Not incorporated"),)
    )
    found = recomputed(plan, [ManureEvent(dt.date(2025, 10, 20), 70, "dairy")])
    assert found.logged == found.planned
    assert found.notes == ()


def test_events_alike_are_one_application_and_shares_count_by_the_whole_field():
    day = dt.date(2025, 5, 3)
    events = [ManureEvent(day, 20, "dairy"), ManureEvent(day, 40, "dairy", share_of_field=0.5),
              ManureEvent(day, 0, "dairy")]  # fmt: skip
    assert [one.rate_lb_p2o5_per_ac for one in manure_inputs(events)] == [40.0]


def test_more_than_three_unlike_applications_are_refused():
    months = (1, 4, 5, 10)
    events = [ManureEvent(dt.date(2025, month, 5), 10, "dairy") for month in months]
    assert len(manure_inputs(events[:3])) == 3
    with pytest.raises(PIndexError, match="takes three"):
        manure_inputs(events)


def test_injected_manure_is_worked_in_at_once():
    one = manure_of(ManureEvent(dt.date(2025, 5, 3), 20, "swine", "injected"))
    assert (one.method, one.incorporation) == ("Injected or subsurface banded", "Immediate")


@pytest.mark.parametrize(
    ("event", "words"),
    [
        (ManureEvent(dt.date(2025, 5, 3), 20, "dairy", "none", 5), "tool is missing"),
        (ManureEvent(dt.date(2025, 5, 3), 20, "dairy", share_of_field=0), "share"),
        (ManureEvent(dt.date(2025, 5, 3), 20, "dairy", share_of_field=1.1), "share"),
        (ManureEvent(dt.date(2025, 5, 3), 20, "dairy", "disk", -1), "hours"),
    ],
)
def test_events_that_cannot_be_are_refused(event, words):
    with pytest.raises(PIndexError, match=words):
        manure_of(event)


@pytest.mark.parametrize(
    ("tool", "day", "code"),
    [("none", (2025, 12, 20), "Surface Dec 15 - March"), ("disk", (2025, 12, 20),
     "Incorporated disk"), ("injected", (2025, 5, 1), "Injected or subsurface banded")],
)  # fmt: skip
def test_fertilizer_passes_have_a_code(tool, day, code):
    assert fertilizer_code(FertilizerEvent(dt.date(*day), 30, tool)) == code


def test_fertilizer_of_unlike_codes_is_counted_under_the_one_that_loses_most():
    passes = [FertilizerEvent(dt.date(2025, 5, 2), 20, "chisel"),
              FertilizerEvent(dt.date(2025, 11, 2), 30)]  # fmt: skip
    found = recomputed(VT_H, [], passes)
    all_late = recomputed(VT_H, [], [FertilizerEvent(dt.date(2025, 11, 2), 50)])
    assert found.logged.index == all_late.logged.index
    assert "Surface Oct - Dec 15" in found.notes[0]


def test_half_a_pound_counts_and_nothing_does_not():
    day = dt.date(2025, 5, 3)
    assert len(manure_inputs([ManureEvent(day, 0.5, "dairy")])) == 1
    assert manure_inputs([ManureEvent(day, 0, "dairy")]) == ()
    small = recomputed(VT_H, [], [FertilizerEvent(day, 0.5)])
    assert small.logged.index > small.planned.index
    nothing = recomputed(VT_H, [], [FertilizerEvent(day, 0)])
    assert nothing.logged == nothing.planned
    assert not any("several ways" in note for note in small.notes)
