"""One row of a list of loads -> a draft, with the file's words matched to the records here."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _

from farmrecords.farm.models import Field, Spreader, Storage
from farmrecords.formats.common import Choice, Question, Rejected, shown
from farmrecords.loads.draft import DrawDraft, LoadDraft, PartDraft
from farmrecords.loads.kinds import GROUND, MEASURED_BY, METHODS
from farmrecords.people.models import Membership, Operation

# What people write for the controlled words, beside the words themselves.
METHOD_WORDS = {
    "injected": "inject injection knifed injected",
    "incorporated": "incorporation incorporate incorporated disked tilled",
    "surface": "broadcast surface spread topdress top-dress splash",
    "irrigated": "irrigation irrigate irrigated sprinkler pivot",
}
MEASURED_WORDS = {
    "scale": "scale scales weigh weighed loadcells",
    "counted": "count counted loads tally",
    "meter": "meter flowmeter flow-meter",
    "pump_hours": "pump-hours hours pump_hours",
    "truck_scale": "ticket tickets truck-scale truck_scale",
    "storage_drop": "drop storage_drop level",
    "rated": "rated estimate estimated capacity",
}
GROUND_WORDS = {
    "dry": "dry", "wet": "wet moist", "saturated": "saturated", "frozen": "frozen",
    "snow": "snow snow-covered", "unknown": "unknown",
}  # fmt: skip
MOST_CHOICES = 400


def plain(text: str) -> str:
    """A label as it is compared: lower case, single spaces."""
    return " ".join(text.casefold().split())


class Matching:
    """Matches labels and words of a file to what is here, and collects what must be asked."""

    def __init__(self, operation: Operation, answers: dict[str, str]) -> None:
        self.answers = answers
        self.asked: Counter[tuple[str, str]] = Counter()
        self.rows: dict[str, dict[str, Any]] = {
            "field": _by_pk(Field.objects.filter(operation=operation, voided=False)),
            "storage": _by_pk(Storage.objects.filter(operation=operation, voided=False)),
            "spreader": _by_pk(Spreader.objects.filter(operation=operation, voided=False)),
        }
        self.names = {kind: _names(rows.values()) for kind, rows in self.rows.items()}
        members = Membership.objects.filter(operation=operation, voided=False)
        self.people = {
            plain(name): row.person
            for row in members.select_related("person")
            for name in (row.person.display_name, row.person.initials)
            if name
        }

    def record(self, kind: str, label: str) -> Any:
        """The record a label names; None when it must be asked, or was left out."""
        if not label and kind != "field":
            return None
        answer = self.answers.get(f"{kind}:{plain(label)}", "")
        if answer in self.rows[kind]:
            return self.rows[kind][answer]
        found = self.names[kind].get(plain(label), [])
        if len(found) == 1:
            return found[0]
        if answer != "leave":
            self.asked[kind, label] += 1
        return None

    def is_left_out(self, kind: str, label: str) -> bool:
        """Whether a person said that rows with this label stay out."""
        return self.answers.get(f"{kind}:{plain(label)}") == "leave"

    def word(self, kind: str, text: str, words: dict[str, str], codes: list[Any]) -> str:
        """The code of a controlled word; empty when it must be asked."""
        given = plain(text)
        answer = self.answers.get(f"{kind}:{given}", "")
        if answer in dict(codes):
            return answer
        for code, title in codes:
            if given and (given == code or given == plain(str(title))):
                return str(code)
        bits = set(given.replace(",", " ").split())
        hits = [code for code, known in words.items() if bits & set(known.split())]
        if len(hits) == 1:
            return hits[0]
        self.asked[kind, text] += 1
        return ""

    def questions(self) -> list[Question]:
        """What must be asked, each once for the file."""
        return [self._question(kind, label, n) for (kind, label), n in self.asked.items()]

    def _question(self, kind: str, label: str, count: int) -> Question:
        key = f"{kind}:{plain(label)}"
        if kind in self.rows:
            asked = _("%(n)d row(s) name “%(label)s”, which is no %(kind)s here. Which is meant?")
            choices = [
                Choice(pk, str(row)) for pk, row in list(self.rows[kind].items())[:MOST_CHOICES]
            ]
            choices.append(Choice("leave", _("leave these rows out")))
        else:
            asked = (
                _("%(n)d row(s) say “%(label)s” for the %(kind)s. What does it mean?")
                if label
                else _("%(n)d row(s) say nothing about the %(kind)s. What holds for them?")
            )
            codes = METHODS if kind == "method" else MEASURED_BY
            choices = [Choice(code, str(title)) for code, title in codes]
        words = {"field": _("field"), "storage": _("storage"), "spreader": _("spreader"),
                 "method": _("method"), "measured": _("measuring")}  # fmt: skip
        told = asked % {"n": count, "label": shown(label), "kind": words[kind]}
        return Question(key, told, tuple(choices))


def _by_pk(rows: Iterable[Any]) -> dict[str, Any]:
    return {str(row.pk): row for row in rows}


def _names(rows: Iterable[Any]) -> dict[str, list[Any]]:
    """Every name a record goes by -> the records that go by it."""
    found: dict[str, list[Any]] = {}
    for row in rows:
        names = {row.name, str(row), *getattr(row, "aliases", ())}
        if number := getattr(row, "number", ""):
            names |= {number, f"{row.name} {number}"}
        for name in {plain(str(name)) for name in names}:
            found.setdefault(name, []).append(row)
    return found


def draft_of(item: dict[str, Any], matching: Matching) -> tuple[LoadDraft | None, Rejected | None]:
    """The draft of a row; neither draft nor refusal when it is left out or must be asked."""
    labels = {kind: item[f"{kind}_label"] for kind in ("field", "storage", "spreader")}
    if any(label and matching.is_left_out(kind, label) for kind, label in labels.items()):
        return None, None
    records = {kind: matching.record(kind, label) for kind, label in labels.items()}
    method = matching.word("method", item["method"], METHOD_WORDS, METHODS)
    counted = item["per_load"] or item["amount_unit"] == "load"
    measured = "counted" if counted else _measured(item, matching)
    missing = any(labels[kind] and records[kind] is None for kind in labels)
    if missing or not method or not measured:
        return None, None
    person = matching.people.get(plain(item["driver"]))
    storage = records["storage"]
    draft = LoadDraft(
        started=_moment(item["started_at"]),
        ended=_moment(item["ended_at"]) if item["ended_at"] else None,
        incorporated=_moment(item["incorporated_at"]) if item["incorporated_at"] else None,
        parts=[PartDraft(records["field"])],
        draws=[DrawDraft(storage)] if storage else [],
        method=method,
        measured_by=measured,
        spreader=records["spreader"],
        person=person,
        driver_name="" if person else item["driver"][:80],
        ground=_ground(item["ground"]),
        source_key=item["source_key"],
        note=_note(item),
        extra={"time_known": item["time_known"]},
        **_amount(item),
    )
    return draft, None


def _measured(item: dict[str, Any], matching: Matching) -> str:
    return matching.word("measured", item["measured_by"], MEASURED_WORDS, MEASURED_BY)


def _moment(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text)


def _amount(item: dict[str, Any]) -> dict[str, Any]:
    if item["amount_unit"] == "load":
        return {"loads_counted": item["loads_counted"]}
    if item["per_load"]:
        return {
            "loads_counted": item["loads_counted"],
            "each_load_text": item["amount_text"],
            "each_load_unit": item["amount_unit"],
        }
    return {
        "amount_text": item["amount_text"],
        "amount_unit": item["amount_unit"],
        "loads_counted": item["loads_counted"],
    }


def _ground(text: str) -> str:
    bits = set(plain(text).split())
    hits = [code for code, words in GROUND_WORDS.items() if bits & set(words.split())]
    return hits[0] if len(hits) == 1 and hits[0] in dict(GROUND) else "unknown"


def _note(item: dict[str, Any]) -> str:
    notes = [item["note"]]
    if item["ground"] and _ground(item["ground"]) == "unknown":
        notes.append(_("ground in the file: %(ground)s") % {"ground": item["ground"]})
    if not item["time_known"]:
        notes.append(_("the file gives no time of day; noon stands for it"))
    return "; ".join(note for note in notes if note)[:250]
