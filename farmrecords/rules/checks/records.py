"""Records: what must be written down is written down."""

from collections.abc import Mapping
from datetime import datetime

from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.facts import UNKNOWN, Facts
from farmrecords.rules.findings import Comparison
from farmrecords.rules.model import RuleOnDay, Verdict
from farmrecords.rules.vocabulary import TERMS


def _state(name: str, facts: Facts) -> bool | None:
    """True if it is recorded, False if it is stated not to be, None if nobody knows."""
    value = facts.get(name)
    if value is UNKNOWN:
        return None
    return value not in ("not_recorded", False)


def _not_yet_due(keys: Mapping[str, str], facts: Facts) -> bool:
    """Whether the question is asked before the last record can be there."""
    if not keys["due_at"]:
        return False
    due, asked = facts.get(keys["due_at"]), facts.get("asked.at")
    return isinstance(due, datetime) and isinstance(asked, datetime) and asked < due


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Met if all are recorded; not met if one is stated not to be; cannot tell if unknown.

    A record that cannot be there yet (``late`` before ``due_at``) makes a notice, not a breach.
    """
    keys = standing.rule.keys
    states = {name: _state(name, facts) for name in keys["records"]}
    compared = tuple(
        Comparison(TERMS[name].meaning, None if state is None else state, "is", True)
        for name, state in states.items()
    )
    lacking = [name for name, state in states.items() if state is False]
    unknown = tuple(name for name, state in states.items() if state is None)
    words = "; ".join(TERMS[name].meaning for name in (*lacking, *unknown))
    params = {"records": words}
    if not lacking and not unknown:
        return Verdict(True, "kept", params, compared)
    if _not_yet_due(keys, facts) and {*lacking, *unknown} <= {keys["late"]}:
        params["due"] = str(facts.get(keys["due_at"]))
        return Verdict(False, "open", params, compared, unknown, soft=True)
    if lacking:
        return Verdict(False, "not_kept", params, compared, unknown)
    return Verdict(None, "cannot_tell", params, compared, unknown)


CHECK = Check(
    "records",
    {
        "records": Key("facts"),
        "late": Key("fact", required=False),
        "due_at": Key("fact", required=False),
    },
    decide,
    {
        "kept": "{title}: recorded.",
        "not_kept": "{title}: not recorded: {records}.",
        "open": "{title}: still to be recorded once it is due: {records}.",
        "cannot_tell": "{title}: cannot tell; nothing entered for: {records}.",
    },
    reads=("asked.at",),
)
