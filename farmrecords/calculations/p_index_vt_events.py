"""From what was logged on a field in a crop year to the manure and fertilizer of VT-6.1.

An index made from a plan is no longer right once an application departs from it in rate, month or
method. This turns the events of the log into the index's own words, so that the value can be worked
again beside the planned one.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from .p_index_vt import VtResult, p_index_vt
from .p_index_vt_inputs import (
    NONE,
    NOT_INCORPORATED,
    TABLES,
    ManureForIndex,
    PIndexError,
    VtInputs,
)

INJECTED = "Injected or subsurface banded"
Tool = Literal["none", "moldboard", "chisel", "disk", "injected"]
METHOD = {"moldboard": "Moldboard", "chisel": "Chisel", "disk": "Disk", "injected": INJECTED}
# days up to and including -> class; from two to four days have the class 3 - 4 days
LATER_DAYS = ((4, "3 - 4 days"), (7, "5 - 7 days"), (21, "8 - 21 days"))
HOURS_PER_DAY = 24


@dataclass(frozen=True)
class ManureEvent:
    """One application as logged.

    ``share_of_field`` (0 to 1) is the part of the field it covered: the index works with pounds per
    acre of the whole field. ``hours_to_incorporation`` is None when it was not incorporated;
    ``is_vegetated`` says whether sod or half of a cover crop stood there (asked in April only).
    """

    applied_on: dt.date
    lb_p2o5_per_ac: float
    type: str
    tool: Tool = "none"
    hours_to_incorporation: float | None = None
    is_vegetated: bool = False
    share_of_field: float = 1.0


@dataclass(frozen=True)
class FertilizerEvent:
    """One fertilizer pass as logged, in pounds of P2O5 per acre."""

    applied_on: dt.date
    lb_p2o5_per_ac: float
    tool: Tool = "none"
    is_vegetated: bool = False


@dataclass(frozen=True)
class Recomputed:
    """The index from the plan and from the log, and what departed from the plan."""

    planned: VtResult
    logged: VtResult
    notes: tuple[str, ...]


def time_window(applied_on: dt.date, is_vegetated: bool = False) -> str:
    """Return the window of the index for a day; 15 December lies in the earlier one.

    >>> [time_window(dt.date(2025, 12, day)) for day in (15, 16)]
    ['Oct - Dec 15', 'Dec 15 - March']
    >>> time_window(dt.date(2025, 4, 1)), time_window(dt.date(2025, 4, 30), True)
    ('April - bare', 'April - vegetated')
    """
    month = applied_on.month
    if month == 4:
        return "April - vegetated" if is_vegetated else "April - bare"
    if 5 <= month <= 9:
        return "May - Sept"
    if month in (10, 11) or (month == 12 and applied_on.day <= 15):
        return "Oct - Dec 15"
    return "Dec 15 - March"


def incorporation_class(hours: float | None) -> str:
    """Return the class of time to incorporation; later than 21 days counts as not incorporated.

    Exactly one or two days are no longer below them; two to three days have no class of their own
    and take 3 - 4 days.

    >>> [incorporation_class(hours) for hours in (0, 23, 24, 48, 505, None)]
    ['Immediate', '< 1 day', '< 2 days', '3 - 4 days', 'Not incorporated', 'Not incorporated']
    """
    if hours is None:
        return NOT_INCORPORATED
    if not (math.isfinite(hours) and hours >= 0):
        raise PIndexError(f"{hours} hours to incorporation cannot be; give 0 or more.")
    if hours == 0:
        return "Immediate"
    days = hours / HOURS_PER_DAY
    if days < 2:
        return "< 1 day" if days < 1 else "< 2 days"
    return next((name for top, name in LATER_DAYS if days <= top), NOT_INCORPORATED)


def manure_of(event: ManureEvent) -> ManureForIndex:
    """Return one application in the words of the index.

    Raises PIndexError for a share outside 0 to 1 and for a tool without a time.

    >>> manure_of(ManureEvent(dt.date(2025, 10, 20), 50, "dairy", "moldboard", 20)).incorporation
    '< 1 day'
    """
    if not 0 < event.share_of_field <= 1:
        raise PIndexError(f"A share of {event.share_of_field} of the field is not above 0 to 1.")
    window = time_window(event.applied_on, event.is_vegetated)
    rate = event.lb_p2o5_per_ac * event.share_of_field
    if event.tool == "injected":
        return ManureForIndex(rate, window, INJECTED, "Immediate", event.type)
    incorporated = incorporation_class(event.hours_to_incorporation)
    if incorporated == NOT_INCORPORATED:
        return ManureForIndex(rate, window, NOT_INCORPORATED, NOT_INCORPORATED, event.type)
    if event.tool == "none":
        raise PIndexError(
            f"The application of {event.applied_on} was incorporated, but the tool is missing: "
            "moldboard, chisel or disk?"
        )
    return ManureForIndex(rate, window, METHOD[event.tool], incorporated, event.type)


def fertilizer_code(event: FertilizerEvent) -> str:
    """Return the fertilizer code of one pass.

    >>> fertilizer_code(FertilizerEvent(dt.date(2025, 5, 10), 30, "chisel"))
    'Incorporated chisel'
    """
    if event.tool == "injected":
        return INJECTED
    if event.tool == "none":
        return f"Surface {time_window(event.applied_on, event.is_vegetated)}"
    return f"Incorporated {event.tool}"


def manure_inputs(events: Sequence[ManureEvent]) -> tuple[ManureForIndex, ...]:
    """Return the year's applications; those alike in time, method and kind are one application.

    Raises PIndexError where more than three unlike ones remain: the index has no place for them.

    >>> day = dt.date(2025, 5, 3)
    >>> alike = [ManureEvent(day, 20, "dairy"), ManureEvent(day, 15, "dairy")]
    >>> [one.rate_lb_p2o5_per_ac for one in manure_inputs(alike)]
    [35.0]
    """
    together: dict[tuple[str, str, str, str], float] = {}
    for event in events:
        one = manure_of(event)
        if one.rate_lb_p2o5_per_ac > 0:
            key = (one.time, one.method, one.incorporation, one.type)
            together[key] = together.get(key, 0.0) + one.rate_lb_p2o5_per_ac
    if len(together) > 3:
        raise PIndexError(
            f"The log holds {len(together)} unlike applications; the index takes three. Split the "
            "field, or let the planner say which belong together."
        )
    return tuple(ManureForIndex(rate, *words) for words, rate in together.items())


def recomputed(
    planned: VtInputs,
    manure: Sequence[ManureEvent],
    fertilizer: Sequence[FertilizerEvent] = (),
) -> Recomputed:
    """Return the index of the plan beside the index of what was logged.

    Soil, erosion, crop and distances stay those of the plan; manure and fertilizer come from the
    log. Fertilizer passes of unlike codes are put under the one with the largest factor (stricter),
    and a note says so. Raises PIndexError as :func:`manure_inputs` does.

    >>> plan = VtInputs("NW", "<600 ft", 0.5, 0, 0.5, "Other (B, non-clay)", "0-20%",
    ...                 "corn and other row crops", 0)
    >>> found = recomputed(plan, [], [FertilizerEvent(dt.date(2025, 4, 10), 50)])
    >>> round(found.planned.index, 4), round(found.logged.index, 4)  # VT-L and VT-M
    (9.0081, 37.1681)
    """
    made = [event for event in fertilizer if event.lb_p2o5_per_ac > 0]
    codes = sorted({fertilizer_code(event) for event in made})
    code = max(codes, key=lambda name: float(TABLES["fertilizer_code"][name]), default=NONE)
    notes = []
    if len(codes) > 1:
        notes.append(
            f"Fertilizer was put on in several ways ({'; '.join(codes)}); all of it is counted "
            f"under {code}, the one that loses most."
        )
    inputs = replace(
        planned,
        manure=manure_inputs(manure),
        fertilizer_lb_p2o5_per_ac=sum(event.lb_p2o5_per_ac for event in made),
        fertilizer_code=code,
    )
    for name in ("manure", "fertilizer_lb_p2o5_per_ac", "fertilizer_code"):
        if getattr(inputs, name) != getattr(planned, name):
            notes.append(f"{name.replace('_', ' ')} differs from the plan.")
    return Recomputed(p_index_vt(planned), p_index_vt(inputs), tuple(notes))
