"""The chain: one log per operation, its entries and their bodies, and the files they rest on.

Entries and bodies are written by `history.write` alone and never change; the database itself
refuses it (migration 0002_log_guards).
"""

import uuid
from datetime import datetime
from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _

from farmrecords.history.canon import moment_text
from farmrecords.history.kinds import Chain

__all__ = ["Body", "Entry", "KeptFile", "Log"]


class Log(Chain):
    """The head of one operation's chain; locked while an entry is added."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    label = models.CharField(_("label"), max_length=200)
    head_seq = models.BigIntegerField(_("head number"), default=-1)
    head_hash = models.CharField(_("head hash"), max_length=64, default="0" * 64)
    head_at = models.DateTimeField(_("head moment"), null=True)

    class Meta:
        verbose_name = _("history")
        verbose_name_plural = _("histories")

    def __str__(self) -> str:
        return f"{self.label} ({str(self.id)[:8]})"


class Entry(Chain):
    """One event: the hashed header, column by column. It holds no personal text."""

    log = models.ForeignKey(Log, on_delete=models.PROTECT, related_name="entries")
    seq = models.BigIntegerField(_("number"))
    prev = models.CharField(_("hash of the entry before"), max_length=64)
    hash = models.CharField(_("hash"), max_length=64)
    at = models.DateTimeField(_("recorded at"))
    claimed_at = models.DateTimeField(_("claimed at"), null=True)
    actor = models.CharField(_("who"), max_length=40)
    role = models.CharField(_("role"), max_length=20)
    chan = models.CharField(_("way in"), max_length=20)
    client_op = models.UUIDField(_("sender's own number"), null=True)
    act = models.CharField(_("event"), max_length=20)
    obj_type = models.CharField(_("kind of record"), max_length=40)
    obj_id = models.UUIDField(_("record"))
    obj_rev = models.PositiveIntegerField(_("revision"))
    body_hash = models.CharField(_("hash of the body"), max_length=64)

    class Meta:
        verbose_name = _("history entry")
        verbose_name_plural = _("history entries")
        constraints = [
            models.UniqueConstraint(fields=["log", "seq"], name="entry_number_once"),
            models.UniqueConstraint(
                fields=["log", "client_op"],
                condition=models.Q(client_op__isnull=False),
                name="entry_client_op_once",
            ),
            models.CheckConstraint(condition=models.Q(seq__gte=0), name="entry_number_positive"),
        ]
        indexes = [
            models.Index(fields=["obj_type", "obj_id", "obj_rev"], name="entry_of_record"),
            models.Index(fields=["log", "at"], name="entry_by_moment"),
        ]

    def __str__(self) -> str:
        return f"{self.seq} {self.act} {self.obj_type}"

    def header(self) -> dict[str, Any]:
        """The header exactly as it was hashed."""
        return header_of(
            self.log_id, self.seq, self.prev, self.at, self.claimed_at, self.actor, self.role,
            self.chan, self.client_op, self.act, self.obj_type, self.obj_id, self.obj_rev,
            self.body_hash,
        )  # fmt: skip


HEADER_COLUMNS = (
    "log_id", "seq", "prev", "at", "claimed_at", "actor", "role", "chan", "client_op", "act",
    "obj_type", "obj_id", "obj_rev", "body_hash",
)  # fmt: skip


def header_of(
    log_id: uuid.UUID, seq: int, prev: str, at: datetime, claimed_at: datetime | None,
    actor: str, role: str, chan: str, client_op: uuid.UUID | None, act: str,
    obj_type: str, obj_id: uuid.UUID, obj_rev: int, body_hash: str,
) -> dict[str, Any]:  # fmt: skip
    """The header of an entry from its columns, in the order of HEADER_COLUMNS."""
    return {
        "v": 1,
        "log": str(log_id),
        "seq": seq,
        "prev": prev,
        "at": moment_text(at),
        "claimed_at": None if claimed_at is None else moment_text(claimed_at),
        "actor": actor,
        "role": role,
        "chan": chan,
        "client_op": None if client_op is None else str(client_op),
        "act": act,
        "obj": {"type": obj_type, "id": str(obj_id), "rev": obj_rev},
        "body": body_hash,
    }


class Body(Chain):
    """What an entry says. Salt and text may be destroyed under law (redaction), nothing else."""

    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, related_name="body", primary_key=True
    )
    salt = models.CharField(_("salt"), max_length=32, null=True)
    text = models.TextField(_("canonical text"), null=True)

    class Meta:
        verbose_name = _("body of a history entry")
        verbose_name_plural = _("bodies of history entries")

    def __str__(self) -> str:
        return f"body of entry {self.entry_id}"


class KeptFile(Chain):
    """A file as it came in, found again by the SHA-256 of its bytes (see `history.files`).

    Two operations may bring the same bytes and share this row: the name to show to people belongs
    on the record that refers to it.
    """

    sha256 = models.CharField(_("SHA-256"), max_length=64, primary_key=True)
    size = models.BigIntegerField(_("bytes"))
    media_type = models.CharField(_("kind of file"), max_length=100)
    original_name = models.CharField(_("name when it first came"), max_length=255)
    kept_at = models.DateTimeField(_("kept at"))

    class Meta:
        verbose_name = _("kept file")
        verbose_name_plural = _("kept files")

    def __str__(self) -> str:
        return f"{self.original_name} ({self.sha256[:8]})"
