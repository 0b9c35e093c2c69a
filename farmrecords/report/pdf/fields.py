"""Item (viii) on paper: the manure tests, then one section for each field."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.platypus import CondPageBreak, Table

from farmrecords.report.drawings import bands_of, map_of, scaled
from farmrecords.report.model import (
    AnnualReport,
    Cover,
    FieldItem,
    LoadRow,
    LoadTotal,
    MaximumRow,
    TestRow,
)
from farmrecords.report.pdf.face import FONT, WIDTH
from farmrecords.report.pdf.items import full, item_heading
from farmrecords.report.pdf.paper import heading
from farmrecords.report.pdf.tables import Column, facts, ledger, room_for
from farmrecords.report.pdf.words import clean, said

MAP_SIZE = (300.0, 225.0)
SMALLER = 0.72
ROOM_FOR_PART = 30.0


def field_pages(report: AnnualReport) -> Iterator[Any]:
    """Item (viii)."""
    yield from item_heading("viii", room=220)
    yield from _tests(report.tests)
    if not report.fields:
        yield said("No field took manure of the operation in the period.")
    for field in report.fields:
        yield from _field(field, report.cover)


def part(words: str, content: Any) -> Iterator[Any]:
    """A heading inside a section, kept with the table or the words after it."""
    if isinstance(content, str):
        yield CondPageBreak(ROOM_FOR_PART + 30)
        yield said(words, "part")
        yield said(content)
    else:
        yield room_for(content, ROOM_FOR_PART)
        yield said(words, "part")
        yield content


def test_names(tests: Sequence[TestRow]) -> list[str]:
    """How each test is called in tables: its source and sampling day."""
    return [f"{test.source} {test.sampled_on}" for test in tests]


def _tests(tests: Sequence[TestRow]) -> Iterator[Any]:
    words = "Nitrogen and phosphorus content of the manure, litter and wastewater"
    if not tests:
        yield from part(words, "Cannot tell: no manure test is named with any load of the period.")
        return
    table = ledger(
        [
            Column("source", 84),
            Column("sampled", 54),
            Column("as reported by the laboratory", 202),
            Column("N", 38, right=True),
            Column("P2O5", 38, right=True),
            Column("P", 38, right=True),
            Column("per", WIDTH - 454),
        ],
        [
            (
                test.source,
                f"{test.sampled_on}",
                reported_words(test),
                test.n.digits,
                test.p2o5.digits,
                test.p.digits,
                test.n.unit.removeprefix("lb/"),
            )
            for test in tests
        ],
    )
    yield from part(words, table)
    yield said("N, P2O5 and P are pounds per 1,000 gallons or per ton, as is.", "soft")
    for test, name in zip(tests, test_names(tests), strict=True):
        for note in test.notes:
            yield said(f"{name}: {note}", "soft")


def reported_words(test: TestRow) -> str:
    """The values of the laboratory sheet in one line."""
    values = [
        " ".join(word for word in (value.analyte, value.value, value.unit, value.basis) if word)
        for value in test.reported
    ]
    return "; ".join(values) + (f" ({test.laboratory})" if test.laboratory else "")


def _field(field: FieldItem, cover: Cover) -> Iterator[Any]:
    large = map_of(field, width=MAP_SIZE[0] / SMALLER, height=MAP_SIZE[1] / SMALLER)
    picture = scaled(large, SMALLER) if large else None
    yield CondPageBreak(MAP_SIZE[1] + 90 if picture else 150)
    yield heading(escape(f"Field {clean(field.number, 12)}: {clean(field.name, 80)}"), "item", 1)
    yield _beside(picture, field)
    for note in field.notes:
        yield said(note, "soft")
    for band in bands_of(field, cover, width=WIDTH / SMALLER):
        yield scaled(band, SMALLER)
    yield from _crops(field)
    yield from _amounts(field)
    yield from _maximum(field.maximum)
    yield from _loads(field)


def _beside(picture: Any, field: FieldItem) -> Any:
    """The map with the field's facts beside it; the facts alone without a boundary."""
    pairs = [
        ("Acres of the field", full(field.field_ac)),
        ("Acres covered", full(field.covered_ac)),
        ("Known from", field.covered_basis),
        ("Control", field.control),
        ("N from manure", full(field.nutrients.n_lb)),
        ("Available N of it, first year", full(field.nutrients.available_n_lb)),
        ("P2O5 from manure", full(field.nutrients.p2o5_lb)),
        ("N per acre of the field", full(field.nutrients.n_lb_per_ac)),
        ("Available N per acre", field.nutrients.available_n_lb_per_ac.words),
        *[("Available N by", words) for words in field.nutrients.available_by],
        ("P2O5 per acre", full(field.nutrients.p2o5_lb_per_ac)),
        ("P per acre", full(field.nutrients.p_lb_per_ac)),
    ]
    if picture is None:
        return facts([*pairs, ("Map", "no boundary is entered")], WIDTH)
    side = WIDTH - MAP_SIZE[0] - 12
    table = Table(
        [[picture, facts(pairs, side, label_width=88)]],
        colWidths=[MAP_SIZE[0] + 12, side],
        hAlign="LEFT",
        spaceBefore=4,
        spaceAfter=6,
    )
    table.setStyle(
        [
            ("FONT", (0, 0), (-1, -1), FONT),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ]
    )
    return table


def _crops(field: FieldItem) -> Iterator[Any]:
    words = "Crops planted and yields"
    if not field.crops:
        nothing = "Cannot tell: no planting and no harvest is entered in the period."
        yield from part(words, nothing)
        return
    table = ledger(
        [
            Column("crop year", 56),
            Column("crop", 150),
            Column("planted", 70),
            Column("harvested", 70),
            Column("yield", WIDTH - 346, right=True),
        ],
        [
            (
                f"{row.crop_year}",
                row.crop,
                f"{row.planted_on or 'not in the period'}",
                f"{row.harvested_on or 'not yet'}",
                full(row.yields),
            )
            for row in field.crops
        ],
    )
    yield from part(words, table)


def _amounts(field: FieldItem) -> Iterator[Any]:
    table = ledger(
        [
            Column("form", 130),
            Column("loads", 60, right=True),
            Column("applied", 130, right=True),
            Column("per acre of the field", WIDTH - 320, right=True),
        ],
        [
            (row.form, f"{row.loads}", row.amount.words, full(row.per_field_ac))
            for row in field.applied
        ],
    )
    yield from part("Manure, litter and wastewater applied in the period", table)


def _maximum(rows: Sequence[MaximumRow]) -> Iterator[Any]:
    table = ledger(
        [
            Column("crop year", 34),
            Column("crop", 76),
            Column("N limit, lb/ac", 42, right=True),
            Column("P2O5 limit, lb/ac", 48, right=True),
            Column("manure test", 92),
            Column("per acre", 70, right=True),
            Column("spreadable acres", 48, right=True),
            Column("on them", 60, right=True),
            Column("set by", WIDTH - 470),
        ],
        [
            (
                f"{row.crop_year}",
                row.crop,
                row.n_limit.digits,
                row.p2o5_limit.digits,
                row.test,
                row.per_ac.words,
                row.spreadable_ac.digits,
                row.amount.words,
                row.set_by,
            )
            for row in rows
        ],
    )
    yield from part("Largest amount to apply, by the yearly calculation", table)
    for row in rows:
        if row.missing:
            yield said(f"{row.crop_year}: cannot tell. {' '.join(row.missing)}", "soft")
    for words in dict.fromkeys(row.acres_from for row in rows if row.acres_from):
        yield said(f"Spreadable acres: {words}.", "soft")


def _loads(field: FieldItem) -> Iterator[Any]:
    for total in field.totals:
        yield from _loads_of(field, total, len(field.totals) > 1)


def _loads_of(field: FieldItem, total: LoadTotal, is_one_of_two: bool) -> Iterator[Any]:
    unit = total.amount.unit
    table = ledger(
        [
            Column("", 20, right=True),
            Column("day", 50),
            Column("start", 30),
            Column(f"amount, {unit}", 54, right=True),
            Column("acres covered", 42, right=True),
            Column("known from", 34),
            Column(f"per acre covered, {unit}", 46, right=True),
            Column("method", 57),
            Column("from", 76),
            Column("N, lb", 47, right=True),
            Column("P2O5, lb", WIDTH - 456, right=True),
        ],
        [_load_cells(row) for row in field.loads if row.amount.unit == unit],
        total=(
            *("", "total", "", total.amount.digits),
            *[""] * 5,
            *(total.n_lb.digits, total.p2o5_lb.digits),
        ),
    )
    words = "Loads on the field"
    if is_one_of_two:
        words += {"gal": ", liquid", "tons": ", solid"}.get(unit, "")
    yield from part(words, table)


def _load_cells(row: LoadRow) -> tuple[str, ...]:
    return (
        f"{row.number}",
        f"{row.local_day}",
        row.start,
        row.amount.digits,
        row.covered_ac.digits,
        row.covered_from,
        row.per_ac.digits,
        row.method,
        row.source,
        row.n_lb.digits,
        row.p2o5_lb.digits,
    )
