"""Rounds on the calendar: days and weeks without a look, longest gaps, begun months.

Federal rules ask for a look each day or each week (40 CFR 412.37(a)(1)) without saying what a week
is, so both views stand here: calendar weeks from Monday to Sunday, and days from look to look.
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections.abc import Collection
from decimal import Decimal

from farmrecords.calculations.spans import last_day_of_span

WEEK = dt.timedelta(days=7)
DAY = dt.timedelta(days=1)


def _checked(first: dt.date, last: dt.date) -> None:
    if last < first:
        raise ValueError(f"The last day {last} lies before the first day {first}; swap them.")


def weeks_without(looks: Collection[dt.date], first: dt.date, last: dt.date) -> int:
    """Return how many calendar weeks, Monday to Sunday, within both days have no look.

    A week that lies only partly between the days is not counted. Raises ValueError if the last day
    lies before the first. Source: 40 CFR 412.37(a)(1), "weekly", read as calendar weeks.

    >>> looks = [dt.date(2025, 3, 3), dt.date(2025, 3, 10), dt.date(2025, 3, 25)]
    >>> weeks_without(looks, dt.date(2025, 3, 3), dt.date(2025, 3, 30))
    1
    """
    _checked(first, last)
    monday = first + dt.timedelta(days=-first.weekday() % 7)
    missed = 0
    while monday + WEEK - DAY <= last:
        missed += not any(monday <= day < monday + WEEK for day in looks)
        monday += WEEK
    return missed


def longest_gap_days(looks: Collection[dt.date], first: dt.date, last: dt.date) -> int:
    """Return the most days from one look to the next, whole days, 0 or more.

    The span begins with the last look on or before the first day (else with that day) and ends
    with the last day. Raises ValueError if the last day lies before the first. Source: 40 CFR
    412.37(a)(1), "weekly", read as days from look to look.

    >>> looks = [dt.date(2025, 3, day) for day in (3, 10, 17, 25)]
    >>> longest_gap_days(looks, dt.date(2025, 3, 3), dt.date(2025, 3, 25))
    8
    """
    _checked(first, last)
    begun = max((day for day in looks if day <= first), default=first)
    points = [begun, *sorted({day for day in looks if first < day <= last}), last]
    return max((later - earlier).days for earlier, later in itertools.pairwise(points))


def days_without(looks: Collection[dt.date], first: dt.date, last: dt.date) -> int:
    """Return how many days from the first to the last, both included, have no look.

    Raises ValueError if the last day lies before the first. Source: 40 CFR 412.37(a)(1)(ii),
    "daily".

    >>> days_without([dt.date(2025, 3, 3)], dt.date(2025, 3, 3), dt.date(2025, 3, 5))
    2
    """
    _checked(first, last)
    return (last - first).days + 1 - len({day for day in looks if first <= day <= last})


def begun_months(first: dt.date, last: dt.date) -> int:
    """Return the calendar months from one day to another, a begun one counted whole.

    Twelve months after 2 May is 2 May; one day later the thirteenth has begun. Raises ValueError
    if the last day lies before the first.

    >>> begun_months(dt.date(2024, 5, 2), dt.date(2025, 5, 2))
    12
    >>> begun_months(dt.date(2024, 5, 2), dt.date(2025, 5, 3))
    13
    """
    _checked(first, last)
    months = 12 * (last.year - first.year) + last.month - first.month
    while last_day_of_span(first, months, "month") < last:
        months += 1
    while months > 0 and last_day_of_span(first, months - 1, "month") >= last:
        months -= 1
    return months


def hours_between(first: dt.datetime, last: dt.datetime) -> Decimal:
    """Return the hours from one moment to a later one, whole seconds kept; 0 or more.

    Raises ValueError if the last moment lies before the first.

    >>> day = dt.datetime(2025, 3, 3, 10, 45)
    >>> hours_between(day, dt.datetime(2025, 3, 3, 12, 15))
    Decimal('1.5')
    """
    if last < first:
        raise ValueError(f"{last} lies before {first}; swap them.")
    return Decimal(round((last - first).total_seconds())) / 3600


def freeboard_ft(depth_ft: float, level_ft: float) -> float:
    """Return the feet from the level to the top of the storage; below 0 where it stands over.

    Raises ValueError for a depth of 0 or less or a level below 0. Source: definition.

    >>> freeboard_ft(12.0, 10.5)
    1.5
    """
    if not (0 < depth_ft < math.inf and 0 <= level_ft < math.inf):
        raise ValueError(f"Depth {depth_ft} ft, level {level_ft} ft: give more than 0, 0 or more.")
    return depth_ft - level_ft
