"""Deadline: filed on or before the day of the year that follows the end of a period."""

from datetime import date

from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.facts import UNKNOWN, Facts
from farmrecords.rules.findings import Comparison
from farmrecords.rules.model import Rule, RuleOnDay, Verdict
from farmrecords.rules.values import Window


def due_after(period_end: date, window: Window) -> date:
    """The first such day of the year after the period's last day.

    >>> due_after(date(2024, 12, 31), Window((3, 1), (3, 1)))
    datetime.date(2025, 3, 1)
    """
    month, day = window.last
    due = date(period_end.year, month, day)
    return due if due > period_end else date(period_end.year + 1, month, day)


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Met if filed in time; not met if filed late or still not filed after the day.

    Not filed and asked on or before the day is a notice: it is still to come.
    """
    keys = standing.rule.keys
    window = standing.plain[keys["due"]].value
    end, filed, asked = (facts.get(keys[name]) for name in ("period_end", "filed", "asked"))
    if not isinstance(end, date) or not isinstance(window, Window):
        return Verdict(None, "cannot_tell", {}, (), (keys["period_end"],))
    due = due_after(end, window)
    params = {"due": due, "filed": filed, "end": end}
    if isinstance(filed, date):
        compared = (Comparison("filed", filed, "at_most", due),)
        return Verdict(filed <= due, "in_time" if filed <= due else "late", params, compared)
    compared = (Comparison("filed", None, "at_most", due),)
    if isinstance(asked, date) and asked <= due:
        return Verdict(False, "to_come", params, compared, soft=True)
    missing = tuple(n for n in (keys["filed"], keys["asked"]) if facts.get(n) is UNKNOWN)
    return Verdict(None, "cannot_tell", params, compared, missing)


def complaints(rule: Rule) -> list[str]:
    """A due day that is more than one day, or the end of a month."""
    return [
        f"the value {value.name!r} must be one day"
        for value in rule.values
        if value.name == rule.keys["due"]
        and not (isinstance(value.value, Window) and value.value.first == value.value.last)
    ]


CHECK = Check(
    "deadline",
    {
        "period_end": Key("fact"),
        "filed": Key("fact"),
        "asked": Key("fact"),
        "due": Key("value"),
    },
    decide,
    {
        "in_time": "{title}: filed on {filed}; due on {due}.",
        "late": "{title}: filed on {filed}, after the due day {due}.",
        "to_come": "{title}: due on {due}, not filed yet.",
        "cannot_tell": "{title}: due on {due}; no filing is on record.",
    },
    complaints=complaints,
)
