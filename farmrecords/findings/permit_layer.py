"""The permit's own conditions as rules: the rulebook and the stack of one operation."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from typing import Any

from farmrecords.findings.rulebooks import rulebook
from farmrecords.people.models import Operation
from farmrecords.plan.models import PermitCondition
from farmrecords.rules.rulebook import Rulebook

MOST_KEPT = 64
_kept: dict[tuple[str, tuple[tuple[str, str], ...]], Rulebook] = {}


def own_rules(operation: Operation) -> list[PermitCondition]:
    """The permit conditions of the operation that are rules of their own, void ones left out."""
    rows = PermitCondition.objects.filter(operation=operation, voided=False)
    return [row for row in rows.order_by("from_on", "pk") if row.is_own_rule]


def rulebook_of(operation: Operation) -> Rulebook:
    """The rulebook in use, joined by the operation's permit conditions."""
    return joined(own_rules(operation))


def joined(conditions: Iterable[PermitCondition], base: Rulebook | None = None) -> Rulebook:
    """A rulebook with the conditions as further rules; itself where there are none.

    Kept by fingerprint and texts, so that what its rules remember is not lost.
    """
    base = base or rulebook()
    made = [row.rules() for row in conditions if row.is_own_rule]
    if not made:
        return base
    key = (base.fingerprint, tuple((section.path, section.text) for section, _rules in made))
    found = _kept.get(key)
    if found is None:
        if len(_kept) >= MOST_KEPT:
            _kept.clear()
        rules = [rule for _section, some in made for rule in some]
        found = base.with_rules(rules, [section for section, _rules in made])
        _kept[key] = found
    return found


def layers(conditions: Sequence[PermitCondition], field_id: Any, on: dt.date) -> tuple[str, ...]:
    """The names by which the conditions in force on the day join the stack of a field."""
    return tuple(
        row.layer
        for row in conditions
        if row.is_own_rule and row.field_id in (None, field_id) and row.holds_on(on)
    )
