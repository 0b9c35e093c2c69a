"""Lists of loads as they come in: labels matched to records, rows to drafts, drafts to loads."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.formats.common import Rejected
from farmrecords.history import write
from farmrecords.intake.kinds import Summary, Written, register_kind
from farmrecords.intake.models import IncomingFile
from farmrecords.intake.service import undone_records
from farmrecords.loads import amounts, facts, occasions
from farmrecords.loads.as_imported import as_it_was
from farmrecords.loads.bringing import bring
from farmrecords.loads.building import build
from farmrecords.loads.draft import EntryProblem, LoadDraft
from farmrecords.loads.import_rows import Matching, draft_of
from farmrecords.loads.models import Load
from farmrecords.loads.occasions import Corrections, Drafts
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
    amended: Corrections = []
    if not summary.questions:
        drafts, amended = occasions.settled(seat, drafts, answers, summary)
        _check(seat, drafts, amended, back, summary)
    summary.payload = ([draft for _item, draft in drafts], back, amended)
    summary.new = len(drafts) + len(back) + len(amended)
    summary.figures += [
        (_("new loads"), len(drafts)),
        (_("loads brought back after an undone import"), len(back)),
        (_("loads to be amended"), len(amended)),
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


def _drafts(items: list[dict[str, Any]], matching: Matching, summary: Summary) -> Drafts:
    found: Drafts = []
    for item in items:
        draft, rejected = draft_of(item, matching)
        if rejected:
            summary.rejected.append(rejected)
        elif draft is not None:
            found.append((item, draft))
    return found


def _check(
    seat: Seat, drafts: Drafts, amended: Corrections, back: list[Load], summary: Summary
) -> None:
    """Build every load without writing it; what is refused is named by row and value."""
    around = Surroundings(seat.operation)
    waiting = sum(around.closed_on(load.local_day) is not None for load in back)
    rows: list[tuple[dict[str, Any], LoadDraft, Load | None]] = [(*row, None) for row in drafts]
    for item, draft, load in [*rows, *amended]:
        try:
            built = build(seat, draft, around, load)
        except EntryProblem as problem:
            summary.rejected += [_rejected(item, *told) for told in problem_words(problem)]
            continue
        values = built.values
        waiting += around.closed_on(values["local_day"]) is not None
        told = _("%(day)s  %(field)s  %(amount)s")
        if load is not None:
            told = _("%(day)s  %(field)s  %(amount)s, amends %(now)s")
        words = told % {
            "now": amounts.shown(load.amount_milli, load.amount_kind) if load else "",
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
    drafts, back, amended = summary.payload
    return bring(
        seat,
        change,
        incoming.name,
        new=drafts,
        back=back,
        amended=[(draft, load) for _item, draft, load in amended],
    )


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
    set_back=as_it_was,
)
