"""Calendar spans: the last day inside so many days, months or years from a day."""

from __future__ import annotations

import datetime as dt
from calendar import monthrange

MONTHS = {"month": 1, "year": 12}


def last_day_of_span(start: dt.date, count: int, unit: str) -> dt.date:
    """Return the last day inside a span of so many days, months or years from a day.

    Months and years are calendar ones: twelve months after 2 May is 2 May, and that day is inside.
    A span that would end on a day its month lacks ends on the last of the month. Raises ValueError
    for another unit.

    >>> last_day_of_span(dt.date(2024, 5, 2), 12, "month")
    datetime.date(2025, 5, 2)
    >>> last_day_of_span(dt.date(2024, 2, 29), 1, "year")
    datetime.date(2025, 2, 28)
    """
    if unit == "day":
        return start + dt.timedelta(days=count)
    if unit not in MONTHS:
        raise ValueError(f"{unit!r} is no unit of a span: use day, month or year.")
    months = start.year * 12 + start.month - 1 + count * MONTHS[unit]
    year, month = divmod(months, 12)
    return dt.date(year, month + 1, min(start.day, monthrange(year, month + 1)[1]))
