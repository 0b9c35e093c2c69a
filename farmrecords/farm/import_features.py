"""Features as they come in: kinds matched to the controlled list, places dated."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from farmrecords.farm.import_shapes import day_answer, plain, put_in_force, refused, rounded
from farmrecords.farm.kinds import FEATURE_KINDS
from farmrecords.farm.models import Feature
from farmrecords.formats.common import Choice, Question, Rejected, shown
from farmrecords.history import write
from farmrecords.intake.kinds import Summary, Written
from farmrecords.intake.models import IncomingFile
from farmrecords.intake.refusals import row_named
from farmrecords.people.access import Seat

# Words that mean one kind only; anything else is asked.
WORDS = {
    "perennial stream": "stream_perennial", "intermittent stream": "stream_intermittent",
    "tile inlet": "open_tile_intake", "tile intake": "open_tile_intake",
    "open tile inlet": "open_tile_intake", "drinking water well": "well_drinking",
    "public well": "well_public", "house": "dwelling", "residence": "dwelling",
    "road": "public_road", "canal or ditch": "ditch", "swamp or marsh": "wetland",
    "spring or seep": "spring",
}  # fmt: skip
# What a moved feature takes over from the one it follows, and what a correction may change.
SAME = ("down_gradient", "flows_toward", "uncertainty_ft", "built_on", "further")
COLUMNS = ("geometry", "line_source", "down_gradient", "uncertainty_ft")
CERTAIN = {"yes": "yes", "true": "yes", "no": "no", "false": "no"}


def summarise_features(seat: Seat, items: list[dict[str, Any]], answers: dict[str, str]) -> Summary:
    """What features would bring: new ones, moved ones, ones already here."""
    summary = Summary(figures=[(_("features read"), len(items))])
    on = day_answer(answers, summary, _("features"))
    known = _known(seat)
    asked: Counter[str] = Counter()
    proposals: list[tuple[str, dict[str, Any], dict[str, Any]]] = []
    here = 0
    names = Counter((_kind(i["kind"], answers, Counter()), plain(i["name"])) for i in items)
    for item in items:
        try:
            place = rounded(item["geometry"])
        except ValidationError as error:
            summary.rejected.append(refused(item, error))
            continue
        kind = _kind(item["kind"], answers, asked)
        if not kind:
            continue
        rows = known[kind, plain(item["name"])]
        if on and any(row.geometry == place and row.holds_on(on) for row in rows):
            here += 1
            continue
        if item["name"] and rows and (len(rows) > 1 or names[kind, plain(item["name"])] > 1):
            summary.rejected.append(_several(item))
            continue
        proposals.append((kind, item, place))
        words = dict(FEATURE_KINDS)[kind]
        summary.lines.append((item["row_number"], f"{words} {item['name']}".strip()))
    summary.questions += [_question(word, n) for word, n in asked.items()]
    summary.new = len(proposals)
    summary.payload = (on, proposals)
    summary.figures += [
        (_("features to be recorded"), len(proposals)),
        (_("features already here"), here),
    ]
    return summary


def _several(item: dict[str, Any]) -> Rejected:
    return Rejected(
        item["row_number"],
        "name",
        shown(item["name"]),
        _("The name stands for several features, so it is not clear which one moved."),
        _("Give each its own name in the file, or enter the new place by hand."),
    )


def _known(seat: Seat) -> dict[tuple[str, str], list[Feature]]:
    found: dict[tuple[str, str], list[Feature]] = defaultdict(list)
    for row in Feature.objects.filter(operation=seat.operation, voided=False):
        found[row.kind, plain(row.name)].append(row)
    return found


def _kind(word: str, answers: dict[str, str], asked: Counter[str]) -> str:
    """The kind a word of the file means; empty when it is asked or left out."""
    codes = dict(FEATURE_KINDS)
    answer = answers.get(f"kind:{plain(word)}", "")
    if answer in codes:
        return answer
    if answer == "leave":
        return ""
    told = plain(word)
    for code, title in FEATURE_KINDS:
        if told in (code, code.replace("_", " "), plain(str(title))):
            return code
    if told in WORDS:
        return WORDS[told]
    asked[word] += 1
    return ""


def _question(word: str, count: int) -> Question:
    asked = (
        _("%(n)d feature(s) are called “%(word)s”. What are they?")
        if word
        else _("%(n)d feature(s) do not say what they are. What are they?")
    )
    choices = [Choice(code, str(title)) for code, title in FEATURE_KINDS]
    choices.append(Choice("leave", _("nothing to keep away from; leave them out")))
    told = asked % {"n": count, "word": shown(word)}
    return Question(f"kind:{plain(word)}", told, tuple(choices))


def take_over_features(
    seat: Seat, change: write.Change, _incoming: IncomingFile, summary: Summary
) -> Written:
    """Put the features in force from their day on."""
    on, proposals = summary.payload
    done = Written()
    known = _known(seat)
    for kind, item, place in proposals:
        # A thing with a name that moves is the same thing; one without a name is its own.
        rows = known[kind, plain(item["name"])] if item["name"] else []
        before = _before(rows, on)
        new = Feature(
            operation=seat.operation,
            follows=before,
            from_on=on,
            kind=kind,
            name=item["name"][:80],
            geometry=place,
            line_source="imported",
            **_facts(item, before),
        )
        with row_named(item["row_number"], item["name"]):
            put_in_force(change, done, new, rows, COLUMNS)
    return done


def _before(rows: list[Feature], on: dt.date) -> Feature | None:
    """The thing as it stood on the day or, where it began later, as it was first recorded."""
    held = [row for row in rows if row.holds_on(on)]
    return next(iter(held or sorted(rows, key=lambda row: row.from_on)), None)


def _facts(item: dict[str, Any], before: Feature | None) -> dict[str, Any]:
    """What the file says of the thing; where it says nothing, what was known of it before."""
    properties = {plain(key): value for key, value in item["properties"].items()}
    facts = {name: getattr(before, name) for name in SAME} if before else {}
    told = CERTAIN.get(plain(properties.get("down_gradient", "")))
    feet = _feet(properties.get("uncertainty_ft"))
    return facts | ({"down_gradient": told} if told else {}) | (
        {} if feet is None else {"uncertainty_ft": feet}
    )  # fmt: skip


def _feet(value: Any) -> Decimal | None:
    try:
        feet = Decimal(str(value))
    except InvalidOperation:
        return None
    return feet if feet.is_finite() and 0 <= feet < 10_000 else None
