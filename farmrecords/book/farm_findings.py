"""Findings of storages, transfers and the operation's year as the pages of the book show them.

They are judged when a page is opened, for the operation's year as far as the seat may see it.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from farmrecords.farm.models import Storage
from farmrecords.findings.farm_judging import FarmJudge, Told, of_farm, year_of
from farmrecords.loads.models import Transfer
from farmrecords.people.access import Seat
from farmrecords.rules.findings import Finding


def judge_for(seat: Seat, on: dt.date | None = None) -> FarmJudge | None:
    """Who judges the year of the day (else of today); None where the seat sees no day of it."""
    if not seat.may("see_whole_log"):
        return None
    period = seat.narrowed_period(*year_of(seat.operation, on or seat.today))
    return of_farm(seat.operation, *period) if period else None


def of_storage(seat: Seat, storage: Storage) -> dict[str, Any]:
    """The findings of a storage's year and its days, for the page; nothing where none is seen."""
    judge = judge_for(seat)
    return {} if judge is None else _shown(judge, judge.storage(storage))


def of_operation(seat: Seat) -> dict[str, Any]:
    """The findings of the operation's year and its days, for the page."""
    judge = judge_for(seat)
    return {} if judge is None else _shown(judge, judge.operation())


def of_transfer(seat: Seat, transfer: Transfer) -> dict[str, Any]:
    """The findings of one hand-over, for its page; nothing for manure received."""
    judge = judge_for(seat, transfer.moved_on)
    if judge is None or transfer.direction != "out" or transfer.voided:
        return {}
    return _shown(judge, judge.transfer(transfer))


def _shown(judge: FarmJudge, findings: list[Finding]) -> dict[str, Any]:
    period = judge.period
    return {
        "is_judged": True,
        "findings": findings,
        "judged_days": (period.first_on, period.day),
    }


def rows_by_rule(seat: Seat, period: tuple[dt.date, dt.date]) -> list[dict[str, Any]]:
    """A line for each rule and outcome but met: how many, the last day, and the records."""
    judge = of_farm(seat.operation, *period)
    found: dict[tuple[str, ...], dict[str, Any]] = {}
    for told in judge.told():
        one = told.finding
        if one.outcome == "met":
            continue
        line = found.setdefault(
            (told.subject, one.rule_id, one.outcome, one.standing),
            {
                "rule_id": one.rule_id,
                "title": one.title,
                "outcome": one.outcome,
                "standing": one.standing,
                "n": 0,
                "last_on": judge.period.day,
                "subject": told.subject,
                "records": [],
            },
        )
        line["n"] += 1
        line["last_on"] = (
            _day(told, judge) if line["n"] == 1 else max(line["last_on"], _day(told, judge))
        )
        line["records"].append(told.record)
    return sorted(found.values(), key=lambda line: -line["n"])


def _day(told: Told, judge: FarmJudge) -> dt.date:
    day: dt.date = told.record.moved_on if told.subject == "transfer" else judge.period.day
    return day
