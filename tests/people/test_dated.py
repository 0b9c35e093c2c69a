"""A dated fact holds from its first to its last day, both inside."""

import datetime as dt

import pytest

from farmrecords.people.models import Permit

FIRST, LAST = dt.date(2026, 3, 1), dt.date(2026, 3, 31)
DAY = dt.timedelta(days=1)


@pytest.mark.parametrize(
    ("on", "holds"),
    [(FIRST - DAY, False), (FIRST, True), (LAST, True), (LAST + DAY, False)],
)
def test_a_fact_holds_on_its_days(on, holds):
    assert Permit(from_on=FIRST, to_on=LAST).holds_on(on) is holds


def test_without_a_last_day_it_still_holds():
    assert Permit(from_on=FIRST).holds_on(dt.date(2099, 1, 1))
