"""The rulebook in use, its fingerprint in the log, and rules confirmed by people."""

from __future__ import annotations

import json
from collections.abc import Collection

from farmrecords.findings.models import RuleConfirmation
from farmrecords.history import files, write
from farmrecords.history.models import KeptFile
from farmrecords.history.read import entries_of
from farmrecords.people.models import Operation
from farmrecords.rules.rulebook import Rulebook, packaged_rulebook

ACT = "rule_version"


def rulebook() -> Rulebook:
    """The packaged rulebook, read once a process."""
    return packaged_rulebook()


def confirmed_rules(operation: Operation) -> Collection[str]:
    """Fingerprints of rules that somebody of the operation held against the official text."""
    return frozenset(
        RuleConfirmation.objects.filter(operation=operation, voided=False).values_list(
            "rule_fingerprint", flat=True
        )
    )


def note_rulebook(operation: Operation) -> bool:
    """Add one log entry, with the text kept by its SHA-256, when the rulebook changed."""
    book = rulebook()
    noted = noted_rulebooks(operation)
    if noted and noted[-1][0] == book.fingerprint:
        return False
    kept = files.keep(text_of(book), media_type="application/json", original_name="rulebook.json")
    with write.change(by=write.SYSTEM, channel="system") as change:
        change.event(
            ACT,
            log=operation.log,
            obj_type="rulebook",
            obj_id=operation.pk,
            body={"fingerprint": book.fingerprint, "sha256": kept.sha256},
        )
    return True


def noted_rulebooks(operation: Operation) -> list[tuple[str, str]]:
    """Fingerprint and SHA-256 of the text of every rulebook noted, oldest first."""
    entries = entries_of(operation.log, "rulebook", operation.pk)
    return [(entry.data["fingerprint"], entry.data["sha256"]) for entry in entries]


def text_of(book: Rulebook) -> bytes:
    """Every rule file of a rulebook as one JSON document: path -> text."""
    texts = {section.path: section.text for section in book.sections}
    return json.dumps(texts, sort_keys=True, ensure_ascii=False, indent=0).encode()


def noted_texts(operation: Operation, fingerprint: str) -> dict[str, str] | None:
    """The rule files of a noted rulebook by path, or None when it was never noted here."""
    for known, sha256 in noted_rulebooks(operation):
        if known == fingerprint:
            kept = KeptFile.objects.get(pk=sha256)
            return json.loads(files.read(kept))
    return None
