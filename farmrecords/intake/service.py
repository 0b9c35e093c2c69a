"""A file's way in: read without effect, answered, confirmed at once, undone by voiding."""

from __future__ import annotations

import dataclasses
import json
from functools import lru_cache
from typing import Any

from django.core.exceptions import PermissionDenied
from django.utils.translation import gettext as _

from farmrecords.formats.common import FormatError, Question, Rejected
from farmrecords.history import clock, files, write
from farmrecords.history.models import KeptFile
from farmrecords.history.recorded import declaration
from farmrecords.intake.bounded import Parsed, parse, question_of
from farmrecords.intake.kinds import Kind, Summary, kind_named
from farmrecords.intake.models import ColumnMapping, IncomingFile
from farmrecords.intake.refusals import NotTakenOver, plainly
from farmrecords.people.access import Seat

SHOWN_ROWS = 200
NOT_REMEMBERED = (
    "hour_twice", "repeats", "occasion", "repair:", "swap", "outside", "from_on", "load:",
    "load_field:", "split:", "join:", "day",
)  # fmt: skip


def take_in(seat: Seat, kind: Kind, name: str, data: bytes) -> IncomingFile:
    """Read a file without effect and keep it with what was found.

    Raises FormatError when it cannot be read at all; then nothing of it is kept.
    """
    _need(seat)
    _refuse_ending(kind, name)
    answers: dict[str, str] = {}
    summary, key = _dry_run(seat, kind, data, answers)
    if summary.questions and key and (remembered := _remembered(seat, kind, key)):
        answers = remembered
        summary, key = _dry_run(seat, kind, data, answers)
    kept = files.keep(data, media_type="application/octet-stream", original_name=name)
    now = clock.now()
    incoming = IncomingFile(
        operation=seat.operation,
        kind=kind.name,
        name=name[-200:],
        sha256=kept.sha256,
        size=len(data),
        person=seat.person,
        came_in_at=now,
        came_in_on=now.astimezone(seat.operation.zone).date(),
        answers=answers,
        report=report_of(summary, key),
    )
    with write.change(by=seat.actor, channel="import") as change:
        change.create(incoming)
    return incoming


def answer(seat: Seat, incoming: IncomingFile, given: dict[str, str], base_rev: int) -> None:
    """Read the file again with the answers; still without effect."""
    _need(seat)
    _need_state(incoming, "read")
    answers = {key: value for key, value in (incoming.answers | given).items() if value}
    summary, key = _dry_run(seat, _kind(incoming), _bytes(incoming), answers)
    with write.change(by=seat.actor, channel="import") as change:
        change.amend(
            incoming,
            base_rev=base_rev,
            values={"answers": answers, "report": report_of(summary, key)},
            reason_code="answered",
        )


def confirm(seat: Seat, incoming: IncomingFile, base_rev: int) -> IncomingFile:
    """Take the file over: all of it or nothing, with one entry that carries its SHA-256."""
    _need(seat)
    _need_state(incoming, "read")
    kind = _kind(incoming)
    parsed = _parsed(seat, kind, _bytes(incoming), incoming.answers)
    with write.change(by=seat.actor, channel="import") as change:
        summary, key = _summary(seat, kind, parsed, incoming.answers)
        if summary.rejected or summary.questions:
            raise NotTakenOver(
                _("The file has rows to mend or questions to answer; nothing was taken over.")
            )
        if summary.waiting:
            raise NotTakenOver(
                _("%(n)d rows wait for a decision; nothing was taken over.")
                % {"n": summary.waiting}
            )
        if not summary.new:
            raise NotTakenOver(_("Everything in this file is here already; nothing changes."))
        change.event(
            "import",
            log=seat.operation.log,
            obj_type="incoming_file",
            obj_id=incoming.pk,
            body={
                "file_sha256": incoming.sha256,
                "file_kind": incoming.kind,
                "rows": str(summary.new),
            },
        )
        with plainly(summary.lines):
            done = kind.write(seat, change, incoming, summary)
        result = {
            "created": [_reference(row) for row in done.created],
            "restored": [_reference(row) for row in done.restored],
            "amended": [[*_reference(row), before] for row, before in done.amended],
            "messages": done.messages[:SHOWN_ROWS],
        }
        change.amend(
            incoming,
            base_rev=base_rev,
            values={"state": "confirmed", "result": result, "report": report_of(summary, key)},
            reason_code="confirmed",
        )
        _remember(seat, change, kind, key, incoming.answers)
    return incoming


def undo(seat: Seat, incoming: IncomingFile, base_rev: int, reason: str) -> list[str]:
    """Take back what the file brought: its records become void, what it changed is set back.

    What somebody changed by hand since then is left as it is; the words say which.
    """
    _need(seat)
    _need_state(incoming, "confirmed")
    if not reason.strip():
        raise NotTakenOver(_("Say why the import is undone; one sentence."))
    kind = _kind(incoming)
    kept: list[str] = []
    touched: list[Any] = []
    with write.change(by=seat.actor, channel="import") as change:
        rows, kept = _still_as_imported(incoming)
        refusal = kind.refuse_undo(seat, [row for row, _b in rows]) if kind.refuse_undo else ""
        if refusal:
            raise NotTakenOver(refusal)
        undone = []
        for row, before in rows:
            with plainly([]):
                _taken_back(change, kind, row, before, reason)
            if before is None:
                undone.append(_reference(row))
            touched.append(row)
        change.amend(
            incoming,
            base_rev=base_rev,
            values={"state": "undone", "result": incoming.result | {"undone": undone}},
            reason_code="import_undone",
            reason_text=reason,
        )
    if kind.after:
        kind.after(touched)
    return kept


def _taken_back(change: write.Change, kind: Kind, row: Any, before: Any, reason: str) -> None:
    if before is None:
        change.void(row, base_rev=row.rev, reason_code="import_undone", reason_text=reason)
        return
    how = kind.set_back(row, before) if kind.set_back else {"values": before}
    change.amend(row, base_rev=row.rev, reason_code="import_undone", reason_text=reason, **how)


def undone_records(seat: Seat, kind: str) -> set[str]:
    """Ids of records that became void because an import was undone; a file may bring them back."""
    rows = IncomingFile.objects.filter(operation=seat.operation, kind=kind, state="undone")
    return {
        reference[1]
        for result in rows.values_list("result", flat=True)
        for reference in result.get("undone", [])
    }


def report_of(summary: Summary, headers_key: str) -> dict[str, Any]:
    """A summary as plain values, bounded, to be kept and shown."""
    return {
        "headers_key": headers_key,
        "new": summary.new,
        "figures": [[str(words), number] for words, number in summary.figures],
        "lines": [[row, words] for row, words in summary.lines[:SHOWN_ROWS]],
        "line_count": len(summary.lines),
        "rejected": [dataclasses.asdict(row) for row in summary.rejected[:SHOWN_ROWS]],
        "rejected_count": len(summary.rejected),
        "warnings": summary.warnings[:SHOWN_ROWS],
        "questions": [dataclasses.asdict(question) for question in summary.questions],
        "waiting": summary.waiting,
        "details": summary.details,
    }


def questions_of(incoming: IncomingFile) -> list[Question]:
    """The questions that are still open."""
    return [question_of(row) for row in incoming.report.get("questions", [])]


def is_ready(incoming: IncomingFile) -> bool:
    """Whether the file may be confirmed: nothing rejected, nothing asked, something new."""
    report = incoming.report
    return (
        incoming.state == "read"
        and not report.get("rejected_count")
        and not report.get("questions")
        and not report.get("waiting")
        and bool(report.get("new"))
    )


def _dry_run(seat: Seat, kind: Kind, data: bytes, answers: dict[str, str]) -> tuple[Summary, str]:
    return _summary(seat, kind, _parsed(seat, kind, data, answers), answers)


def _parsed(seat: Seat, kind: Kind, data: bytes, answers: dict[str, str]) -> Parsed:
    context: dict[str, Any] = {"zone": seat.operation.time_zone, "today": seat.today.isoformat()}
    if kind.context:
        context |= kind.context(seat)
    told = {key: value for key, value in answers.items() if not key.startswith(kind.apart)}
    return _read(kind.reader, data, json.dumps(told, sort_keys=True), json.dumps(context))


@lru_cache(maxsize=1)
def _read(reader: str, data: bytes, answers: str, context: str) -> Parsed:
    """The last file read, kept while a person decides on its rows."""
    return parse(reader, data, json.loads(answers), json.loads(context))


def _summary(
    seat: Seat, kind: Kind, parsed: Parsed, answers: dict[str, str]
) -> tuple[Summary, str]:
    items = list(parsed.items)
    key = items.pop(0)["headers_key"] if items and "headers_key" in items[0] else ""
    if parsed.rejected or parsed.questions:
        left_out = parsed.rejected_count - len(parsed.rejected)
        more = [_and_more(left_out)] if left_out > 0 else []
        summary = Summary(figures=[(_("rows without fault"), len(items))] if items else [])
        summary.rejected = [*parsed.rejected, *more]
        summary.questions = parsed.questions
    else:
        summary = kind.summarise(seat, items, answers)
    summary.warnings = [*parsed.warnings, *summary.warnings]
    return summary, key


def _and_more(count: int) -> Rejected:
    return Rejected(None, "", "", _("%(n)d more rows were refused.") % {"n": count}, "")


def _need(seat: Seat) -> None:
    if not seat.may("import"):
        raise PermissionDenied


def _need_state(incoming: IncomingFile, state: str) -> None:
    if incoming.state != state:
        raise NotTakenOver(
            _("This file is %(state)s already.") % {"state": incoming.get_state_display()}
        )


def _refuse_ending(kind: Kind, name: str) -> None:
    if kind.endings and not name.lower().endswith(kind.endings):
        raise FormatError(
            _("“%(name)s” is no %(kind)s by its name.") % {"name": name[-80:], "kind": kind.title},
            _("Files ending in %(endings)s are read.") % {"endings": ", ".join(kind.endings)},
        )


def _kind(incoming: IncomingFile) -> Kind:
    kind = kind_named(incoming.kind)
    if kind is None:
        raise NotTakenOver(_("Files of this kind are not read any more."))
    return kind


def _bytes(incoming: IncomingFile) -> bytes:
    return files.read(KeptFile(sha256=incoming.sha256, original_name=incoming.name))


def _reference(row: Any) -> list[Any]:
    return [declaration(row).name, str(row.pk), row.rev]


def _still_as_imported(incoming: IncomingFile) -> tuple[list[tuple[Any, Any]], list[str]]:
    """Records as the import left them, and words about those changed by hand since."""
    rows: list[tuple[Any, Any]] = []
    kept: list[str] = []
    told = [
        *([*reference, None] for key in ("created", "restored")
          for reference in incoming.result.get(key, [])),
        *incoming.result.get("amended", []),
    ]  # fmt: skip
    for name, pk, rev, before in reversed(told):
        row = declaration(name).model._default_manager.get(pk=pk)
        if row.rev == rev and not row.voided:
            rows.append((row, before))
        elif not row.voided:
            kept.append(_("%(row)s was changed by hand since and stays.") % {"row": row})
    return rows, kept


def _remembered(seat: Seat, kind: Kind, key: str) -> dict[str, str]:
    row = ColumnMapping.objects.filter(
        operation=seat.operation, kind=kind.name, headers_key=key, voided=False
    ).first()
    return dict(row.answers) if row else {}


def _remember(
    seat: Seat, change: write.Change, kind: Kind, key: str, answers: dict[str, str]
) -> None:
    """Keep how the columns were read for the next file with the same headings."""
    lasting = {k: v for k, v in answers.items() if not k.startswith(NOT_REMEMBERED)}
    if not key or not lasting:
        return
    known = ColumnMapping.objects.filter(
        operation=seat.operation, kind=kind.name, headers_key=key, voided=False
    ).first()
    if known is None:
        change.create(
            ColumnMapping(
                operation=seat.operation, kind=kind.name, headers_key=key, answers=lasting
            )
        )
    elif known.answers != lasting:
        change.amend(known, base_rev=known.rev, values={"answers": lasting}, reason_code="answered")
