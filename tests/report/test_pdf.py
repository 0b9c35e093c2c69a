"""The report on paper: equal bytes, numbers read back, nothing that a reader would act on."""

from __future__ import annotations

import dataclasses
import io
import itertools
import json
import re

import pdfplumber
import pypdf
import pytest

from farmrecords.report.canonical import anchor_text, report_hash, to_json
from farmrecords.report.model import ITEMS
from farmrecords.report.pdf import render
from tests.report.samples import field_item, load_row, sample_report

# Names that try to break out, and what no file may hold.
HOSTILE = [
    ") /JS (app.alert(1)) (",
    "<b>bold</b><a href='http://example.invalid'>x</a>",
    "&#x0; &lt;para&gt; \\) >> endobj /OpenAction",
    "<img src='file:///etc/hostname'/> /URI (http://example.invalid)",
    "M" * 10_000,
    "two\nlines\tand\x07bell \u202eright to left",
]
FORBIDDEN_KEYS = {
    "/JS", "/JavaScript", "/OpenAction", "/Launch", "/AA", "/EmbeddedFile", "/EmbeddedFiles",
    "/RichMedia", "/URI", "/GoToR", "/SubmitForm", "/ImportData", "/AcroForm",
}  # fmt: skip


def text_of(pdf: bytes) -> str:
    with pdfplumber.open(io.BytesIO(pdf)) as book:
        return "\n".join(page.extract_text() or "" for page in book.pages)


def keys_of(pdf: bytes) -> set[str]:
    """Every name that is a key or an action type anywhere in the file."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    found: set[str] = set()

    def walk(value):
        if isinstance(value, dict):
            for key, inner in value.items():
                found.add(str(key))
                if key == "/S":
                    found.add(str(inner))
                if not isinstance(inner, pypdf.generic.IndirectObject):
                    walk(inner)
        elif isinstance(value, list):
            for inner in value:
                if not isinstance(inner, pypdf.generic.IndirectObject):
                    walk(inner)

    for number in range(1, len(reader.xref[0]) + 1):
        try:
            walk(reader.get_object(number))
        except pypdf.errors.PdfReadError:
            continue
    walk(reader.trailer)
    return found


def test_equal_content_gives_equal_bytes():
    assert render(sample_report()) == render(sample_report())


def test_another_figure_gives_other_bytes_and_another_hash():
    other = sample_report(fields=(field_item(name="Upper meadow"),))
    assert report_hash(other) != report_hash(sample_report())
    assert render(other) != render(sample_report())


def test_the_history_head_is_not_part_of_the_hash():
    later = dataclasses.replace(sample_report().history, seq=1235)
    assert report_hash(sample_report(history=later)) == report_hash(sample_report())
    assert anchor_text(sample_report(history=later)) != anchor_text(sample_report())


def test_the_items_stand_in_the_order_of_the_law():
    # 40 CFR 122.42(e)(4)(i)-(viii) [read]
    text = text_of(render(sample_report()))
    body = text[text.index("40 CFR 122.42(e)(4)(i)\n") :]
    places = [body.index(f"40 CFR 122.42(e)(4)({key})\n") for key in ITEMS]
    assert list(ITEMS) == ["i", "ii", "iii", "iv", "v", "vi", "vii", "viii"]
    assert places == sorted(places)


def test_every_figure_of_the_json_stands_in_the_pdf():
    report = sample_report()
    text = text_of(render(report))
    words = set(re.findall(r"[-+]?[\d,]+(?:\.\d+)?", text))
    figures = list(_figures(json.loads(to_json(report))["report"]))
    assert len(figures) > 60
    assert [value for value in figures if f"{value}" not in words] == []


def _figures(value):
    if isinstance(value, dict):
        if set(value) == {"value", "unit", "missing", "exact", "records"}:
            if value["value"] is not None:
                whole, _, rest = value["value"].partition(".")
                yield f"{int(whole):,}" + (f".{rest}" if rest else "")
            return
        for inner in value.values():
            yield from _figures(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _figures(inner)


def test_the_load_table_adds_up_to_its_total():
    with pdfplumber.open(io.BytesIO(render(sample_report()))) as book:
        lines = "\n".join(page.extract_text() for page in book.pages).split("\n")
    rows = [line for line in lines if re.match(r"^\d+ 2025-\d\d-\d\d 09:30 ", line)]
    amounts = [int(row.split()[3].replace(",", "")) for row in rows]
    assert sum(amounts) == 25_200  # worked by hand: 6 x 4,200
    assert any(line.startswith("total 25,200 ") for line in lines)


def test_each_page_says_its_number_and_how_many_there_are():
    report = sample_report(fields=tuple(field_item(number=str(n)) for n in range(1, 6)))
    with pdfplumber.open(io.BytesIO(render(report))) as book:
        count = len(book.pages)
        assert count > 6
        for number, page in enumerate(book.pages, start=1):
            assert f"page {number} of {count}" in page.extract_text()


def test_each_page_carries_the_history_mark_and_says_draft():
    report = sample_report()
    grouped = " ".join(report.history.hash[i : i + 4] for i in range(0, 64, 4))
    with pdfplumber.open(io.BytesIO(render(report))) as book:
        for page in book.pages:
            text = page.extract_text()
            assert "Draft, not signed" in text
            assert "History 6f1e2f0a, entry 1234, 2026-01-05 12:00:00 UTC" in text
            assert grouped in text
            assert "does not prove that a record is true" in text.replace("\n", " ")
    info = pypdf.PdfReader(io.BytesIO(render(report))).metadata
    assert info.subject == anchor_text(report)
    assert anchor_text(report) == (
        f"amendlog/1|{report.history.log}|1234|{report.history.hash}|{report_hash(report)}"
    )


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_names_are_drawn_as_letters_and_nothing_else(name):
    report = sample_report()
    cover = dataclasses.replace(report.cover, operation=name, address=name, permit_number=name)
    rows = tuple(load_row(n, source=name, method=name) for n in range(1, 4))
    transfers = tuple(
        dataclasses.replace(row, receiver=name, receiver_address=name)
        for row in report.transferred.rows
    )
    report = sample_report(
        cover=cover,
        fields=(field_item(name=name, number=name[:12], loads=rows),),
        transferred=dataclasses.replace(report.transferred, rows=transfers),
    )
    pdf = render(report)
    assert keys_of(pdf) & FORBIDDEN_KEYS == set()
    # a compressed stream may hold any letters by chance; a reader acts on what stands outside
    outside = re.sub(rb"stream\r?\n.*?endstream", b"", pdf, flags=re.S)
    for token in (b"/JS", b"/JavaScript", b"/OpenAction", b"/URI", b"/Launch", b"/AA"):
        assert token + b" " not in outside
        assert token + b"(" not in outside
    assert render(report) == pdf


def test_links_lead_to_places_in_the_same_file():
    reader = pypdf.PdfReader(io.BytesIO(render(sample_report())))
    links = [
        a.get_object() for page in reader.pages for a in page.get("/Annots", []) or []
    ]  # fmt: skip
    assert len(links) >= 10  # eight items, the field and the findings
    assert all("/Dest" in link and "/A" not in link for link in links)
    titles = [entry.title for entry in reader.outline if not isinstance(entry, list)]
    assert titles[0] == "i Animals, in open confinement and under roof"


def test_every_font_is_embedded():
    reader = pypdf.PdfReader(io.BytesIO(render(sample_report())))
    names = set()
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            font = font.get_object()
            names.add(font["/BaseFont"])
            assert "/FontFile2" in font["/FontDescriptor"].get_object()
    assert all("DejaVu" in name for name in names)


def test_text_stays_inside_the_margins_and_columns_do_not_overlap():
    long_name = "Long tank at the old barn beyond the second crossing of Mill Creek, west side"
    rows = tuple(load_row(n, source=long_name) for n in range(1, 4))
    pdf = render(sample_report(fields=(field_item(name=long_name, loads=rows),)))
    with pdfplumber.open(io.BytesIO(pdf)) as book:
        for page in book.pages:
            words = page.extract_words()
            assert min(word["x0"] for word in words) >= 53.5
            assert max(word["x1"] for word in words) <= 612 - 53.5
            for one, two in itertools.pairwise(words):
                same_line = abs(one["top"] - two["top"]) < 1
                assert not (same_line and one["x0"] < two["x0"] < one["x1"] - 0.5)


def test_the_report_claims_no_more_than_it_may():
    # 40 CFR 3 and 127: what a record book must not say
    text = text_of(render(sample_report())).lower()
    for words in ("in compliance", "cromerr", "epa-approved", "certified report", "files with epa"):
        assert words not in text
    assert "not the copy of record" in text.replace("\n", " ")
