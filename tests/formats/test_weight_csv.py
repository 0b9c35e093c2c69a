"""The log of a scale as CSV: good, odd and hostile."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError
from farmrecords.formats.weight_csv import read_weight_log

ZONE = "America/Chicago"
HEAD = "Time,Latitude,Longitude,Weight (lb)\n"
ROW = "2026-04-20T12:00:00Z,42.07,-93.93,10000\n"


def read(text, **more):
    return read_weight_log(text.encode(), zone=ZONE, **more)


def test_a_log_is_read_in_utc_with_its_unit():
    (series,) = read(HEAD + ROW + "2026-04-20 07:00:02,42.0701,-93.93,9990\n").items
    assert series.base == datetime(2026, 4, 20, 12, tzinfo=UTC)
    assert series.at_s == [0, 2]  # 07:00 in Chicago is 12:00 UTC in summer
    assert series.unit == "lb"
    assert list(series.cells.values()) == [[10_000, 9_990]]


@pytest.mark.parametrize(
    ("heading", "unit"),
    [("Weight (kg)", "kg"), ("Net weight lb", "lb"), ("Level (gal)", "gal"), ("Scale (t)", "tonne"),
     ("Peso (kg)", "kg")],
)  # fmt: skip
def test_the_unit_stands_in_the_heading(heading, unit):
    (series,) = read(HEAD.replace("Weight (lb)", heading) + ROW).items
    assert series.unit == unit


def test_without_a_unit_it_is_asked_and_the_answer_is_taken():
    text = HEAD.replace(" (lb)", "") + ROW
    assert [question.key for question in read(text).needs] == ["weight_unit"]
    assert read(text, answers={"weight_unit": "kg"}).items[0].unit == "kg"


def test_every_weigh_cell_is_read_and_a_column_left_over_is_named():
    text = "Time;Lat;Lon;Axle left (lb);Axle right (lb);Tongue (lb);PTO\n"
    found = read(text + "2026-04-20T12:00:00Z;42.07;-93.93;3600;3800;2600;1\n")
    assert len(found.items[0].cells) == 3
    assert any("PTO" in warning for warning in found.warnings)


def test_a_total_beside_its_cells_is_read_alone():
    text = "Time,Lat,Lon,Cell 1 (lb),Cell 2 (lb),Weight (lb)\n"
    (series,) = read(text + "2026-04-20T12:00:00Z,42.07,-93.93,4000,6000,10000\n").items
    assert list(series.cells.values()) == [[10_000]]


def test_what_was_not_read_is_never_zero():
    rows = "2026-04-20T12:00:01Z,,,\n2026-04-20T12:00:02Z,0,0,-\n"
    (series,) = read(HEAD + ROW + rows).items
    (weights,) = series.cells.values()
    assert math.isnan(weights[1])
    assert math.isnan(weights[2])
    assert math.isnan(series.lat[2])


def test_day_and_clock_may_stand_in_two_columns():
    text = "Date,Clock,Lat,Lon,Weight (lb)\n2026-04-20,07:00:00,42.07,-93.93,10000\n"
    assert read(text).items[0].base == datetime(2026, 4, 20, 12, tzinfo=UTC)


def test_an_hour_that_comes_twice_is_asked():
    text = HEAD + "2025-11-02 01:30:00,42.07,-93.93,10000\n"
    assert [question.key for question in read(text).needs] == ["hour_twice"]
    first = read(text, answers={"hour_twice": "first"}).items[0].base
    assert first == datetime(2025, 11, 2, 6, 30, tzinfo=UTC)


def test_a_row_without_a_time_is_named():
    (refused,) = read(HEAD + ROW + "yesterday,42,-93,1\n").rejected
    assert refused.row == 3
    assert "yesterday" in refused.value


def test_a_log_from_the_future_is_refused():
    with pytest.raises(FormatError, match="future"):
        read(HEAD + ROW, today=date(2026, 4, 1))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "a,b,c\n1,2,3\n",
        "Time,Latitude,Longitude\n2026-04-20T12:00:00Z,42,-93\n",
        "Latitude,Longitude,Weight (lb)\n42,-93,1\n",
        HEAD,
        HEAD + '"2026-04-20T12:00:00Z,42,-93,1\n' * 3,
        "Time," + ",".join(f"Cell {i} (lb)" for i in range(13)) + "\n" + ROW,
        "\0" + HEAD + ROW,
        HEAD + ROW + "," * 500,
    ],
)
def test_what_is_no_weight_log_is_refused_in_plain_words(text):
    refused = None
    try:
        refused = read(text).rejected
    except FormatError as error:
        refused = error.reason
    assert refused


def test_a_flood_of_bad_rows_is_cut_short():
    found = read(HEAD + "never,42,-93,1\n" * 5000)
    assert 1 <= len(found.rejected) <= 101
    assert not found.items


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data):
    said = None
    try:
        found = read_weight_log(HEAD.encode() + data, zone=ZONE)
        said = found.items or found.rejected or found.needs
    except FormatError as error:
        said = error.reason
    assert said


def weights_of(*figures, heading="Weight (lb)", **more):
    rows = "".join(
        f"2026-04-20T12:00:{at:02}Z;42.07;-93.93;{figure}\n" for at, figure in enumerate(figures)
    )
    head = HEAD.replace("Weight (lb)", heading).replace(",", ";")
    return read(head + rows, **more)


@pytest.mark.parametrize(
    ("figures", "read_as"),
    [
        (("12,450.5", "9,990"), [12_450.5, 9_990]),
        (("1,012,450", "9990"), [1_012_450, 9_990]),
        (("12.450,5", "9.990"), [12_450.5, 9_990]),
        (("12450,5", "9990"), [12_450.5, 9_990]),
        (("12 450", "9990.5"), [12_450, 9_990.5]),
        (("1.2450e4", "-35"), [12_450, -35]),
    ],
)
def test_figures_with_separators_are_read_as_written(figures, read_as):
    (series,) = weights_of(*figures).items
    assert list(series.cells.values()) == [read_as]


def test_a_figure_that_may_mean_two_weights_is_asked():
    found = weights_of("12,450", "9990")
    assert ([q.key for q in found.needs], found.items) == (["decimal_comma"], [])
    for answer, weight in (("point", 12_450), ("comma", 12.45)):
        (series,) = weights_of("12,450", "9990", answers={"decimal_comma": answer}).items
        assert list(series.cells.values()) == [[weight, 9_990]]


@pytest.mark.parametrize("figure", ["12,45,0.5", "12..5", "10:30", "1_000", "٤٥"])
def test_a_figure_that_is_no_number_refuses_its_row_by_name(figure):
    found = weights_of("9990", figure)
    (told,) = found.rejected
    assert (told.row, told.column, told.value) == (3, "Weight (lb)", figure)
    assert found.items == []


@pytest.mark.parametrize("word", ["", "-", "--", "error", "E07", "overload"])
def test_a_word_of_the_scale_is_a_weight_nobody_read(word):
    (series,) = weights_of("9990", word).items
    assert math.isnan(next(iter(series.cells.values()))[1])


def test_a_place_may_have_a_decimal_comma_and_is_refused_when_it_is_no_degrees():
    head = HEAD.replace(",", ";")
    (series,) = read(head + "2026-04-20T12:00:00Z;42,07;-93,93;12450\n").items
    assert (series.lat, series.lon) == ([42.07], [-93.93])
    (told,) = read(head + "2026-04-20T12:00:00Z;42 04.2;-93.93;12450\n").rejected
    assert (told.row, told.column, told.value) == (2, "Latitude", "42 04.2")
