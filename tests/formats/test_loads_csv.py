"""Lists of loads: the good file, the odd ones farms send, and the hostile ones."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError
from farmrecords.formats.load_rows import LoadRow, Mapping
from farmrecords.formats.loads_csv import read_loads, suggest_mapping
from tests.formats.writers import write_loads

ZONE = "America/Chicago"
GOOD = (
    b"Date,Start time,End time,Field,Storage,Spreader,Driver,Method,Gallons,Loads,Notes\r\n"
    b'2025-04-03,7:15,7:40,12B,North pit,Tanker 1,Luis,injected,"4,500.0",1,\r\n'
    b'2025-04-03,7:55,8:20,12B,North pit,Tanker 1,Luis,injected,4500,1,"dry, calm"\r\n'
    b"2025-04-04,6:50,,31,North pit,Tanker 2,Dale,surface,9000,2,\r\n"
    b"Total,,,,,,,,18000,4,\r\n"
)


def read(text, **kwargs):
    data = text if isinstance(text, bytes) else text.encode()
    return read_loads(data, zone=ZONE, **kwargs)


def test_a_good_file_is_read_whole():
    result = read(GOOD)
    assert result.ready
    assert [row.row_number for row in result.items] == [2, 3, 4]
    first = result.items[0]
    assert first.started_at == datetime(2025, 4, 3, 12, 15, tzinfo=UTC)
    assert first.ended_at == datetime(2025, 4, 3, 12, 40, tzinfo=UTC)
    assert (first.field_label, first.storage_label, first.driver) == ("12B", "North pit", "Luis")
    assert (first.amount_text, first.amount, first.amount_unit) == ("4,500.0", 4500, "gal")
    assert (first.amount_kind, first.loads_counted, first.method) == ("gal", 1, "injected")
    assert result.items[1].note == "dry, calm"
    assert result.items[2].ended_at is None


def test_a_row_of_totals_is_named_and_left_out():
    assert read(GOOD).warnings == ["Row 5 is a row of totals (18,000) and was left out."]


def test_a_total_that_does_not_add_up_is_said():
    result = read(GOOD.replace(b"18000", b"18500"))
    assert "add up to 18,000" in result.warnings[0]


def test_a_sum_without_the_word_total_is_recognised():
    result = read("Date,Field,Gallons\n2025-04-03,1,100\n2025-04-04,1,250\n,,350\n")
    assert len(result.items) == 2
    assert result.ready


@pytest.mark.parametrize(
    ("heading", "unit", "kind"),
    [
        ("Gallons", "gal", "gal"),
        ("amount (gal)", "gal", "gal"),
        ("Amount (1000 gal)", "kgal", "gal"),
        ("tons", "ton", "lb"),
        ("Net weight [lb]", "lb", "lb"),
        ("Total gallons applied", "gal", "gal"),
        ("Galones", "gal", "gal"),
        ("Volume, m3", "m3", "gal"),
        ("Cantidad (libras)", "lb", "lb"),
    ],
)
def test_the_unit_is_read_from_the_heading(heading, unit, kind):
    quoted = f'"{heading}"'
    result = read(f"Date,Field,{quoted}\n2025-04-03,1,250\n")
    assert result.ready
    assert (result.items[0].amount_unit, result.items[0].amount_kind) == (unit, kind)


@pytest.mark.parametrize("heading", ["Amount", "Quantity", "Cantidad (toneladas)", "Amount (t)"])
def test_a_missing_or_doubtful_unit_is_asked_not_guessed(heading):
    data = f"Date,Field,{heading}\n2025-04-03,1,250\n".encode()
    result = read(data)
    assert [question.key for question in result.needs] == ["amount_unit"]
    assert not result.ready
    answered = suggest_mapping(data).answered(amount_unit="ton")
    assert read(data, mapping=answered).items[0].amount_unit == "ton"


def test_a_rate_is_never_taken_for_an_amount():
    result = read("Date,Field,Gallons/acre\n2025-04-03,1,4500\n")
    assert [question.key for question in result.needs] == ["column_amount"]


def test_two_columns_that_could_hold_the_amount_are_asked():
    data = b"Date,Field,Gallons,Tons\n2025-04-03,1,4500,19\n"
    assert [question.key for question in read(data).needs] == ["column_amount"]
    mapping = suggest_mapping(data).answered(column_amount="3")
    row = read(data, mapping=mapping).items[0]
    assert (row.amount, row.amount_unit) == (19, "ton")


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_delimiters_encodings_and_line_ends_change_nothing(delimiter, encoding, ending):
    lines = ["Fecha;Campo;Galones", "2025-04-03;Peña;450", "2025-04-04;Ñandú;900"]
    text = ending.join(lines).replace(";", delimiter)
    result = read(text.encode(encoding))
    assert result.ready
    assert [row.field_label for row in result.items] == ["Peña", "Ñandú"]


def test_an_odd_spanish_file_with_titles_and_decimal_commas_is_read():
    text = "Granja Ejemplo\n\nFecha;Hora;Campo;Galones\n13/4/2025;14:30;Lote 3;4.500,5\n"
    row = read(text).items[0]
    assert (row.row_number, row.amount, row.amount_text) == (4, Decimal("4500.5"), "4500.5")
    assert row.started_at == datetime(2025, 4, 13, 19, 30, tzinfo=UTC)


def test_the_order_of_day_and_month_is_asked_when_no_row_settles_it():
    data = b"Date,Field,Gallons\n3/4/2025,1,100\n5/6/2025,1,200\n"
    result = read(data)
    assert [question.key for question in result.needs] == ["date_order"]
    mapping = suggest_mapping(data)
    days = {
        order: [
            r.started_at.date()
            for r in read(data, mapping=mapping.answered(date_order=order)).items
        ]
        for order in ("mdy", "dmy")
    }
    assert days["mdy"] == [date(2025, 3, 4), date(2025, 5, 6)]
    assert days["dmy"] == [date(2025, 4, 3), date(2025, 6, 5)]


def test_one_certain_day_settles_the_order_for_all():
    result = read("Date,Field,Gallons\n3/4/2025,1,100\n3/25/2025,1,200\n")
    assert result.ready
    assert result.items[0].started_at.date() == date(2025, 3, 4)


def test_every_bad_cell_is_named_with_row_column_value_reason_and_remedy():
    text = (
        "Date,Time,End time,Field,Gallons,Loads\n"
        "2025-02-30,7:00,,1,100,1\n"
        "2025-04-03,24:00,,1,100,1\n"
        "2025-04-03,7:00,6:30,1,100,1\n"
        "2025-04-03,7:00,,,100,1\n"
        "2025-04-03,7:00,,1,-5,1\n"
        "2025-04-03,7:00,,1,NaN,0\n"
        "2025-04-03,7:00,,1,999999999,1\n"
        "2025-03-09,2:30,,1,100,1\n"
        "2025-04-03,7:10,,1,,\n"
        "2025-04-03,7:20,,1,4,500,1\n"
        "2025-04-03,7:30,,1,100 tons,1\n"
    )
    result = read(text)
    assert not result.ready
    named = [(bad.row, bad.column, bad.value) for bad in result.rejected]
    assert named == [
        (2, "Date", "2025-02-30"),
        (3, "Time", "24:00"),
        (4, "End time", "6:30"),
        (5, "Field", ""),
        (6, "Gallons", "-5"),
        (7, "Loads", "0"),
        (7, "Gallons", "NaN"),
        (8, "Gallons", "999999999"),
        (9, "Time", "2:30"),
        (10, "Gallons", ""),
        (11, "", "1"),
        (12, "Gallons", "100 tons"),
    ]
    assert all(bad.reason and bad.remedy for bad in result.rejected)


def test_a_time_that_came_twice_is_asked_and_the_answer_is_kept():
    data = b"Date,Time,Field,Gallons\n2025-11-02,1:30,1,100\n"
    assert [question.key for question in read(data).needs] == ["hour_twice"]
    mapping = suggest_mapping(data)
    first, second = (
        read(data, mapping=mapping.answered(hour_twice=which)).items[0].started_at
        for which in ("first", "second")
    )
    assert second - first == timedelta(hours=1)


def test_a_day_after_tomorrow_is_refused_and_tomorrow_is_not():
    text = "Date,Field,Gallons\n{},1,100\n"
    today = date(2025, 4, 3)
    assert read(text.format("2025-04-04"), today=today).ready
    late = read(text.format("2025-04-05"), today=today)
    assert "future" in late.rejected[0].reason


def test_rows_that_say_the_same_are_named_and_asked_about():
    data = b"Date,Field,Gallons\n2025-04-03,12B,100\n2025-04-03,12b,100.0\n2025-04-03,13,100\n"
    result = read(data)
    assert [question.key for question in result.needs] == ["repeats"]
    assert "row 3 as row 2" in result.warnings[0]
    mapping = suggest_mapping(data)
    each = read(data, mapping=mapping.answered(repeats="loads"))
    once = read(data, mapping=mapping.answered(repeats="once"))
    assert each.ready
    assert once.ready
    assert (len(each.items), len(once.items)) == (3, 2)
    assert len({row.source_key for row in each.items}) == 3


def test_the_same_row_has_the_same_key_in_another_file():
    other = (
        "Campo;Started at;Storage;Spreader;Driver;Method;Loads;Gallons;Ended at\n"
        "12b ;2025-04-03T12:15:00Z;NORTH pit;tanker 1;luis;INJECTED;1;4500;2025-04-03 07:40\n"
    )
    assert read(GOOD).items[0].source_key == read(other).items[0].source_key


def test_a_corrected_amount_changes_the_key_but_not_the_occasion():
    before = read(GOOD).items[0]
    after = read(GOOD.replace(b'"4,500.0"', b"4600")).items[0]
    assert before.source_key != after.source_key
    assert before.occasion_key == after.occasion_key


def test_loads_counted_without_an_amount_stand_as_loads():
    row = read("Date,Field,Loads\n2025-04-03,1,7\n").items[0]
    assert (row.amount, row.amount_unit, row.amount_kind, row.loads_counted) == (7, "load", "", 7)


def test_an_amount_per_load_is_kept_as_such():
    row = read("Date,Field,Loads,Gallons per load\n2025-04-03,1,7,4500\n").items[0]
    assert (row.amount, row.loads_counted, row.per_load) == (4500, 7, True)


def test_without_times_of_day_the_file_says_so():
    result = read("Date,Field,Gallons\n2025-04-03,1,100\n")
    assert not result.items[0].time_known
    assert "no times of day" in result.warnings[0]


def test_a_mapping_is_remembered_and_refused_for_other_headings():
    mapping = suggest_mapping(GOOD)
    kept = Mapping.from_dict(mapping.to_dict())
    assert kept == mapping
    assert read(GOOD, mapping=kept).ready
    with pytest.raises(FormatError, match="not those of the mapping"):
        read(GOOD.replace(b"Driver", b"Person"), mapping=kept)


@pytest.mark.parametrize(
    "values",
    [{"colour": "red"}, {"headers": ["a"], "columns": {"colour": 0}}],
)
def test_a_mapping_with_unknown_entries_is_refused(values):
    with pytest.raises(FormatError):
        Mapping.from_dict(values)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\0" * 10,
        b"PK\x03\x04 not a csv\0",
        b'Date,Field,Gallons\n"2025-04-03,1,100\n',
        b"Date,Field,Gallons\n",
        b"a" * 5_000,
        b"," * 5_000,
        b'"' * 100_001,
        b"Date,Field,Gallons\n" + b"2025-04-03,1,1\n" * 50_100,
    ],
)
def test_a_hostile_file_is_refused_with_a_reason(data):
    with pytest.raises(FormatError) as refused:
        read(data)
    assert refused.value.reason


# Trust T17: cells a spreadsheet would run. The guard is a single quote in front.
@pytest.mark.parametrize("label", ["=1+1", "+1", "-1", "@SUM(A1)", "'=x", "''-x", "＝1", "'plain"])
def test_a_formula_is_exported_guarded_and_read_back(label):
    data = write_loads([replace(read(GOOD).items[0], field_label=label)])
    cells = data.decode("utf-8-sig").splitlines()[1].split(",")
    assert not any(cell.startswith(("=", "+", "-", "@", "＝")) for cell in cells)
    assert read(data).items[0].field_label == label


labels = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp", "Zs"]) | st.just(" "), max_size=20
).map(str.strip)
moments = st.integers(631_300_000, 4_102_444_800).map(
    lambda s: datetime.fromtimestamp(s, UTC).astimezone(timezone(timedelta(hours=-5)))
)


@st.composite
def load_rows(draw):
    started_at = draw(moments)
    later = st.none() | st.integers(0, 90_000).map(lambda s: started_at + timedelta(seconds=s))
    unit = draw(st.sampled_from(["gal", "kgal", "lb", "ton", "m3", "ac_in"]))
    amount = draw(st.decimals(Decimal("0.001"), Decimal("500"), places=3))
    per_load = draw(st.booleans())
    loads = st.integers(1, 50)
    return LoadRow(
        row_number=2,
        started_at=started_at,
        ended_at=draw(later),
        field_label=draw(labels.filter(bool)),
        storage_label=draw(labels),
        spreader_label=draw(labels),
        driver=draw(labels),
        method=draw(labels),
        amount_text=f"{amount:f}",
        amount=amount,
        amount_unit=unit,
        amount_kind="lb" if unit in ("lb", "ton") else "gal",
        loads_counted=draw(loads if per_load else st.none() | loads),
        incorporated_at=draw(later),
        ground=draw(labels),
        note=draw(labels),
        measured_by=draw(labels),
        per_load=per_load,
    )


@given(st.lists(load_rows(), min_size=1, max_size=4))
def test_rows_written_and_read_again_have_the_same_keys(rows):
    data = write_loads(rows)
    mapping = suggest_mapping(data).answered(repeats="loads", decimal_comma=False)
    result = read(data, mapping=mapping)
    assert result.ready, result
    assert [r.keyed().source_key for r in result.items] == [r.keyed().source_key for r in rows]
    assert [r.note for r in result.items] == [r.note for r in rows]
