"""The history of a record as the shared fragment shows it: newest first, before and after."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.book.record_cells import plain
from farmrecords.history.read import FieldChange, history_of
from farmrecords.history.recorded import Recorded
from farmrecords.people.models import Membership, Person

ACTS = {
    "create": gettext_lazy("recorded"),
    "amend": gettext_lazy("amended"),
    "void": gettext_lazy("made void"),
    "restore": gettext_lazy("restored"),
    "grant": gettext_lazy("granted"),
    "plan_version": gettext_lazy("plan version entered"),
    "lock": gettext_lazy("period closed"),
    "import": gettext_lazy("imported"),
}
HIDDEN = {"source_key", "operation", "amount_milli", "amount_kind"}


def lines_of(obj: Recorded, after: int = 0) -> list[dict[str, Any]]:
    """Every entry about the record after a revision, with names, lag and changes in words."""
    entries = [entry for entry in history_of(obj) if entry.rev > after]
    names = Person.objects.in_bulk({entry.actor_id for entry in entries})
    return [_line(obj, entry, names) for entry in reversed(entries)]


def _line(obj: Recorded, entry: Any, names: dict[uuid.UUID, Person]) -> dict[str, Any]:
    who = names.get(entry.actor_id)
    words = str(ACTS.get(entry.act, entry.act))
    role = str(dict(Membership.ROLES).get(entry.role, entry.role))
    if entry.is_late and entry.lag is not None:
        days = entry.lag.days
        words += " " + _("(%(days)d days after the work)") % {"days": days}
    elif entry.is_claimed_ahead:
        words += " " + _("(said to be of a later moment than it was recorded)")
    return {
        "words": words,
        "at": entry.at,
        "who": f"{who}, {role}" if who else role,
        "entry": entry.seq,
        "reason": entry.reason_text,
        "changes": [
            {
                "name": change.label,
                "before": _shown(obj, change, change.before),
                "after": _shown(obj, change, change.after),
            }
            for change in entry.changes
            if change.path.rsplit("/", 1)[-1] not in HIDDEN
        ]
        if entry.act != "create"
        else [],
    }


def _shown(obj: Recorded, change: FieldChange, value: Any) -> str | None:
    """A value in words: the name behind a link, the word behind a choice."""
    if value is None or value == "":
        return None
    column = _column(obj, change.path)
    if isinstance(column, models.ForeignKey):
        found = column.related_model._default_manager.filter(pk=value).first()
        return str(found) if found else str(value)
    if column is not None and column.choices:
        return str(dict(column.flatchoices).get(value, value))
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, dict) or (isinstance(value, list) and not _all_words(value)):
        return plain(value)
    if isinstance(value, list):
        return ", ".join(str(item).replace("_", " ") for item in value)
    return str(value)


def _all_words(value: list[Any]) -> bool:
    return all(isinstance(item, str) for item in value)


def _column(obj: Recorded, path: str) -> Any:
    steps = path.strip("/").split("/")
    model: Any = type(obj)
    if len(steps) == 3:
        model = getattr(type(obj), steps[0]).rel.related_model
    return next((f for f in model._meta.concrete_fields if f.name == steps[-1]), None)
