"""After the items of the law: the narrative approach's part, certification and findings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from xml.sax.saxutils import escape

from reportlab.platypus import CondPageBreak

from farmrecords.drawing import mark
from farmrecords.report.model import (
    AnnualReport,
    Certification,
    Counts,
    FindingRow,
    InputRow,
    Narrative,
    RuleFindings,
)
from farmrecords.report.pdf.face import FONT, WIDTH
from farmrecords.report.pdf.fields import part
from farmrecords.report.pdf.items import statement
from farmrecords.report.pdf.paper import heading
from farmrecords.report.pdf.tables import Column, facts, ledger, room_for
from farmrecords.report.pdf.words import said

OUTCOMES = (
    ("not_met", "not met"),
    ("cannot_tell", "cannot tell"),
    ("notice", "notice"),
    ("met", "met"),
)

ROOM_FOR_RULE = 66.0
LONGEST_WORDING = 20_000  # the law's wording is never cut short
STANDINGS = {
    "firm": "firm",
    "to_confirm": "to be confirmed against the official text",
    "memory": "numbers shown, nothing decided",
}


def narrative_pages(narrative: Narrative | None, is_asked: bool | None) -> Iterator[Any]:
    """What a narrative filer adds to item (viii); a linear filer is told that it is not asked."""
    yield CondPageBreak(200 if narrative else 80)
    yield heading("(viii) Soil tests, inputs and fertilizer", "item", 0)
    yield said("40 CFR 122.42(e)(4)(viii), narrative rate approach", "soft")
    if narrative is None and is_asked is None:
        yield said("Cannot tell whether it is asked: no permit facts are entered.")
        return
    if narrative is None:
        yield said("Not asked of an operation that does not use the narrative rate approach.")
        return
    nothing = "No soil test for nitrogen or phosphorus is entered in the period."
    yield from part(
        "Soil tests for nitrogen and phosphorus in the period",
        _soil_tests(narrative) if narrative.soil_tests else nothing,
    )
    yield from part("Data used in the calculation", _inputs(narrative))
    yield from part(
        "Supplemental fertilizer in the period",
        _fertilizer(narrative) if narrative.fertilizer else narrative.fertilizer_words,
    )
    if narrative.fertilizer and narrative.fertilizer_words:
        yield said(narrative.fertilizer_words)
    for made in narrative.fertilizer_statements:
        yield from statement(made)


def certification_pages(made: Certification) -> Iterator[Any]:
    """The permit's certification wording with the lines to sign on, or what is not entered."""
    yield CondPageBreak(120 if not made.lines else 260)
    yield heading("Certification", "item", 0)
    where = f"; wording from {made.citation}" if made.citation else ""
    dated = f", dated {made.dated}" if made.dated else ""
    yield said(f"40 CFR 122.22(d){where}{dated}", "soft")
    for line in made.text.splitlines():
        if line.strip():
            yield said(line, longest=LONGEST_WORDING)
    yield said(made.words)
    if made.lines:
        yield facts([(line, "") for line in made.lines], WIDTH, 210.0, row_height=26.0)


def _fertilizer(narrative: Narrative) -> Any:
    return ledger(
        [
            Column("field", 150),
            Column("day", 64),
            Column("product", 150),
            Column("N, lb/ac", 70, right=True),
            Column("P2O5, lb/ac", WIDTH - 434, right=True),
        ],
        [
            (r.field, f"{r.spread_on}", r.product, r.n_lb_per_ac.digits, r.p2o5_lb_per_ac.digits)
            for r in narrative.fertilizer
        ],
    )


def _soil_tests(narrative: Narrative) -> Any:
    return ledger(
        [
            Column("field", 120),
            Column("sampled", 60),
            Column("extractant", 90),
            Column("depth, in", 44, right=True),
            Column("as reported", WIDTH - 314),
        ],
        [
            (
                row.field,
                f"{row.sampled_on}",
                row.extractant or "not entered",
                f"{row.depth_in}" if row.depth_in is not None else "not entered",
                "; ".join(f"{v.analyte} {v.value} {v.unit}" for v in row.reported),
            )
            for row in narrative.soil_tests
        ],
    )


def _inputs(narrative: Narrative) -> Any:
    return ledger(
        [
            Column("field", 72),
            Column("crop year", 30),
            Column("crop", 50),
            Column("yield goal", 56, right=True),
            Column("N limit, lb/ac", 36, right=True),
            Column("N credits, lb/ac", 40, right=True),
            Column("fertilizer N / P2O5, lb/ac", 62, right=True),
            Column("N left for manure, lb/ac", 44, right=True),
            Column("soil P", 46),
            Column("basis of the rate", WIDTH - 436),
        ],
        [
            (
                row.field,
                f"{row.crop_year}",
                row.crop,
                row.yield_goal.words,
                row.n_limit.digits,
                row.n_credit.digits,
                _fertilizer_words(row),
                row.n_for_manure.digits,
                row.soil_p,
                _basis_words(row),
            )
            for row in narrative.inputs
        ],
    )


def _basis_words(row: InputRow) -> str:
    """The basis of the rate, and what manure of earlier years gives where it comes off."""
    words = row.rate_basis or "not entered"
    if row.residual_n is None:
        return words
    return f"{words}; N from manure of earlier years: {row.residual_n.words}"


def _fertilizer_words(row: InputRow) -> str:
    """N and P2O5 of the crop year's fertilizer, or that none is entered."""
    if not row.fertilizer_n.is_known:
        return row.fertilizer_n.missing
    return f"{row.fertilizer_n.digits} / {row.fertilizer_p2o5.digits}"


def findings_pages(report: AnnualReport) -> Iterator[Any]:
    """Findings: counts by outcome, then rule by rule what was not met or cannot be told."""
    found = report.findings
    yield CondPageBreak(160)
    yield heading("Findings", "item", 0)
    if found.words:
        yield said(found.words)
    yield ledger(
        [Column("standing of the rule", 204)] + [_outcome_column(w) for _n, w in OUTCOMES],
        [
            ("firm, or shown without a decision", *_numbers(found.firm)),
            ("to be confirmed against the official text", *_numbers(found.to_confirm)),
        ],
    )
    if not found.rules:
        yield said("No check applied to a record of the period.")
    for rule in found.rules:
        yield from _rule(rule)


def _outcome_column(words: str) -> Column:
    return Column(words, (WIDTH - 204) / 4, right=True)


def _numbers(counts: Counts) -> list[str]:
    return [f"{getattr(counts, name):,}" for name, _words in OUTCOMES]


def _rule(rule: RuleFindings) -> Iterator[Any]:
    groups = (
        ("not_met", "not met", rule.not_met),
        ("cannot_tell", "cannot tell", rule.cannot_tell),
        ("notice", "notice", rule.notices),
    )
    rows = [(name, words, row) for name, words, found in groups for row in found]
    table = _marked(rows) if rows else None
    yield room_for(table, ROOM_FOR_RULE) if table else CondPageBreak(ROOM_FOR_RULE)
    yield heading(escape(rule.title), "part", 1)
    words = f"{rule.citation}; rule {rule.rule_id}; source {rule.status}"
    yield said(f"{words}; {STANDINGS[rule.standing]}", "soft")
    if rule.met:
        yield said(f"met: {rule.met:,}")
    if table:
        yield table


def _marked(rows: list[tuple[str, str, FindingRow]]) -> Any:
    table = ledger(
        [
            Column("", 14),
            Column("outcome", 54),
            Column("how often", 40, right=True),
            Column("record", 150),
            Column("what was compared, or what is missing", WIDTH - 258),
        ],
        [("", words, f"{row.count:,}", row.subject, finding_words(row)) for _n, words, row in rows],
    )
    for line, (name, _words, _row) in enumerate(rows, start=1):
        # the table's cells are plain strings; the mark takes the place of an empty one
        drawn = mark(name, size=8)  # type: ignore[arg-type]
        drawn.initialFontName = FONT
        table._cellvalues[line][0] = drawn
    return table


def finding_words(row: FindingRow) -> str:
    """The sentence, then the numbers compared or the missing facts."""
    words = [row.sentence]
    if row.missing and not all(fact in row.sentence for fact in row.missing):
        words.append(f"Missing: {', '.join(row.missing)}.")
    if row.compared:
        words.append("; ".join(row.compared) + ".")
    return " ".join(words)
