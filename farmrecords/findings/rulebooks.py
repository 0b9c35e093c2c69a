"""The rulebook in use, its fingerprint in the log, and rules confirmed by people."""

from __future__ import annotations

import functools
from collections.abc import Collection

from farmrecords.findings.models import RuleConfirmation
from farmrecords.history import write
from farmrecords.history.models import Entry
from farmrecords.people.models import Operation
from farmrecords.rules.rulebook import Rulebook, read_rulebook


@functools.cache
def rulebook() -> Rulebook:
    """The packaged rulebook, read once a process."""
    return read_rulebook()


def confirmed_rules(operation: Operation) -> Collection[str]:
    """Fingerprints of rules that somebody of the operation held against the official text."""
    return frozenset(
        RuleConfirmation.objects.filter(operation=operation, voided=False).values_list(
            "rule_fingerprint", flat=True
        )
    )


def note_rulebook(operation: Operation) -> bool:
    """Add one log entry when the rulebook in use differs from the last one noted."""
    fingerprint = rulebook().fingerprint
    last = (
        Entry.objects.filter(log=operation.log, act="rule_version")
        .select_related("body")
        .order_by("-seq")
        .first()
    )
    if last is not None and fingerprint in (last.body.text or ""):
        return False
    with write.change(by=write.SYSTEM, channel="system") as change:
        change.event(
            "rule_version",
            log=operation.log,
            obj_type="rulebook",
            obj_id=operation.pk,
            body={"fingerprint": fingerprint},
        )
    return True
