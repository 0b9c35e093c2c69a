"""Days and times as typed: the calendar and the clock changes are kept, doubts are asked."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError, Unclear
from farmrecords.formats.moments import (
    at_local,
    order_of,
    parse_day,
    parse_moment,
    parse_time,
    zone_of,
)

CHICAGO = zone_of("America/Chicago")


@pytest.mark.parametrize(
    ("text", "order", "expected"),
    [
        ("2025-03-04", "", date(2025, 3, 4)),
        ("2025/3/4", "", date(2025, 3, 4)),
        ("20250304", "", date(2025, 3, 4)),
        ("3/4/2025", "mdy", date(2025, 3, 4)),
        ("3/4/2025", "dmy", date(2025, 4, 3)),
        ("3/4/25", "mdy", date(2025, 3, 4)),
        ("13/4/2025", "", date(2025, 4, 13)),
        ("4/13/2025", "", date(2025, 4, 13)),
        ("5.5.2025", "", date(2025, 5, 5)),
        ("Mar 4, 2025", "", date(2025, 3, 4)),
        ("4-Mar-25", "", date(2025, 3, 4)),
        ("4 de marzo de 2025", "", date(2025, 3, 4)),
        ("4 ago 2025", "", date(2025, 8, 4)),
        ("2024-02-29", "", date(2024, 2, 29)),
    ],
)
def test_a_day_is_read_in_the_ways_people_write_it(text, order, expected):
    assert parse_day(text, order) == expected


def test_a_day_of_two_possible_orders_is_asked():
    with pytest.raises(Unclear) as unclear:
        parse_day("3/4/2025")
    labels = [choice.label for choice in unclear.value.question.choices]
    assert labels == ["March 4, 2025 (month first)", "3 April 2025 (day first)"]


@pytest.mark.parametrize(
    "text",
    [
        "2025-02-30", "2025-02-29", "2025-13-01", "0000-01-01", "1989-12-31", "2101-01-01",
        "9999-12-31", "31/31/2025", "45748", "tomorrow", "", "3/4", "3/4/202", "25/3/4", "٣/٤/٢٠٢٥",
        "2025-03-04-05", "1" * 50,
    ],
)  # fmt: skip
def test_a_day_that_does_not_exist_is_refused(text):
    with pytest.raises(FormatError):
        parse_day(text)


def test_the_first_and_last_year_are_read():
    assert parse_day("1990-01-01") == date(1990, 1, 1)
    assert parse_day("2100-12-31") == date(2100, 12, 31)


@pytest.mark.parametrize(
    ("text", "order"),
    [("13/4/2025", "dmy"), ("4/13/2025", "mdy"), ("4/12/2025", ""), ("2025-04-13", ""), ("x", "")],
)
def test_the_order_of_a_day_is_told_only_when_it_is_certain(text, order):
    assert order_of(text) == order


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("14:30", time(14, 30)),
        ("14:30:05", time(14, 30, 5)),
        ("2:30 PM", time(14, 30)),
        ("2:30 p.m.", time(14, 30)),
        ("2pm", time(14)),
        ("12 am", time(0)),
        ("12:30 pm", time(12, 30)),
        ("1430", time(14, 30)),
        ("0:00", time(0)),
        ("23:59:59", time(23, 59, 59)),
    ],
)
def test_a_time_of_day_is_read_in_the_ways_people_write_it(text, expected):
    assert parse_time(text) == expected


@pytest.mark.parametrize(
    "text", ["24:00", "25:00", "12:60", "13 pm", "0 am", "noon", "14", "1:2:3:4"]
)
def test_a_time_that_does_not_exist_is_refused(text):
    with pytest.raises(FormatError):
        parse_time(text)


# Clock changes of America/Chicago in 2025: 9 March and 2 November at 2:00 (IANA tz database).
def test_a_time_skipped_when_clocks_go_forward_is_refused():
    assert at_local(date(2025, 3, 9), time(1, 59), CHICAGO).astimezone(UTC) == datetime(
        2025, 3, 9, 7, 59, tzinfo=UTC
    )
    for skipped in (time(2), time(2, 30), time(2, 59)):
        with pytest.raises(FormatError, match="did not exist"):
            at_local(date(2025, 3, 9), skipped, CHICAGO)
    assert at_local(date(2025, 3, 9), time(3), CHICAGO).astimezone(UTC) == datetime(
        2025, 3, 9, 8, tzinfo=UTC
    )


def test_a_time_that_comes_twice_is_asked_and_answered():
    day, clock = date(2025, 11, 2), time(1, 30)
    with pytest.raises(Unclear):
        at_local(day, clock, CHICAGO)
    first = at_local(day, clock, CHICAGO, "first")
    second = at_local(day, clock, CHICAGO, "second")
    assert first.astimezone(UTC) == datetime(2025, 11, 2, 6, 30, tzinfo=UTC)
    assert second - first == timedelta(hours=1)
    assert at_local(day, time(0, 59), CHICAGO).hour == 0
    assert at_local(day, time(2), CHICAGO).hour == 2


def test_a_moment_with_an_offset_is_that_moment_wherever_it_is_read():
    moment, known = parse_moment("2025-07-04T12:00:00-04:00", CHICAGO)
    assert known
    assert moment.astimezone(UTC) == datetime(2025, 7, 4, 16, tzinfo=UTC)


def test_a_day_without_a_time_stands_at_noon_and_says_so():
    moment, known = parse_moment("2025-07-04", CHICAGO)
    assert not known
    assert moment.isoformat() == "2025-07-04T12:00:00-05:00"


def test_a_zone_that_does_not_exist_is_refused():
    for name in ("Mars/Base", "../../etc/passwd", "", "\0"):
        with pytest.raises(FormatError):
            zone_of(name)


# 1990-01-01 to 2100-12-31 in whole seconds of Unix time.
@given(st.integers(631_152_000 + 86_400, 4_133_894_400 - 86_400))
def test_a_moment_written_with_its_offset_reads_back(seconds):
    at = datetime.fromtimestamp(seconds, UTC).astimezone(CHICAGO)
    assert parse_moment(at.isoformat(), CHICAGO)[0] == at.astimezone(UTC)


@given(st.dates(date(1990, 1, 1), date(2100, 12, 31)))
def test_a_day_reads_back_in_either_order(day):
    assert parse_day(f"{day.month}/{day.day}/{day.year}", "mdy") == day
    assert parse_day(f"{day.day}/{day.month}/{day.year}", "dmy") == day


@given(st.text(max_size=40))
def test_any_text_gives_a_moment_or_our_own_error(text):
    for read in (parse_day, parse_time, lambda t: parse_moment(t, CHICAGO)):
        try:
            found = read(text)
        except FormatError:
            continue
        assert found is not None
