"""Rows of a list that name a time and field of a load that is here already, with other figures.

A load that was entered or amended by hand is never overwritten by a file; one that a file brought
and nobody changed since may be amended, when a person says so row by row.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils.translation import gettext as _

from farmrecords.formats.common import Choice, Question
from farmrecords.intake.as_imported import untouched
from farmrecords.intake.kinds import Summary
from farmrecords.loads import amounts
from farmrecords.loads.building import build
from farmrecords.loads.draft import EntryProblem, LoadDraft
from farmrecords.loads.models import Load
from farmrecords.loads.surroundings import Surroundings
from farmrecords.people.access import Seat

Drafts = list[tuple[dict[str, Any], LoadDraft]]
Corrections = list[tuple[dict[str, Any], LoadDraft, Load]]
ONE_BY_ONE = 30  # more rows are asked about together


def settled(
    seat: Seat, drafts: Drafts, answers: dict[str, str], summary: Summary
) -> tuple[Drafts, Corrections]:
    """What is to be recorded and what amended; what is not answered is asked."""
    here = _here(seat, drafts)
    same = [row for row in drafts if _occasion(row[1]) in here]
    if not same:
        return drafts, []
    loads = {load.pk: load for load in here.values()}
    around = Surroundings(seat.operation)
    may_change = {
        key
        for key in untouched(seat.operation, loads.values())
        if not around.closed_on(loads[key].local_day)
    }
    new = [row for row in drafts if row not in same]
    amended: Corrections = []
    asked: list[tuple[dict[str, Any], Load, bool]] = []
    left = 0
    for item, draft in same:
        load = here[_occasion(draft)]
        if _says_the_same(seat, draft, load, around):
            left += 1
            continue
        answer = answers.get(f"occasion:{item['source_key']}") or answers.get("occasion", "")
        if answer == "add":
            new.append((item, draft))
        elif answer == "amend" and load.pk in may_change:
            amended.append((item, _with_tracks(draft, load), load))
        elif answer in ("leave", "amend"):
            left += 1
        else:
            asked.append((item, load, load.pk in may_change))
    summary.questions += _questions(asked)
    if left:
        summary.warnings.append(
            _("%(n)d rows were left out: a load of that field and time is here already.")
            % {"n": left}
        )
    return sorted(new, key=lambda row: row[0]["row_number"]), amended


def _occasion(draft: LoadDraft) -> Any:
    """Moment, field and spreader of a draft; None when the file gives no time of day."""
    if not draft.extra.get("time_known"):
        return None
    spreader = draft.spreader.pk if draft.spreader else None
    return draft.started.astimezone(dt.UTC), draft.parts[0].field.pk, spreader


def _here(seat: Seat, drafts: Drafts) -> dict[Any, Load]:
    """The loads that are here and count, by occasion, within the days of the drafts."""
    moments = [draft.started for _item, draft in drafts]
    if not moments:
        return {}
    rows = Load.objects.filter(
        operation=seat.operation,
        voided=False,
        started_at__gte=min(moments),
        started_at__lte=max(moments),
    )
    return {
        (load.started_at, part.field_id, load.spreader_id): load
        for load in rows.select_related("spreader", "person").prefetch_related("parts", "draws")
        for part in load.parts.all()
    }


def _with_tracks(draft: LoadDraft, load: Load) -> LoadDraft:
    """The draft with the tracks the load has on the same fields: a list knows of none."""
    known = {part.field_id: part.track_sha256 for part in load.parts.all()}
    for part in draft.parts:
        part.track_sha256 = part.track_sha256 or known.get(part.field.pk, "")
    return draft


def _says_the_same(seat: Seat, draft: LoadDraft, load: Load, around: Surroundings) -> bool:
    """Whether a row says what the load here says already, as after a correction before."""
    try:
        built = build(seat, draft, around, load)
    except EntryProblem:
        return False
    shares: list[Any] = [load.parts.all(), load.draws.all(), built.parts, built.draws]
    amounts_here = [sorted(row.amount_milli for row in rows) for rows in shares]
    return amounts_here[:2] == amounts_here[2:] and all(
        getattr(load, name) == value for name, value in built.values.items() if name != "source_key"
    )


def _questions(asked: list[tuple[dict[str, Any], Load, bool]]) -> list[Question]:
    """One question a row, or one for all when there are many."""
    if not asked:
        return []
    if len(asked) > ONE_BY_ONE:
        rows = ", ".join(str(item["row_number"]) for item, _load, _may in asked[:10])
        words = _(
            "%(n)d row(s) name a time and field of a load that is here already, with other "
            "figures (row %(rows)s). What shall be done with them?"
        ) % {"n": len(asked), "rows": rows}
        return [Question("occasion", words, _choices(any(may for _i, _l, may in asked)))]
    return [
        Question(f"occasion:{item['source_key']}", _words(item, load), _choices(may))
        for item, load, may in asked
    ]


def _words(item: dict[str, Any], load: Load) -> str:
    return _("Row %(row)s, %(new)s: the load of %(start)s here is %(now)s. What holds?") % {
        "row": item["row_number"],
        "new": f"{item['amount_text']} {item['amount_unit']}",
        "start": f"{load.started_local:%Y-%m-%d %H:%M}",
        "now": amounts.shown(load.amount_milli, load.amount_kind),
    }


def _choices(may_amend: bool) -> tuple[Choice, ...]:
    choices = [Choice("leave", _("leave it out; what is here stays"))]
    if may_amend:
        choices.append(Choice("amend", _("amend the load here to the file's figures")))
    choices.append(Choice("add", _("add it as a load of its own")))
    return tuple(choices)
