"""Facts with days: what was in force on a given day.

A new version that *changes* something gets a row of its own with a later first day. A version that
*corrects* a mistake for all its days amends the row; the history keeps what it said before.
"""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmrecords.history.recorded import Recorded, RecordedQuerySet


class DatedQuerySet(RecordedQuerySet):
    """Rows with a first and a last day, both included; no last day means still in force."""

    def in_force(self, on: dt.date) -> DatedQuerySet:
        """Rows in force on the day, newest first day first."""
        return self.filter(
            Q(from_on__lte=on), Q(to_on__isnull=True) | Q(to_on__gte=on), voided=False
        ).order_by("-from_on", "-recorded_at")

    def in_force_between(self, first: dt.date, last: dt.date) -> DatedQuerySet:
        """Rows in force on at least one day of the period."""
        return self.filter(
            Q(from_on__lte=last), Q(to_on__isnull=True) | Q(to_on__gte=first), voided=False
        )

    def the_one_in_force(self, on: dt.date):
        """The row in force on the day with the latest first day, or None."""
        return self.in_force(on).first()


class Dated(Recorded):
    """A recorded fact that holds from a day on, up to and including a last day if there is one."""

    from_on = models.DateField(_("in force from"))
    to_on = models.DateField(_("last day in force"), null=True, blank=True)

    objects = DatedQuerySet.as_manager()  # type: ignore[assignment,misc]

    class Meta(Recorded.Meta):
        abstract = True

    def holds_on(self, on: dt.date) -> bool:
        """Whether the fact is in force on the day; both ends are inside."""
        return self.from_on <= on and (self.to_on is None or on <= self.to_on)

    def clean(self) -> None:
        super().clean()
        if self.to_on and self.from_on and self.to_on < self.from_on:
            raise ValidationError(
                {
                    "to_on": _(
                        "The last day %(to)s is before the first day %(from)s. Enter a later "
                        "last day, or leave it empty while the entry is still in force."
                    )
                    % {"to": self.to_on, "from": self.from_on}
                }
            )


def days_in_order(name: str) -> models.CheckConstraint:
    """A database constraint: the last day, if any, is not before the first."""
    return models.CheckConstraint(
        name=name, condition=Q(to_on__isnull=True) | Q(to_on__gte=F("from_on"))
    )
