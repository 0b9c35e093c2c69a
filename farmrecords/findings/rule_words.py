"""Every English text of the rules that a page shows: the keys of the rules' catalogue.

Python and templates are read by makemessages; rule files and the words of the pure rooms are not,
so they are listed here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from farmrecords.calculations.worksheet import run_worksheet
from farmrecords.findings.words import COUNTED
from farmrecords.rules.checks import CHECKS
from farmrecords.rules.conditions import OPERATORS
from farmrecords.rules.findings import COMPARATOR_WORDS
from farmrecords.rules.model import Rule
from farmrecords.rules.rulebook import read_rulebook
from farmrecords.rules.sentences import COMMON
from farmrecords.rules.terms import Term
from farmrecords.rules.vocabulary import FEATURE_KINDS, TERMS
from farmrecords.rules.vocabulary_farm import SECTORS
from farmrecords.rules.walks import bundles_in

# Jurisdictions whose rules the pages say in every language; the others may stay English.
TRANSLATED = ("us", "us-nrcs", "us-vt", "us-ia", "us-md")
# Words that the checks and the comparisons put in themselves.
SAID_BY_CHECKS = (
    "animals", "filed", "rain foretold", "probability", "period", "yes", "no", "none", "not known",
    "large", "medium", "below", "the larger distance of the other authority",
    "month", "months", "day", "days", "year", "years", "hour", "hours", "week", "weeks",
)  # fmt: skip

# Worksheets on the pages of the crew, worked in every way that changes their words.
_AMOUNT = {"amount": "8.13", "unit": "ton"}
_GALLONS = {"amount": "6500", "unit": "gal"}
_CONTENT = {"form": "solid", "total_n": 13, "p2o5": 6, "k2o": 10}
WORKED: tuple[tuple[str, dict[str, Any]], ...] = (
    ("load_rate", {**_AMOUNT, "covered_ac": 0.73}),
    ("load_rate", {**_GALLONS, "covered_ac": 2}),
    ("load_nutrients", {**_AMOUNT, **_CONTENT, "covered_ac": 1}),
    ("load_nutrients", {**_AMOUNT, "form": "solid"}),
    ("field_year_nutrients", {"field_ac": 10, "loads": [{"n_lb": 500, "covered_ac": 5}]}),
)


def general_texts() -> list[str]:
    """Texts that belong to no single rule: sentences, meanings of facts, choices, units."""
    found: list[str] = [*COMMON.values()]
    for check in CHECKS.values():
        found += check.templates.values()
    found += [*FEATURE_KINDS.values(), *SECTORS.values(), *COMPARATOR_WORDS.values()]
    found += SAID_BY_CHECKS
    found += (operator.removesuffix("_fact").replace("_", " ") for operator in OPERATORS)
    for term in TERMS.values():
        found += _of_term(term)
    for name, inputs in WORKED:
        found += _of_worksheet(name, inputs)
    return _once(found)


def rule_texts(jurisdictions: Iterable[str] | None = TRANSLATED) -> list[str]:
    """What the pages say of the rules of these jurisdictions (None: of all) in the files' words."""
    wanted = None if jurisdictions is None else set(jurisdictions)
    found: list[str] = []
    book = read_rulebook()
    for rule in book.rules:
        if wanted is None or rule.jurisdiction in wanted:
            found += _of_rule(rule)
    for name, declared in book.coverage.items():
        if wanted is None or name in wanted:
            found.append(declared.title)
            for row in declared.rows:
                found += (row.row, row.why)
    return _once(found)


def _of_term(term: Term) -> Iterator[str]:
    yield term.meaning
    yield from (choice.replace("_", " ") for choice in term.choices)
    if term.unit and term.unit != "in":  # inches have a key of their own, beside the preposition
        yield term.unit


def _of_worksheet(name: str, inputs: dict[str, Any]) -> Iterator[str]:
    sheet = run_worksheet(name, inputs)
    yield from (sheet.title, sheet.source)
    for step in sheet.steps:
        yield from (step.words, step.formula, step.source)
    for note in sheet.notes:
        counted = COUNTED.fullmatch(note)
        yield "{n} " + counted["words"] if counted else note


def _of_rule(rule: Rule) -> Iterator[str]:
    yield rule.title
    yield from rule.words.values()
    yield from (bundle.name for bundle in bundles_in((rule.exceptions, rule.keys)))
    yield from (rule.section.title, rule.note, f"check: {rule.check.replace('_', ' ')}")
    for value in rule.values:
        yield f"value: {value.name.replace('_', ' ')}"
        if value.unit != "in":
            yield value.unit


def _once(texts: Iterable[str]) -> list[str]:
    return [text for text in dict.fromkeys(texts) if text]
