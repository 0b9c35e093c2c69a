"""Derived indexes of findings for lists, and the confirmations of rules against official texts."""

from __future__ import annotations

import datetime as dt

from django.db import models
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.models import Field
from farmrecords.history.kinds import Derived
from farmrecords.history.recorded import Recorded
from farmrecords.loads.models import Load
from farmrecords.people.models import Operation

__all__ = ["FindingIndex", "Judged", "RuleConfirmation"]

OUTCOMES = [
    ("met", _("met")),
    ("not_met", _("not met")),
    ("cannot_tell", _("cannot tell")),
    ("notice", _("notice")),
]


class JudgedQuerySet(models.QuerySet["Judged"]):
    """Named questions about what was judged."""

    def behind(self, now: dt.datetime) -> JudgedQuerySet:
        """What must be judged again: something changed, or a moment it waited for is over."""
        return self.filter(models.Q(stale=True) | models.Q(again_at__lte=now))

    def fresh(self, now: dt.datetime, fingerprint: str) -> JudgedQuerySet:
        """What still says what a judgement of now would say, under the same rulebook."""
        waits = models.Q(again_at__isnull=True) | models.Q(again_at__gt=now)
        return self.filter(waits, stale=False, fingerprint=fingerprint)


class Judged(Derived):
    """One load or field-year whose findings are indexed, and whether they are still fresh."""

    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="judged")
    load = models.OneToOneField(
        Load, on_delete=models.CASCADE, related_name="judged", null=True, blank=True
    )
    field = models.ForeignKey(
        Field, on_delete=models.CASCADE, related_name="judged", null=True, blank=True
    )
    crop_year = models.PositiveSmallIntegerField(null=True, blank=True)
    day = models.DateField()
    fingerprint = models.CharField(max_length=64)
    stale = models.BooleanField(default=False)
    # When time alone may change what was found: a window of the weather is over by then.
    again_at = models.DateTimeField(null=True, blank=True)

    objects = JudgedQuerySet.as_manager()  # type: ignore[assignment,misc]

    class Meta:
        indexes = [models.Index(fields=["operation", "stale"], name="judged_stale")]
        constraints = [
            models.CheckConstraint(
                name="judged_one_subject",
                condition=models.Q(load__isnull=False, field__isnull=True)
                | models.Q(load__isnull=True, field__isnull=False, crop_year__isnull=False),
            ),
            models.UniqueConstraint(name="judged_field_year_once", fields=["field", "crop_year"]),
        ]


class FindingIndex(Derived):
    """Outcome of one rule for one judged record. Lists read it; pages and reports judge afresh."""

    judged = models.ForeignKey(Judged, on_delete=models.CASCADE, related_name="findings")
    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="+")
    load = models.ForeignKey(
        Load, on_delete=models.CASCADE, related_name="finding_rows", null=True, blank=True
    )
    field = models.ForeignKey(
        Field, on_delete=models.CASCADE, related_name="finding_rows", null=True, blank=True
    )
    crop_year = models.PositiveSmallIntegerField(null=True, blank=True)
    day = models.DateField()
    rule_id = models.CharField(max_length=60)
    title = models.CharField(max_length=200)
    outcome = models.CharField(max_length=12, choices=OUTCOMES)
    standing = models.CharField(max_length=12)
    missing = models.JSONField(default=list)

    class Meta:
        indexes = [
            models.Index(fields=["operation", "day", "outcome"], name="finding_by_day"),
            models.Index(fields=["operation", "rule_id"], name="finding_by_rule"),
        ]


class RuleConfirmation(Recorded):
    """Somebody held a rule against the official text; lapses when the rule's text changes."""

    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="rule_confirmations"
    )
    rule_id = models.CharField(_("rule"), max_length=60)
    rule_fingerprint = models.CharField(max_length=64)
    document = models.CharField(_("official text"), max_length=250)
    confirmed_on = models.DateField(_("day"))
    confirmed_by = models.CharField(_("by"), max_length=120)

    class History:
        name = "rule_confirmation"
        operation = "operation"
        day = None

    class Meta(Recorded.Meta):
        ordering = ["rule_id"]
