"""The forecast a decision rests on, beside the page on which it is made or judged."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import template

from farmrecords.findings.assumptions import span
from farmrecords.history import clock
from farmrecords.measurements.forecasts import seen_before
from farmrecords.people.access import Seat

register = template.Library()


@register.inclusion_tag("book/_forecast_seen.html")
def forecast_seen(seat: Seat, moment: dt.datetime | None = None) -> dict[str, Any]:
    """The last forecast looked at for the moment, or for now, by the span judging takes."""
    within = span("forecast_looked_at_within_h")
    return {
        "forecast": seen_before(seat, moment or clock.now(), within),
        "hours": within // dt.timedelta(hours=1),
        "seat": seat,
        "is_now": moment is None,
        "may_keep": moment is None and seat.may("enter_load"),
    }
