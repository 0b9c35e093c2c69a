"""Workbooks: the same loads as from CSV, typed cells, several sheets, and hostile parts."""

import io
import zipfile
from datetime import UTC, date, datetime, time

import openpyxl
import pytest

from farmrecords.formats.common import FormatError
from farmrecords.formats.loads_csv import read_loads
from farmrecords.formats.loads_xlsx import read_xlsx_loads, suggest_xlsx_mapping
from tests.formats.samples import loads_csv, loads_xlsx, packed

ZONE = "America/Chicago"


def workbook(**sheets):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read(data, **kwargs):
    return read_xlsx_loads(data, zone=ZONE, **kwargs)


def with_part(data, name, content):
    """The workbook with one of its parts replaced."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        members = {key: archive.read(key) for key in archive.namelist()}
    return packed(members | {name: content})


HEADINGS = ("Date", "Start time", "Field", "Gallons")


def test_typed_cells_are_read_whole():
    rows = [
        HEADINGS,
        (datetime(2025, 4, 3), time(7, 15), 12, 4500),  # noqa: DTZ001
        (date(2025, 4, 4), time(23, 59, 59), "31", 4500.125),
    ]
    result = read(workbook(Log=rows))
    assert result.ready
    assert [row.field_label for row in result.items] == ["12", "31"]
    assert [str(row.amount) for row in result.items] == ["4500", "4500.1250"]
    assert result.items[0].started_at == datetime(2025, 4, 3, 12, 15, tzinfo=UTC)
    assert result.items[1].row_number == 3


def test_the_same_list_has_the_same_keys_as_csv_and_as_workbook():
    from_csv = read_loads(loads_csv(), zone=ZONE).items
    from_workbook = read(loads_xlsx()).items
    assert [row.source_key for row in from_workbook] == [row.source_key for row in from_csv]


def test_a_sheet_that_is_no_list_is_passed_over():
    data = workbook(Cover=[("Example farm",)], Log=[HEADINGS, ("2025-04-03", "7:15", "1", 5)])
    assert suggest_xlsx_mapping(data).sheet == "Log"
    assert read(data).ready


def test_two_sheets_that_could_be_the_list_are_asked_about():
    rows = [HEADINGS, ("2025-04-03", "7:15", "1", 5)]
    data = workbook(Spring=rows, Fall=[*rows, ("2025-10-03", "7:15", "1", 5)])
    assert [question.key for question in read(data).needs] == ["sheet"]
    suggested = suggest_xlsx_mapping(data)
    assert [question.key for question in read(data, mapping=suggested).needs] == ["sheet"]
    mapping = suggest_xlsx_mapping(data, "Fall")
    assert len(read(data, mapping=mapping).items) == 2


def test_a_bad_cell_is_named_with_its_row_in_the_sheet():
    rows = [("Example farm",), (), HEADINGS, ("2025-04-03", "7:15", "1", "#REF!")]
    result = read(workbook(Log=rows))
    assert [(bad.row, bad.column, bad.value) for bad in result.rejected] == [
        (4, "Gallons", "#REF!")
    ]


def test_a_formula_without_a_saved_value_is_an_amount_that_is_missing():
    result = read(workbook(Log=[HEADINGS, ("2025-04-03", "7:15", "1", "=4000+500")]))
    assert "no amount" in result.rejected[0].reason


ENTITY = '<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]><sst/>'


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"Date,Field",
        packed({"readme.txt": b"x"}),
        packed({"xl/workbook.xml": b""}),
        packed({"xl/workbook.xml": b"<workbook/>"}),
        with_part(loads_xlsx(), "xl/workbook.xml", ENTITY),
        with_part(loads_xlsx(), "xl/workbook.xml", ENTITY.encode("utf-16")),
        with_part(loads_xlsx(), "xl/worksheets/sheet1.xml", b"<worksheet><sheetData>"),
        with_part(loads_xlsx(), "xl/worksheets/sheet1.xml", b"<c/>" * 1_500_001),
        with_part(loads_xlsx(), "xl/worksheets/sheet1.xml", b" " * 20_000_000),
        workbook(Empty=[]),
    ],
)
def test_a_hostile_workbook_is_refused(data):
    with pytest.raises(FormatError) as refused:
        read(data)
    assert refused.value.reason


def test_a_cell_at_the_far_end_of_the_sheet_costs_nothing():
    sheet = (
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        '<row r="1048576"><c r="XFD1048576" t="inlineStr"><is><t>x</t></is></c></row>'
        "</sheetData></worksheet>"
    )
    with pytest.raises(FormatError):
        read(with_part(loads_xlsx(), "xl/worksheets/sheet1.xml", sheet))


def test_a_workbook_given_as_csv_is_told_apart():
    with pytest.raises(FormatError, match="workbook"):
        read_loads(loads_xlsx(), zone=ZONE)
