"""Age: from one day to another not more than so many days, months or years.

Months and years are calendar ones: twelve months after 2 May is 2 May, and that day is
inside, unless the rule asks for less than the span. A span that would end on 29 February ends
on the 28th in a common year.
"""

from datetime import date, datetime
from decimal import Decimal

from farmrecords.calculations.spans import last_day_of_span
from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.facts import UNKNOWN, Facts, Value
from farmrecords.rules.findings import Comparison
from farmrecords.rules.model import RuleOnDay, Verdict
from farmrecords.rules.values import DatedValue


def _day(value: Value) -> date | None:
    if isinstance(value, datetime):
        return value.date()
    return value if isinstance(value, date) else None


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Met if the later day lies inside the span; the earlier day may not lie after it."""
    keys = standing.rule.keys
    comparator = keys["comparator"] or "at_most"
    earlier, later = facts.get(keys["since"]), facts.get(keys["until_day"])
    cells, settled = standing.possible(keys["at_most"], facts.get)
    start, end = _day(earlier), _day(later)
    missing = [name for name in (keys["since"], keys["until_day"]) if facts.get(name) is UNKNOWN]
    if start is None or end is None or not cells:
        return Verdict(None, "cannot_tell", {}, (), tuple(missing) or ("rule.number",))
    if start > end:
        compared = (Comparison(standing.rule.title, start, "at_most", end),)
        return Verdict(False, "reversed", {"since": start, "until": end}, compared)
    answers = [_inside(start, end, cell, comparator) for cell in cells]
    cell = cells[-1]
    last = last_day_of_span(start, _count(cell), cell.unit)
    compared = (Comparison(standing.rule.title, end, comparator, last),)
    unit = cell.unit if cell.value == 1 else f"{cell.unit}s"
    params = {"since": start, "until": end, "last": last, "span": cell.value, "unit": unit}
    if settled and len(set(answers)) == 1:
        return Verdict(answers[0], "young" if answers[0] else "old", params, compared)
    missing = [name for name in standing.cell_facts(keys["at_most"]) if facts.get(name) is UNKNOWN]
    return Verdict(None, "cannot_tell", params, compared, tuple(missing) or ("rule.number",))


def _count(cell: DatedValue) -> int:
    return int(cell.value) if isinstance(cell.value, Decimal) else 0


def _inside(start: date, end: date, cell: DatedValue, comparator: str) -> bool:
    last = last_day_of_span(start, _count(cell), cell.unit)
    return end < last if comparator == "less_than" else end <= last


CHECK = Check(
    "age",
    {
        "since": Key("fact"),
        "until_day": Key("fact"),
        "at_most": Key("value"),
        "comparator": Key("word", required=False, choices=("at_most", "less_than")),
    },
    decide,
    {
        "young": "{title}: it is of {since}, counts for {span} {unit}, and was still good on "
        "{until}.",
        "old": "{title}: it is of {since} and counts for {span} {unit}, until {last}; this was on "
        "{until}.",
        "reversed": "{title}: {since} lies after {until}.",
    },
)
