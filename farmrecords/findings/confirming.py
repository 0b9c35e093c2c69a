"""Rules read in a secondary source, held by a person against the official text."""

from __future__ import annotations

import datetime as dt

from farmrecords.findings.models import RuleConfirmation
from farmrecords.people.access import Seat
from farmrecords.people.models import Operation
from farmrecords.rules.model import Rule


def is_to_confirm(rule: Rule) -> bool:
    """Whether the rule rests on a secondary source, so that a person may confirm it.

    A rule from memory has no text to hold against anything; one that was read needs nobody.
    """
    return "secondary" in {rule.status, *(value.status for value in rule.values)}


def new_confirmation(seat: Seat, rule: Rule, document: str, on: dt.date) -> RuleConfirmation:
    """The record that the person held the rule's present text against the document."""
    return RuleConfirmation(
        operation=seat.operation,
        rule_id=rule.id,
        rule_fingerprint=rule.fingerprint,
        document=document,
        confirmed_on=on,
        confirmed_by=f"{seat.person}, {seat.role_words}"[:120],
    )


def confirmations_of(operation: Operation, rule: Rule) -> list[tuple[RuleConfirmation, str]]:
    """Every confirmation of the rule, newest first, and whether it stands, lapsed or is void."""
    rows = RuleConfirmation.objects.filter(operation=operation, rule_id=rule.id)
    return [(row, _state(row, rule)) for row in rows.order_by("-confirmed_on", "-recorded_at")]


def _state(row: RuleConfirmation, rule: Rule) -> str:
    if row.voided:
        return "void"
    return "stands" if row.rule_fingerprint == rule.fingerprint else "lapsed"
