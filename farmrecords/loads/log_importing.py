"""Weight logs and machine records as they come in: proposals that a person decides one by one."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.calculations.weight_log import WeightLogError
from farmrecords.farm.import_shapes import box_of
from farmrecords.farm.models import Spreader, Storage
from farmrecords.formats.common import Choice, Question, Rejected
from farmrecords.history import write
from farmrecords.intake.as_imported import untouched
from farmrecords.intake.kinds import Summary, Written, register_kind
from farmrecords.intake.models import IncomingFile
from farmrecords.intake.service import undone_records
from farmrecords.loads import amounts, facts
from farmrecords.loads.as_imported import as_it_was
from farmrecords.loads.bringing import bring
from farmrecords.loads.building import build
from farmrecords.loads.draft import EntryProblem, LoadDraft
from farmrecords.loads.import_rows import plain
from farmrecords.loads.importing import problem_words as entry_words
from farmrecords.loads.importing import refuse_undo
from farmrecords.loads.kinds import METHODS
from farmrecords.loads.log_drafts import Machine, draft_of, source_key, told
from farmrecords.loads.models import Load
from farmrecords.loads.problems import problem_words
from farmrecords.loads.reconstruction import ProposedLoad, Rebuilt, full_load, rebuild
from farmrecords.loads.surroundings import Surroundings
from farmrecords.people.access import Seat

MOST_PROPOSALS = 1_000
SAME_TIME = dt.timedelta(seconds=60)
SAME_AMOUNT = 0.01

Decided = tuple[ProposedLoad, Machine]


@dataclass
class Sorted:
    """Proposals by what is to become of them."""

    new: list[Decided] = field(default_factory=list)
    back: list[Load] = field(default_factory=list)
    amend: list[tuple[Load, ProposedLoad, Machine]] = field(default_factory=list)
    here: int = 0
    dropped: int = 0
    standing: int = 0
    open: int = 0


def summarise(seat: Seat, items: list[dict[str, Any]], answers: dict[str, str]) -> Summary:
    """What a log gives: proposals with a person's decisions; nothing is a load without one."""
    summary = Summary()
    around = Surroundings(seat.operation)
    asking = _Asking(seat, answers)
    machines = [asking.machine(item, around) for item in items]
    summary.questions = asking.questions
    if summary.questions:
        summary.figures = [(_("machines in the log"), len(items))]
        return summary
    sorted_ = Sorted()
    rows: list[dict[str, Any]] = []
    for item, machine in zip(items, machines, strict=True):
        try:
            found = rebuild(seat.operation, item, machine.capacity, answers)
        except WeightLogError as trouble:
            summary.rejected.append(
                Rejected(item["row_number"], "weight", machine.name, problem_words(trouble), "")
            )
            continue
        _say_cells(found, machine, summary)
        rows += _sort(seat, around, found, machine, sorted_, summary)
    if len(rows) > MOST_PROPOSALS:
        summary.rejected.append(
            Rejected(
                None, "", str(len(rows)), _("The log gives more proposals than one page can hold."),
                _("Split it, for example by month."),
            )
        )  # fmt: skip
    _tell(summary, sorted_, rows)
    return summary


def _tell(summary: Summary, found: Sorted, rows: list[dict[str, Any]]) -> None:
    summary.new = len(found.new) + len(found.back) + len(found.amend)
    summary.waiting = found.open
    summary.payload = found
    summary.details = {"proposals": rows[:MOST_PROPOSALS]}
    summary.figures += [
        (_("loads proposed"), len(rows) - found.standing),
        (_("confirmed"), len(found.new)),
        (_("loads brought back after an undone import"), len(found.back)),
        (_("loads to be amended"), len(found.amend)),
        (_("dropped"), found.dropped),
        (_("here already, left as they are"), found.here),
        (_("emptied while standing, no spreading load"), found.standing),
        (_("waiting for a decision"), found.open),
    ]


class _Asking:
    """Asks once a machine which spreader, storage and method hold for its log."""

    def __init__(self, seat: Seat, answers: dict[str, str]) -> None:
        self.seat, self.answers = seat, answers
        self.questions: list[Question] = []
        rows = {"operation": seat.operation, "voided": False}
        self.spreaders = {str(row.pk): row for row in Spreader.objects.filter(**rows)}
        self.storages = {str(row.pk): row for row in Storage.objects.filter(**rows)}

    def machine(self, item: dict[str, Any], around: Surroundings) -> Machine:
        """The machine of a series, as far as it is known or answered."""
        name = item["machine"]
        spreader = self._one("spreader", name, self.spreaders, _("Which spreader is it?"))
        storage = self._one("storage", name, self.storages, _("From which storage was it filled?"))
        method = self._method(name)
        on = dt.datetime.fromisoformat(item["base"]).astimezone(around.zone).date()
        text, unit = around.load_of(spreader, on)
        return Machine(
            name=name or str(spreader or ""),
            spreader=spreader,
            storage=storage,
            method=method,
            capacity=full_load(text, unit, item["unit"]) or item["full"],
        )

    def _one(self, kind: str, name: str, rows: dict[str, Any], asked: str) -> Any:
        key = f"{kind}:{plain(name)}"
        if self.answers.get(key) in rows:
            return rows[self.answers[key]]
        named = [row for row in rows.values() if name and plain(row.name) == plain(name)]
        if len(named) == 1 and kind == "spreader":
            return named[0]
        if len(rows) == 1:
            return next(iter(rows.values()))
        if rows:
            choices = tuple(Choice(pk, str(row)) for pk, row in rows.items())
            self.questions.append(Question(key, f"{name}: {asked}" if name else asked, choices))
        return None

    def _method(self, name: str) -> str:
        key = f"method:{plain(name)}"
        answer = self.answers.get(key, "")
        if answer not in dict(METHODS):
            asked = _("How was it spread?")
            choices = tuple(Choice(code, str(words)) for code, words in METHODS)
            self.questions.append(Question(key, f"{name}: {asked}" if name else asked, choices))
        return answer


def _say_cells(found: Rebuilt, machine: Machine, summary: Summary) -> None:
    for trouble in found.troubles[:20]:
        start = found.base + dt.timedelta(seconds=trouble.start_s)
        words = {"cell": trouble.cell + 1, "machine": machine.name, "at": f"{start:%Y-%m-%d %H:%M}"}
        if trouble.kind == "stuck":
            text = _("%(machine)s: weigh cell %(cell)s stuck from %(at)s UTC on.")
        else:
            text = _("%(machine)s: weigh cell %(cell)s said nothing from %(at)s UTC on.")
        summary.warnings.append(text % words)
    tares = [weight for _at, weight in found.found.tares]
    if tares:
        summary.warnings.append(
            _("%(machine)s: the empty spreader read %(low)s to %(high)s %(unit)s after its loads.")
            % {
                "machine": machine.name,
                "low": round(min(tares)),
                "high": round(max(tares)),
                "unit": found.loads[0].unit if found.loads else "",
            }
        )


def _sort(
    seat: Seat,
    around: Surroundings,
    found: Rebuilt,
    machine: Machine,
    into: Sorted,
    summary: Summary,
) -> list[dict[str, Any]]:
    here = _Here(seat, found, machine)
    rows = []
    for one in found.loads:
        status, load, words = _status(seat, around, one, machine, here)
        if status == "amend" and load is not None and around.closed_on(load.local_day):
            status, words = "hand", _("It is in a filed period and stays.")
        rows.append(told(one, status, load, words))
        if status == "confirm":
            into.new.append((one, machine))
            summary.lines.append((len(summary.lines) + 1, _words(one, around.zone)))
        elif status == "back":
            into.back.append(load)  # type: ignore[arg-type]
        elif status == "amend":
            into.amend.append((load, one, machine))  # type: ignore[arg-type]
            summary.lines.append((len(summary.lines) + 1, _words(one, around.zone)))
        else:
            into.here += status in ("here", "keep", "hand")
            into.dropped += status == "drop"
            into.standing += status == "standing"
            into.open += status in ("open", "differs", "refused")
    return rows


def _words(one: ProposedLoad, zone: dt.tzinfo) -> str:
    """A line of the file's page: on the farm's clock, as the page of the proposals has it."""
    at = f"{one.started.astimezone(zone):%Y-%m-%d %H:%M}"
    fields = [str(share) for share, _amount in one.shares if share]
    return ", ".join([at, *fields, f"{number_format(one.amount, force_grouping=True)} {one.unit}"])


Status = tuple[str, Load | None, str]


def _status(
    seat: Seat, around: Surroundings, one: ProposedLoad, machine: Machine, here: _Here
) -> Status:
    """What becomes of a proposal, the load it is, and words where something is in the way."""
    if one.proposal.kind == "standing":
        return "standing", None, ""
    load = here.load_of(one)
    if load is not None and not load.voided:
        return _beside(one, load, here)
    if load is not None and str(load.pk) in here.undone and one.decision == "confirm":
        return "back", load, ""
    if load is not None and str(load.pk) not in here.undone:
        return "hand", load, _("It was made void by hand and stays so.")
    if one.decision == "drop":
        return "drop", None, ""
    if one.decision != "confirm":
        return "open", None, ""
    if any(share is None for share, _amount in one.shares):
        return "refused", None, _("The place tells no field; choose one.")
    try:
        built = build(seat, draft_of(one, machine, keep=False), around)
    except EntryProblem as problem:
        return "refused", None, " ".join(words for _entry, words in entry_words(problem))
    return "confirm", None, " ".join(built.warnings)


def _beside(one: ProposedLoad, load: Load, here: _Here) -> Status:
    """A proposal whose load is here already: the same, or with other figures."""
    shown = amounts.shown(load.amount_milli, load.amount_kind)
    if _same(one, load):
        return "here", load, shown
    if load.pk not in here.untouched:
        return (
            "hand",
            load,
            _("%(shown)s, entered or changed by hand; it stays.") % {"shown": shown},
        )
    if one.decision == "amend" and all(share is not None for share, _amount in one.shares):
        return "amend", load, shown
    if one.decision == "drop":
        return "keep", load, shown
    return "differs", load, shown


def _same(one: ProposedLoad, load: Load) -> bool:
    if load.amount_unit != one.unit:
        return False
    amount = float(load.amount_text.replace(",", ""))
    near = abs(amount - float(one.amount)) <= SAME_AMOUNT * max(amount, float(one.amount))
    return near and abs(load.started_at - one.started) <= SAME_TIME


class _Here:
    """The loads that are here already in the time of a log."""

    def __init__(self, seat: Seat, found: Rebuilt, machine: Machine) -> None:
        self.undone = undone_records(seat, "weight_log") | undone_records(seat, "machine_record")
        self.keys = {one.key: source_key(machine, one) for one in found.loads}
        moments = [one.started for one in found.loads] + [one.ended for one in found.loads]
        self.loads: list[Load] = []
        if moments:
            rows = Load.objects.filter(
                operation=seat.operation,
                started_at__lte=max(moments),
                started_at__gte=min(moments) - dt.timedelta(hours=12),
                spreader=machine.spreader,
            )
            self.loads = list(rows.order_by("started_at", "id"))
        self.untouched = untouched(seat.operation, self.loads)

    def load_of(self, one: ProposedLoad) -> Load | None:
        """The load a proposal is: by its key, else one that ran for most of its time."""
        known = [load for load in self.loads if load.source_key == self.keys[one.key]]
        if known:
            return known[0]
        length = one.ended - one.started
        for load in self.loads:
            end = load.ended_at or load.started_at
            shared = min(end, one.ended) - max(load.started_at, one.started)
            if not load.voided and shared * 2 > length:
                return load
        return None


def take_over(
    seat: Seat, change: write.Change, incoming: IncomingFile, summary: Summary
) -> Written:
    """Record what was confirmed, amend what a person said, bring back what was undone."""
    found: Sorted = summary.payload

    def draft(one: ProposedLoad, machine: Machine) -> LoadDraft:
        return draft_of(one, machine, keep=True, file_name=incoming.name)

    return bring(
        seat,
        change,
        incoming.name,
        new=[draft(one, machine) for one, machine in found.new],
        back=found.back,
        amended=[(draft(one, machine), load) for load, one, machine in found.amend],
    )


for name, title, endings, words in (
    (
        "weight_log",
        gettext_lazy("weight log of a spreader"),
        (".csv", ".txt", ".tsv"),
        gettext_lazy(
            "Time, latitude, longitude and weight (or one column per weigh cell) once a second "
            "or so. Loads are proposed; you confirm, divide, join or drop each."
        ),
    ),
    (
        "machine_record",
        gettext_lazy("machine record (ISO 11783-10)"),
        (".zip", ".xml"),
        gettext_lazy(
            "The TASKDATA folder of a terminal, zipped, with weight or tank level. Loads are "
            "proposed; you confirm, divide, join or drop each."
        ),
    ),
):
    register_kind(
        name,
        title,
        name,
        summarise,
        take_over,
        endings=endings,
        help=words,
        context=box_of,
        refuse_undo=refuse_undo,
        after=facts.renew,
        set_back=as_it_was,
        page="proposed_loads",
        apart=("load:", "load_field:", "split:", "join:", "spreader:", "storage:", "method:"),
    )
