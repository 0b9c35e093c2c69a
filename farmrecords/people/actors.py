"""Who wrote in a log, held against the memberships: a doubt, never a fault of the chain."""

from __future__ import annotations

import datetime as dt
from uuid import UUID

from farmrecords.history import verify
from farmrecords.history.models import Log
from farmrecords.people.models import Membership

BEFORE_PEOPLE = frozenset({"system"})


@verify.on_actor
def doubt_about(
    log: Log, actor: str, role: str, first_at: dt.datetime, last_at: dt.datetime
) -> str:
    """Why the role used is doubtful: no membership of the person held it in that time."""
    if role in BEFORE_PEOPLE:
        return ""
    held = Membership.objects.filter(
        operation__log=log,
        person=UUID(actor.removeprefix("u:")),
        role=role,
        from_on__lte=last_at.date(),
    )
    if not held.exists():
        return f"no membership of this person holds the role {role} up to {last_at:%Y-%m-%d}"
    ends = [row.to_on for row in held]
    if None not in ends and max(ends) < last_at.date():
        return f"the role {role} ended on {max(ends)}, before the last entry on {last_at:%Y-%m-%d}"
    return ""
