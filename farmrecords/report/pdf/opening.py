"""The first page: what this is, for whom, under which permit, for which days, and the contents."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from reportlab.platypus import PageBreak, Spacer

from farmrecords.report.cover import jurisdiction_names
from farmrecords.report.model import AnnualReport, Cover
from farmrecords.report.pdf.face import WIDTH
from farmrecords.report.pdf.paper import contents
from farmrecords.report.pdf.tables import facts
from farmrecords.report.pdf.words import said

WHAT_IT_IS = (
    "Prepared from the operation's own records for entry in the agency's system, or for signature "
    "on paper. This file is not the copy of record of any agency, and nothing in it is a signature."
)
HOW_FIGURES = (
    "Each figure is added up from single loads and rounded once, for display. Where a fact is "
    "missing the report says “cannot tell” and names it. Solid manure is in tons, liquid manure "
    "and wastewater in gallons; the two are never added."
)


def opening(report: AnnualReport) -> Iterator[Any]:
    """Title, draft line, cover facts and contents."""
    yield said("Annual report of manure, litter and process wastewater", "title")
    yield said("Draft, not signed. It becomes a report when the signatory signs it.", "draft")
    yield facts(cover_facts(report.cover), WIDTH)
    for note in report.cover.notes:
        yield said(note)
    yield said(WHAT_IT_IS)
    yield said(HOW_FIGURES)
    yield Spacer(1, 8)
    yield said("Contents", "item")
    yield contents()
    yield PageBreak()


def cover_facts(cover: Cover) -> list[tuple[str, str]]:
    """The cover facts as names and values; what is not entered says so."""
    permitted = {True: "yes", False: "no", None: ""}[cover.is_permitted]
    size_class = cover.size_class
    if cover.size_class and cover.class_basis:
        size_class = f"{cover.size_class} ({cover.class_basis})"
    pairs = [
        ("Operation", cover.operation),
        ("Mailing address", cover.address),
        ("Permit number", cover.permit_number),
        ("Discharge permit", permitted),
        ("Class", size_class),
        ("Rate approach", cover.approach),
        ("Rules of", jurisdiction_names(cover.jurisdictions)),
        ("Period", f"{cover.first_on} to {cover.last_on}, both days included"),
        ("Report due", f"{cover.due_on}" if cover.due_on else ""),
    ]
    return [(name, value or "not entered") for name, value in pairs]
