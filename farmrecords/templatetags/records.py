"""Figures and words of records in templates: amounts, rates, pounds, facts by their meaning."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from django import template
from django.utils.formats import number_format
from django.utils.html import escape
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from farmrecords.farm.kinds import FEATURE_KINDS, YES_NO_UNKNOWN
from farmrecords.findings import words
from farmrecords.findings.models import OUTCOMES
from farmrecords.loads.amounts import rate_word, unit_word
from farmrecords.loads.amounts import shown as amount_shown
from farmrecords.loads.problems import problem_words
from farmrecords.measurements.results import ANALYTES
from farmrecords.rules.ahead import Change
from farmrecords.rules.findings import Finding
from farmrecords.rules.papers import PAPERS

register = template.Library()

DAY = re.compile(r"\b\d{4}-\d{2}-\d{2}\b")

COVERED = {
    "track": lambda: _("by its track"),
    "noted": lambda: _("as noted"),
    "whole_field": lambda: _("whole field: no track, no acres noted"),
}
# How a number or text is known: the tags of rule files and worksheets.
EVIDENCE = {
    "read": lambda: pgettext("evidence", "read"),
    "secondary": lambda: pgettext("evidence", "secondary"),
    "memory": lambda: pgettext("evidence", "memory"),
    "derived": lambda: pgettext("evidence", "derived"),
    "definition": lambda: pgettext("evidence", "definition"),
    "computed": lambda: pgettext("evidence", "computed"),
    "practice": lambda: pgettext("evidence", "practice"),
}


@register.simple_tag
def amount(milli: int | None, kind: str) -> str:
    """An amount as shown, e.g. “6,500 gal”."""
    return amount_shown(milli, kind) if milli is not None else "—"


@register.simple_tag
def rate(value: float, kind: str) -> str:
    """A rate as shown: whole gallons, tons to a tenth, with the unit."""
    decimals = 0 if kind == "gal" else 1
    return f"{number_format(value, decimals, force_grouping=True)} {rate_word(kind)}"


@register.filter
def days_whole(text: object) -> str:
    """A text in which no day breaks at its hyphens at the end of a line."""
    return mark_safe(DAY.sub(r'<span class="day">\g<0></span>', escape(text)))


@register.filter
def pounds(value: float | None) -> str:
    """Pounds to a tenth, or “cannot tell”."""
    return _("cannot tell") if value is None else number_format(value, 1, force_grouping=True)


@register.simple_tag
def covered_words(how: str | None) -> str:
    """Where the covered acres come from."""
    return COVERED[how]() if how in COVERED else ""


@register.filter
def feature_words(kind: str) -> str:
    """The words of a kind of feature."""
    return str(dict(FEATURE_KINDS).get(kind, kind))


@register.filter
def yes_no_words(value: str) -> str:
    """Yes, no or not known."""
    return str(dict(YES_NO_UNKNOWN).get(value, value))


@register.filter
def fact_words(name: str) -> str:
    """What a fact of the rules means, in words."""
    return words.fact_meaning(name)


@register.filter
def said(finding: Finding) -> str:
    """The plain sentence of a finding."""
    return words.said(finding)


@register.filter
def compared_words(finding: Finding) -> list[str]:
    """The numbers a finding held against each other, a line each."""
    return words.compared_words(finding)


@register.filter
def problem(trouble: str) -> str:
    """Why a track or a log told nothing, in the reader's language."""
    return problem_words(trouble)


@register.filter
def worksheet_text(text: str) -> str:
    """A title, step or note of a worksheet."""
    return words.worksheet_text(text)


@register.filter
def rule_text(text: str) -> str:
    """A title or another text of the rules."""
    return words.rule_text(text)


@register.simple_tag
def ahead_total(amount: float, kind: str) -> str:
    """An amount on all open acres, in whole gallons or tons to a tenth."""
    unit = unit_word(kind, amount)
    return f"{number_format(amount, 0 if kind == 'gal' else 1, force_grouping=True)} {unit}"


@register.simple_tag
def change_words(change: Change) -> str:
    """What would change the answer: another way of placing it, or a later day."""
    if change.words.startswith("on "):
        return _("on %(day)s") % {"day": change.on.isoformat()}
    return words.rule_text(change.words)


@register.filter
def outcome_words(outcome: str) -> str:
    """An outcome in words; what a rule does not say is no finding."""
    return str(dict(OUTCOMES).get(outcome, _("no finding")))


@register.filter
def paper_words(name: str) -> str:
    """A paper as the rules name it, in words."""
    return words.rule_text(PAPERS.get(name, name.replace("_", " ")))


@register.filter
def on_clock_of(moment: dt.datetime, load: Any) -> dt.datetime:
    """A moment on the clock that was valid when the load started."""
    return moment.astimezone(load.started_local.tzinfo)


@register.filter
def get(mapping: dict, key: Any) -> Any:
    """The value under a key, or None."""
    return mapping.get(key)


@register.filter
def analyte_words(name: str) -> str:
    """What a laboratory figure is called."""
    return str(ANALYTES.get(name, name))


@register.filter
def evidence(tag: str) -> str:
    """How a number or text is known, in words."""
    known = EVIDENCE.get(tag)
    return known() if known else tag


@register.filter
def value_name(name: str) -> str:
    """What a number of a rule is, in words."""
    return words.name_words("value", name)


@register.filter
def check_name(name: str) -> str:
    """The check that decides a rule, in words."""
    return words.name_words("check", name)


@register.filter
def value_words(value: object) -> str:
    """A number, day or word of a rule as a person reads it."""
    return words.value_words(value)


@register.filter
def unit_words(unit: str) -> str:
    """A unit of the rules."""
    return words.unit_words(unit)
