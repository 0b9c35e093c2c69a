"""How much of a crop year a seat sees: all of it, up to a granted day, or nothing.

A crop year runs from the first September before its harvest to the December of its harvest. Totals
of a granted period rest on what the crop year received before it, and stop at its last day.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from farmrecords.loads.limits import crop_year_days
from farmrecords.people.access import BY_PERIOD, Seat


@dataclass(frozen=True)
class Shown:
    """What of a crop year is shown: up to `until`, or all of it when that is None."""

    crop_year: int
    until: dt.date | None = None

    def day(self, today: dt.date) -> dt.date:
        """The day that dated facts of the year are asked for."""
        return today if self.until is None else min(today, self.until)


def shown_year(seat: Seat, crop_year: int) -> Shown | None:
    """What the seat sees of the crop year, or None when no granted day lies in it."""
    if seat.role not in BY_PERIOD:
        return Shown(crop_year)
    if not dt.MINYEAR < crop_year <= dt.MAXYEAR:
        return None
    first, last = crop_year_days(crop_year)
    ends = [min(b, last) for a, b in seat.periods if a <= last and b >= first]
    if not ends:
        return None
    until = max(ends)
    return Shown(crop_year, None if until == last else until)


def latest_year(seat: Seat) -> Shown | None:
    """The crop year of today, or the latest one that the grant reaches."""
    if seat.role not in BY_PERIOD:
        return Shown(seat.today.year)
    last = max((min(b, seat.today) for a, b in seat.periods if a <= seat.today), default=None)
    return None if last is None else shown_year(seat, last.year)
