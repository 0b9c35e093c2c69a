"""A file that came in: kept by its SHA-256, read without effect, confirmed once or undone."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from farmrecords.history.kinds import Derived
from farmrecords.history.recorded import Recorded
from farmrecords.people.models import Operation, Person

__all__ = ["ColumnMapping", "IncomingFile", "Work"]

STATES = [
    ("read", _("read, not taken over")),
    ("confirmed", _("taken over")),
    ("undone", _("undone")),
]


class IncomingFile(Recorded):
    """One file as it came in, what was found in it, and what became of it."""

    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="incoming_files"
    )
    kind = models.CharField(_("kind of file"), max_length=20)
    name = models.CharField(_("file name"), max_length=200)
    sha256 = models.CharField(_("SHA-256"), max_length=64)
    size = models.PositiveBigIntegerField(_("bytes"))
    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="incoming_files", verbose_name=_("who")
    )
    came_in_at = models.DateTimeField(_("came in"))
    came_in_on = models.DateField(_("day"))
    answers = models.JSONField(_("answers"), default=dict, blank=True)
    report = models.JSONField(_("what was found"), default=dict, blank=True)
    result = models.JSONField(_("what was taken over"), default=dict, blank=True)
    state = models.CharField(_("state"), max_length=10, choices=STATES, default="read")

    class History:
        name = "incoming_file"
        operation = "operation"
        day = "came_in_on"
        waits = False

    class Meta(Recorded.Meta):
        ordering = ["-came_in_at"]
        verbose_name = _("incoming file")
        indexes = [models.Index(fields=["operation", "sha256"], name="incoming_by_sha256")]

    def __str__(self) -> str:
        return self.name


class ColumnMapping(Recorded):
    """How the columns of one kind of list were read, remembered for the next file of its kind."""

    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="column_mappings"
    )
    kind = models.CharField(_("kind of file"), max_length=20)
    headers_key = models.CharField(_("headings, as a key"), max_length=64)
    answers = models.JSONField(_("answers"), default=dict)

    class History:
        name = "column_mapping"
        operation = "operation"
        day = None

    class Meta(Recorded.Meta):
        verbose_name = _("column mapping")
        constraints = [
            models.UniqueConstraint(
                name="column_mapping_once",
                fields=["operation", "kind", "headers_key"],
                condition=models.Q(voided=False),
            )
        ]


WORK_STATES = [
    ("waiting", _("waiting to begin")),
    ("running", _("under way")),
    ("done", _("done")),
    ("failed", _("ended without result")),
]


class Work(Derived):
    """Long work beside the pages and how far it is; thrown away without loss."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="works")
    kind = models.CharField(max_length=20)
    title = models.CharField(max_length=250)
    file = models.ForeignKey(
        IncomingFile, on_delete=models.CASCADE, related_name="works", null=True, blank=True
    )
    state = models.CharField(max_length=10, choices=WORK_STATES, default="waiting")
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    message = models.CharField(max_length=500, blank=True)
    asked_at = models.DateTimeField()

    class Meta:
        ordering = ["-asked_at"]
        indexes = [models.Index(fields=["operation", "kind", "state"], name="work_by_state")]

    @property
    def is_over(self) -> bool:
        """Whether nothing more will happen."""
        return self.state in ("done", "failed")
