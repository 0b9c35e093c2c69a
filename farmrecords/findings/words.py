"""Findings, facts and drawings in the language of the page.

The rules are pure and speak English: a finding carries its template and parameters, and the
English text is the key under which the catalogue of the rules holds the other languages.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.utils.dates import MONTHS_3
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from farmrecords.drawing.inputs import Words
from farmrecords.rules.facts import UNKNOWN
from farmrecords.rules.findings import (
    COMPARATOR_WORDS,
    ON_FIELD,
    SINGLE,
    Comparison,
    Finding,
    of_one,
)
from farmrecords.rules.findings import shown as shown_in_english
from farmrecords.rules.vocabulary import FEATURE_KINDS, TERMS

# How the rules join several texts in one parameter; each piece is a text of its own.
WINDOW = re.compile(r"(?P<first>\d\d-\d\d) to (?P<last>\d\d-(\d\d|end))")
COUNTED = re.compile(r"(?P<n>\d+) (?P<words>.+)")
JOINED = re.compile(r"(; | or |, )")
KINDS = "|".join(sorted(map(re.escape, FEATURE_KINDS.values()), key=len, reverse=True))
NAMED_KIND = re.compile(rf"^(?P<name>.+) \((?P<kind>{KINDS})\)$")
SOME_KIND = re.compile(rf"^an? (?P<kind>{KINDS})$")


def rule_text(words: str) -> str:
    """A text of the rules in the language of the page; itself where nobody translated it."""
    return _(words) if words else ""


def title_of(finding: Finding) -> str:
    """The title of the rule of a finding."""
    return rule_text(finding.title)


def fact_meaning(name: str) -> str:
    """What a fact of the rules means; its own name when the vocabulary does not have it."""
    term = TERMS.get(name)
    return rule_text(term.meaning) if term else name


def value_words(value: object) -> str:
    """A value of a fact as a person reads it."""
    if isinstance(value, tuple):
        return ", ".join(value_words(item) for item in value) if value else _("none")
    words = shown_in_english(value)
    if window := WINDOW.fullmatch(words):
        return _("%(first)s to %(last)s") % window.groupdict()
    return rule_text(words) if words and not words[0].isdigit() else words


def worksheet_text(text: str) -> str:
    """A title, step or note of a worksheet; a count it begins with is no part of the key."""
    counted = COUNTED.fullmatch(text)
    if counted is None:
        return rule_text(text)
    return rule_text("{n} " + counted["words"]).format(n=counted["n"])


def name_words(what: str, name: str) -> str:
    """A name of a rule file in words; `what` it names keeps short words apart in the catalogue."""
    spaced = str(name).replace("_", " ")
    key = f"{what}: {spaced}"
    found = _(key)
    return spaced if found == key else found


def unit_words(unit: str) -> str:
    """A unit of the rules; inches are no preposition."""
    return pgettext("inches", "in") if unit == "in" else rule_text(unit)


def said(finding: Finding) -> str:
    """The plain sentence of a finding."""
    missing = "; ".join(fact_meaning(name) for name in finding.missing)
    text = rule_text(finding.template).format_map(_Said(finding.params, missing))
    if one := SINGLE.get(finding.params.get("unit", "")):
        text = of_one(text, rule_text(finding.params["unit"]), rule_text(one))
    return f"{finding.params[ON_FIELD]}: {text}" if ON_FIELD in finding.params else text


def compared_words(finding: Finding) -> list[str]:
    """What the finding held against each other, one line each."""
    return [_comparison(row) for row in finding.compared]


class _Said(dict[str, str]):
    """Parameters of a sentence in the language of the page."""

    def __init__(self, params: Mapping[str, Any], missing: str) -> None:
        super().__init__({name: _parameter(name, value) for name, value in params.items()})
        self["missing"] = missing

    def __missing__(self, name: str) -> str:
        return _("not known")


def _parameter(name: str, value: object) -> str:
    if not isinstance(value, str):
        return value_words(value)
    if name == "unit":
        return unit_words(value)
    if name == "feature":
        return _feature(value)
    whole = value_words(value)
    if whole != shown_in_english(value):
        return whole
    return "".join(
        _joint(piece) if JOINED.fullmatch(piece) else value_words(piece)
        for piece in JOINED.split(value)
    )


def _joint(piece: str) -> str:
    joint = _("or")
    return f" {joint} " if piece == " or " else piece


def _feature(words: str) -> str:
    """“Mill Brook (perennial stream)” or “a perennial stream”, the kind translated."""
    if named := NAMED_KIND.match(words):
        return f"{named['name']} ({rule_text(named['kind'])})"
    if some := SOME_KIND.match(words):
        kind = rule_text(some["kind"])
        if kind != some["kind"]:  # other languages have genders; English keeps its article
            return _("the nearest feature of the kind “%(kind)s”") % {"kind": kind}
    return words


def _comparison(row: Comparison) -> str:
    unit = f" {unit_words(row.unit)}" if row.unit else ""
    actual = value_words(row.actual) + (unit if row.actual is not None else "")
    words = f"{rule_text(row.words)}: {actual}"
    if row.limit is None:
        return words
    if row.limit is UNKNOWN:
        return f"{words}; {_('asked')}: {value_words(UNKNOWN)}"
    comparator = rule_text(COMPARATOR_WORDS.get(row.comparator, row.comparator))
    limit = f"{comparator} {value_words(row.limit)}{unit}".strip()
    asked = _("asked")
    return f"{words}; {asked}: {limit}"


def drawing_words() -> Words:
    """The words printed in drawings."""
    return Words(
        months=tuple(capfirst(str(MONTHS_3[number])) for number in range(1, 13)),
        north=_("N (north)").split(" ")[0],
        today=_("today"),
        feet=_("ft"),
        metres=_("m"),
        band_scale=_("top: {amount} {unit} in a day"),
        band_level=_("line: level, top is full"),
        band_level_over=_("line: level"),
        full=_("full"),
        level_axis=_("level, ft above the floor"),
        no_reading=_("no reading"),
        level=_("level"),
        depth=_("depth"),
        berm=_("berm"),
        pattern_bars=_("caught in the trays, one pass"),
        pattern_line=_("with neighbouring passes {feet} ft apart"),
        pattern_axis=_("feet from the track"),
        effective_width=_("effective width"),
        times_height=_("height drawn {times} times"),
        no_spreading=_("no spreading"),
        way_driven=_("way driven"),
        marks={
            "met": _("met"),
            "not_met": _("not met"),
            "cannot_tell": _("cannot tell"),
            "notice": _("notice"),
        },
    )
