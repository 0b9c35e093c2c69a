"""Forecasts as they were seen: the one a decision rests on, and who may look at them."""

from __future__ import annotations

import datetime as dt

from django.db.models import Q

from farmrecords.measurements.models import Forecast
from farmrecords.people.access import Seat, records, register_crew_view

CREW_LOOKS_BACK = dt.timedelta(days=14)

register_crew_view(
    Forecast, lambda seat: Q(seen_on__gte=seat.today - CREW_LOOKS_BACK, voided=False)
)


def seen_before(seat: Seat, moment: dt.datetime, within: dt.timedelta) -> Forecast | None:
    """The last forecast seen so long before the moment at most, of those the seat may see."""
    rows = records(seat, Forecast).filter(
        voided=False, seen_at__lte=moment, seen_at__gte=moment - within
    )
    found: Forecast | None = rows.order_by("-seen_at").first()
    return found


def last_seen(seat: Seat, count: int) -> list[Forecast]:
    """The forecasts kept last, of those the seat may see."""
    return list(records(seat, Forecast).filter(voided=False).order_by("-seen_at")[:count])
