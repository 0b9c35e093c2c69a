"""What the rules may look at for manure handed to a receiver."""

from __future__ import annotations

from typing import Any

from farmrecords.findings.farm_rows import FarmPeriod
from farmrecords.findings.load_facts import operation_facts
from farmrecords.loads.models import Transfer
from farmrecords.rules.facts import Facts


def transfer_facts(period: FarmPeriod, row: Transfer) -> Facts:
    """The facts of one hand-over, by what is written down of it."""
    values: dict[str, Any] = operation_facts(period.around.permit(row.moved_on))
    values |= {
        "transfer.date": "recorded",
        "transfer.receiver": _recorded(row.receiver_name),
        "transfer.address": _recorded(row.receiver_address),
        "transfer.amount": _recorded(row.amount_text),
        "transfer.day": row.moved_on,
        "transfer.analysis_given_on": row.analysis_given_on,
        "transfer.analysis_sampled_on": row.test.sampled_on if row.test else None,
        "transfer.analysis_is_newest": _is_newest(period, row),
        "documents.held": period.papers(),
        "asked.on": period.today,
    }
    return Facts({name: value for name, value in values.items() if value is not None})


def _recorded(text: str) -> str:
    return "recorded" if text.strip() else "not_recorded"


def _is_newest(period: FarmPeriod, row: Transfer) -> bool | None:
    """Whether the analysis is the newest of its source that was known when it was given.

    An analysis of another storage is none of this source; without the storage or the test it
    cannot be told.
    """
    test = row.test
    if test is None or row.storage_id is None:
        return None
    if test.storage_id != row.storage_id:
        return False
    until = min(row.analysis_given_on or row.moved_on, row.moved_on)
    later = [
        other
        for other in period.tests.get(row.storage_id, [])
        if other.sampled_on > test.sampled_on and other.is_known_on(until)
    ]
    return not later
