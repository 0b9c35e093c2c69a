"""Statements that there is none of something."""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.kinds import (
    SUBJECTS_OF_NONE,
)
from farmrecords.farm.models.land import Field
from farmrecords.farm.models.yard import Storage
from farmrecords.history.recorded import Recorded
from farmrecords.people.models import Operation, Person


class StatementOfNone(Recorded):
    """A statement that there is, or was, none of something: who looked, when and how."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="statements")
    subject = models.CharField(_("none of what"), max_length=40, choices=SUBJECTS_OF_NONE)
    field = models.ForeignKey(
        Field, on_delete=models.PROTECT, related_name="statements", null=True, blank=True
    )
    storage = models.ForeignKey(
        Storage, on_delete=models.PROTECT, related_name="statements", null=True, blank=True
    )
    from_on = models.DateField(_("from"), null=True, blank=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    stated_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    stated_on = models.DateField(_("stated on"))
    looked_how = models.CharField(_("how it was looked for"), max_length=250)

    class History:
        name = "statement_of_none"
        operation = "operation"
        day = "stated_on"

    class Meta(Recorded.Meta):
        constraints = [
            models.CheckConstraint(
                name="statement_days_in_order",
                condition=Q(to_on__isnull=True)
                | Q(from_on__isnull=True)
                | Q(to_on__gte=F("from_on")),
            )
        ]

    def clean(self) -> None:
        super().clean()
        if not self.looked_how.strip():
            raise ValidationError({"looked_how": _("Say how it was looked for, in a few words.")})

    def covers(self, first: dt.date, last: dt.date) -> bool:
        """Whether it says something about every day of the span.

        Without a first day it reaches back as far as asked; without a last day it reaches up to
        the day it was stated, for nobody has looked at what came later.
        """
        begins = self.from_on is None or self.from_on <= first
        return begins and (self.to_on or self.stated_on) >= last
