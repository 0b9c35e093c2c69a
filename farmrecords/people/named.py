"""A person whom a record names has, or once had, a part in the operation of the record."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from farmrecords.history import write
from farmrecords.history.recorded import declaration
from farmrecords.people.models import Membership, Person


@write.before_writing
def refuse_strangers(ready: write.Ready) -> None:
    """Refuse a person of no membership here, in the words for one who does not exist."""
    row = ready.row
    named = [field for field in row._meta.concrete_fields if field.related_model is Person]
    if not named:
        return
    known = _known(ready.change, declaration(row).operation_of(row).log_id)
    if isinstance(row, Membership):
        known.add(row.person_id)
        return
    for field in named:
        person: Any = getattr(row, field.attname)
        stood = ready.stored is not None and getattr(ready.stored, field.attname) == person
        if person is not None and not stood and person not in known:
            raise ValidationError(
                {
                    field.name: _("There is no %(kind)s with the number %(key)s.")
                    % {"kind": Person._meta.verbose_name, "key": person}
                }
            )


def _known(change: write.Change, log_id: UUID) -> set[UUID]:
    """The people who ever had a part in the operation of the log; looked up once in a change."""
    key = ("people", log_id)
    if key not in change.memo:
        rows = Membership.objects.filter(operation__log=log_id).order_by()
        change.memo[key] = set(rows.values_list("person", flat=True))
    found: set[UUID] = change.memo[key]
    return found
