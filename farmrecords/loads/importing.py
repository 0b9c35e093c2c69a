"""Lists of loads as they come in: labels matched to records, rows to drafts, drafts to loads."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.formats.common import Choice, Question, Rejected
from farmrecords.history import write
from farmrecords.intake.kinds import Summary, Written, register_kind
from farmrecords.intake.models import IncomingFile
from farmrecords.intake.service import undone_records
from farmrecords.loads import amounts, facts
from farmrecords.loads.building import build
from farmrecords.loads.draft import EntryProblem, LoadDraft
from farmrecords.loads.entry import record_loads
from farmrecords.loads.import_rows import Matching, draft_of
from farmrecords.loads.models import Load
from farmrecords.loads.surroundings import Surroundings
from farmrecords.people.access import Seat


def summarise(seat: Seat, items: list[dict[str, Any]], answers: dict[str, str]) -> Summary:
    """What a list of loads would bring: new loads, loads brought back, rows already here."""
    summary = Summary(figures=[(_("rows read"), len(items))])
    matching = Matching(seat.operation, answers)
    here = _already_here(seat, items)
    new, back, left = _sorted(seat, items, here)
    drafts = _drafts(new, matching, summary)
    summary.questions = matching.questions()
    if not summary.questions:
        drafts = _asked_about_occasions(seat, drafts, answers, summary)
        _check(seat, drafts, summary)
    summary.payload = ([draft for _item, draft in drafts], back)
    summary.new = len(drafts) + len(back)
    summary.figures += [
        (_("new loads"), len(drafts)),
        (_("loads brought back after an undone import"), len(back)),
        (_("rows already here, left as they are"), left),
    ]
    return summary


def _sorted(
    seat: Seat, items: list[dict[str, Any]], here: dict[str, Load]
) -> tuple[list[dict[str, Any]], list[Load], int]:
    """Rows that are new, loads an undone import took away, and how many rows are here already."""
    voided = undone_records(seat, "loads")
    new: list[dict[str, Any]] = []
    back: list[Load] = []
    left = 0
    for item in items:
        load = here.get(item["source_key"])
        if load is None:
            new.append(item)
        elif load.voided and str(load.pk) in voided:
            back.append(load)
        else:
            left += 1
    return new, back, left


def _already_here(seat: Seat, items: list[dict[str, Any]]) -> dict[str, Load]:
    keys = [item["source_key"] for item in items]
    found: dict[str, Load] = {}
    for start in range(0, len(keys), 500):
        rows = Load.objects.filter(
            operation=seat.operation, source_key__in=keys[start : start + 500]
        )
        found |= {load.source_key: load for load in rows}
    return found


Drafts = list[tuple[dict[str, Any], LoadDraft]]


def _drafts(items: list[dict[str, Any]], matching: Matching, summary: Summary) -> Drafts:
    found: Drafts = []
    for item in items:
        draft, rejected = draft_of(item, matching)
        if rejected:
            summary.rejected.append(rejected)
        elif draft is not None:
            found.append((item, draft))
    return found


def _asked_about_occasions(
    seat: Seat, drafts: Drafts, answers: dict[str, str], summary: Summary
) -> Drafts:
    """The drafts, less those that look like a load already here with other figures.

    A load that was entered or amended by hand is never overwritten by a file.
    """
    taken = _occasions(seat, drafts)
    same = [row for row in drafts if _occasion(row[1]) in taken]
    if not same or answers.get("occasion") == "add":
        return drafts
    if answers.get("occasion") == "leave":
        summary.warnings.append(
            _("%(n)d rows were left out: a load of that field and time is here already.")
            % {"n": len(same)}
        )
        return [row for row in drafts if row not in same]
    rows = ", ".join(str(item["row_number"]) for item, _draft in same[:10])
    summary.questions.append(
        Question(
            key="occasion",
            asked=_(
                "%(n)d row(s) name a time and field of a load that is here already, with other "
                "figures (row %(rows)s). What shall be done with them?"
            )
            % {"n": len(same), "rows": rows},
            choices=(
                Choice("leave", _("leave them out; what is here stays")),
                Choice("add", _("add them as loads of their own")),
            ),
        )
    )
    return drafts


def _occasion(draft: LoadDraft) -> Any:
    """Moment, field and spreader of a draft; None when the file gives no time of day."""
    if not draft.extra.get("time_known"):
        return None
    spreader = draft.spreader.pk if draft.spreader else None
    return draft.started.astimezone(dt.UTC), draft.parts[0].field.pk, spreader


def _occasions(seat: Seat, drafts: Drafts) -> set[Any]:
    """The occasions of loads that are here and count, within the days of the drafts."""
    moments = [draft.started for _item, draft in drafts]
    if not moments:
        return set()
    rows = Load.objects.filter(
        operation=seat.operation,
        voided=False,
        started_at__gte=min(moments),
        started_at__lte=max(moments),
    )
    return set(rows.order_by().values_list("started_at", "parts__field", "spreader"))


def _check(seat: Seat, drafts: Drafts, summary: Summary) -> None:
    """Build every load without writing it; what is refused is named by row and value."""
    around = Surroundings(seat.operation)
    waiting = 0
    for item, draft in drafts:
        try:
            built = build(seat, draft, around)
        except EntryProblem as problem:
            summary.rejected += [_rejected(item, *told) for told in problem_words(problem)]
            continue
        values = built.values
        waiting += around.closed_on(values["local_day"]) is not None
        words = _("%(day)s  %(field)s  %(amount)s") % {
            "day": values["local_day"],
            "field": draft.parts[0].field,
            "amount": amounts.shown(values["amount_milli"], values["amount_kind"]),
        }
        summary.lines.append((item["row_number"], words))
        summary.warnings += [
            _("Row %(row)s: %(words)s") % {"row": item["row_number"], "words": words}
            for words in built.warnings
        ]
    if waiting:
        summary.figures.append((_("loads of filed periods, kept as waiting"), waiting))


def problem_words(problem: EntryProblem) -> list[tuple[str, str]]:
    """(entry, words) of a refusal."""
    if hasattr(problem, "error_dict"):
        return [(e, text) for e, texts in problem.message_dict.items() for text in texts]
    return [("", text) for text in problem.messages]


_COLUMNS = {
    "amount_text": "amount_text",
    "loads_counted": "loads_counted",
    "each_load_text": "amount_text",
    "started": "started_at",
    "ended": "ended_at",
    "incorporated": "incorporated_at",
    "parts": "field_label",
    "draws": "storage_label",
    "spreader": "spreader_label",
}


def _rejected(item: dict[str, Any], entry: str, words: str) -> Rejected:
    value = item.get(_COLUMNS.get(entry, ""), "")
    column = entry.replace("_text", "").replace("_", " ")
    return Rejected(item["row_number"], column, "" if value is None else str(value), words, "")


def take_over(
    seat: Seat, change: write.Change, incoming: IncomingFile, summary: Summary
) -> Written:
    """Record the new loads and bring back those an undone import took away."""
    drafts, back = summary.payload
    loads = record_loads(seat, drafts, channel="import", change=change)
    for load in back:
        change.restore(
            load,
            base_rev=load.rev,
            reason_code="imported_again",
            reason_text=_("Brought back by %(file)s") % {"file": incoming.name},
        )
    facts.renew(back)
    messages = [words for load in loads for words in load.warnings]  # type: ignore[attr-defined]
    return Written(created=loads, restored=back, messages=messages)


def refuse_undo(seat: Seat, loads: list[Load]) -> str:
    """Why an import may not be undone: it reaches into a filed period."""
    around = Surroundings(seat.operation)
    for load in loads:
        period = around.closed_on(load.local_day)
        if period and load.status == "counted":
            return _(
                "The load of %(day)s is in the filed period %(first)s to %(last)s. The owner can "
                "reopen the period; then the import can be undone."
            ) % {"day": load.local_day, "first": period.from_on, "last": period.to_on}
    return ""


register_kind(
    "loads",
    gettext_lazy("list of loads"),
    "loads",
    summarise,
    take_over,
    endings=(".csv", ".txt", ".tsv", ".xlsx"),
    help=gettext_lazy(
        "A table with one load in a row: day, time, field, storage, amount with its unit."
    ),
    refuse_undo=refuse_undo,
    after=facts.renew,
)
