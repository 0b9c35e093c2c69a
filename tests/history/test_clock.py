"""The one clock: the present, a fixed day of the demonstration, and moments set by tests."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ImproperlyConfigured
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.history import clock

NOON = datetime(2026, 4, 14, 12, tzinfo=UTC)
ZONES = ["America/New_York", "America/Chicago", "America/Denver", "America/Los_Angeles"]


def test_it_stands_where_it_is_set_and_goes_back_after():
    with clock.standing_at(NOON):
        assert clock.now() == NOON
        with clock.standing_at(datetime(2020, 1, 1, tzinfo=UTC)):
            assert clock.now().year == 2020
        assert clock.now() == NOON


def test_today_is_the_day_at_the_farm():
    with clock.standing_at(datetime(2026, 4, 15, 3, 30, tzinfo=UTC)):
        assert clock.today("America/New_York") == date(2026, 4, 14)
        assert clock.today("UTC") == date(2026, 4, 15)


def test_a_moment_without_time_zone_is_refused():
    with pytest.raises(ValueError, match="time zone"), clock.standing_at(datetime(2026, 1, 1)):  # noqa: DTZ001
        pass


@given(st.integers(0, 86_400 * 365), st.sampled_from(["01-15", "07-15"]))
def test_on_a_fixed_day_every_farm_of_the_mainland_has_that_day(seconds, day):
    fixed = date.fromisoformat(f"2026-{day}")
    moved = clock._moved_to(fixed, datetime(2025, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds))
    assert {moved.astimezone(clock.ZoneInfo(zone)).date() for zone in ZONES} == {fixed}


@pytest.mark.parametrize(
    ("real", "shown"),
    [("08:00", "15T08:00"), ("23:59", "15T23:59"), ("00:00", "16T00:00"), ("03:59", "16T03:59")],
)
def test_on_a_fixed_day_the_time_of_day_runs_on(real, shown):
    moment = datetime.fromisoformat(f"2025-11-02T{real}:00+00:00")
    moved = clock._moved_to(date(2026, 4, 15), moment)
    assert moved == datetime.fromisoformat(f"2026-04-{shown}:00+00:00")


def test_in_the_depth_of_the_eastern_night_the_fixed_day_holds_its_last_instant():
    moment = datetime(2025, 11, 2, 4, 0, tzinfo=UTC)
    moved = clock._moved_to(date(2026, 4, 15), moment)
    assert moved == datetime(2026, 4, 16, 3, 59, 59, 999999, tzinfo=UTC)


def test_the_setting_fixes_the_day(settings):
    settings.FARMRECORDS_DAY = "2026-04-15"
    assert {clock.today(zone) for zone in [*ZONES, "UTC"]} == {date(2026, 4, 15)}
    assert {clock.now().astimezone(clock.ZoneInfo(zone)).date() for zone in ZONES} == {
        date(2026, 4, 15)
    }


def test_a_bad_setting_names_what_was_given(settings):
    settings.FARMRECORDS_DAY = "15 April"
    with pytest.raises(ImproperlyConfigured, match="'15 April'"):
        clock.now()
