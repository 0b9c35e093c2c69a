"""The report as canonical JSON, and its fingerprint.

Quantities are text, days are ISO text; the history head stands beside the content, not in it, so
that a later entry about something else leaves the fingerprint as it is.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
from decimal import Decimal
from typing import Any

from farmrecords.history import canon
from farmrecords.report.model import ITEMS, AnnualReport

SCHEMA = "annual-report/1"
NOT_HASHED = ("history",)


def plain(value: Any) -> Any:
    """A value of the content model in the types of canonical JSON."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {part.name: plain(getattr(value, part.name)) for part in dataclasses.fields(value)}
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, dt.datetime):
        return canon.moment_text(value)
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, tuple | list):
        return [plain(item) for item in value]
    return value


def content_of(report: AnnualReport) -> dict[str, Any]:
    """What is hashed: the schema, the paragraphs of the law, and the content."""
    content = plain(report)
    for name in NOT_HASHED:
        del content[name]
    return {"schema": SCHEMA, "items": {key: plain(item) for key, item in ITEMS.items()}} | content


def report_hash(report: AnnualReport) -> str:
    """SHA-256 of the canonical bytes of the content, as 64 hexadecimal digits."""
    return hashlib.sha256(canon.canonical(content_of(report))).hexdigest()


def to_json(report: AnnualReport) -> bytes:
    """The report with its fingerprint and the history head, as canonical JSON."""
    return canon.canonical(
        {
            "report": content_of(report),
            "report_hash": report_hash(report),
            "history": plain(report.history),
        }
    )


def anchor_text(report: AnnualReport) -> str:
    """What the mark on each page carries: log, entry, its hash and the report's fingerprint."""
    head = report.history
    return "|".join([canon.SPEC, head.log, str(head.seq), head.hash, report_hash(report)])
