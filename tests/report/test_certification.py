"""The certification: the permit's wording word for word, or that the report cannot be signed."""

from __future__ import annotations

import datetime as dt
import html
import io
import json
import re

import pdfplumber
import pytest

from farmrecords.people.models import Permit
from farmrecords.report.canonical import to_json
from farmrecords.report.certification import LINES
from farmrecords.report.content import build
from farmrecords.report.pdf import render
from tests import builders as make
from tests.report.test_pages import address, signed_in

pytestmark = pytest.mark.django_db

DAYS = dt.date(2026, 1, 1), dt.date(2026, 12, 31)
ENTERED = {
    "certification_text": "First <paragraph> of the demonstration wording.\n" + "word " * 400,
    "certification_citation": "permit, part 9 (demonstration)",
    "certification_dated": dt.date(2021, 3, 1),
}


def operation_with(**values):
    operation = make.make_operation("hill-farm")
    if values:
        make.amend(Permit.objects.get(operation=operation), **values)
    return operation


def paper(report) -> str:
    with pdfplumber.open(io.BytesIO(render(report))) as book:
        return "\n".join(page.extract_text() for page in book.pages)


def test_the_wording_stands_whole_on_page_paper_and_in_the_json(client):
    operation = operation_with(**ENTERED)
    report = build(operation, *DAYS)
    told = json.loads(to_json(report))["report"]["certification"]
    assert told["text"] == ENTERED["certification_text"].strip()
    assert told["dated"] == "2021-03-01"
    printed = paper(report)
    assert printed.count("word ") + printed.count("word\n") >= 400
    signed_in(client, operation)
    page = client.get(address("report_period", operation, *(f"{day}" for day in DAYS)))
    words = html.unescape(re.sub(r"<[^>]+>", " ", page.content.decode()))
    for said in ("First <paragraph> of", "permit, part 9 (demonstration)", "2021-03-01", *LINES):
        assert said in words
        assert said in printed


@pytest.mark.parametrize(
    ("left_out", "empty", "named"),
    [
        ("certification_text", "", "the certification wording of the permit"),
        ("certification_citation", "", "where that wording stands"),
        ("certification_dated", None, "the date of that wording"),
    ],
)
def test_without_wording_place_and_date_the_report_cannot_be_signed(left_out, empty, named):
    report = build(operation_with(**(ENTERED | {left_out: empty})), *DAYS)
    words = f"Not entered: {named}. Without it this report cannot be signed."
    assert report.certification.words == words
    assert report.certification.lines == ()
    assert words in paper(report).replace("\n", " ")


def test_without_permit_facts_the_report_cannot_be_signed():
    operation = operation_with(to_on=dt.date(2026, 6, 30), **ENTERED)
    made = build(operation, *DAYS).certification
    assert made.text == ""
    assert "permit facts" in made.words
