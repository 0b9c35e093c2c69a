"""Calendar spans, at their ends."""

import datetime as dt

import pytest

from farmrecords.calculations.spans import last_day_of_span


@pytest.mark.parametrize(
    ("start", "count", "unit", "last"),
    [
        ((2025, 12, 31), 1, "day", (2026, 1, 1)),
        ((2024, 5, 2), 12, "month", (2025, 5, 2)),
        ((2024, 12, 15), 1, "month", (2025, 1, 15)),
        ((2025, 1, 31), 1, "month", (2025, 2, 28)),
        ((2024, 1, 31), 1, "month", (2024, 2, 29)),
        ((2024, 2, 29), 1, "year", (2025, 2, 28)),
        ((2024, 2, 29), 4, "year", (2028, 2, 29)),
    ],
)
def test_the_last_day_of_a_span(start, count, unit, last):
    assert last_day_of_span(dt.date(*start), count, unit) == dt.date(*last)


def test_another_unit_is_refused():
    with pytest.raises(ValueError, match="'week' is no unit of a span"):
        last_day_of_span(dt.date(2025, 1, 1), 1, "week")
