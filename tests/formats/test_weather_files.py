"""Weather files: GHCN-Daily in its forms, a farm's own gauge; missing is never zero."""

from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError
from farmrecords.formats.gauge_csv import read_gauge
from farmrecords.formats.ghcn import read_ghcn

STATION = "USC00470273"


def fixed(element, *values, month="202504"):
    """One line of the fixed form: 21 characters, then 31 times value, three flags."""
    cells = [f"{value:>5}{flags}" for value, flags in values]
    cells += ["-9999   "] * (31 - len(cells))
    line = f"{STATION}{month}{element}" + "".join(cells)
    assert len(line) == 269  # the publisher's readme
    return line + "\n"


# Units by the publisher's readme: PRCP in tenths of mm, TMAX in tenths of °C, SNOW in mm.
def test_the_fixed_form_is_read_in_its_units():
    text = fixed("PRCP", (127, "  7"), (0, "T 7"), (-9999, "   "), (254, " X7"))
    text += fixed("TMAX", (-56, "  7")) + fixed("SNOW", (25, "  7")) + fixed("WT01", (1, "  7"))
    result = read_ghcn(text.encode())
    assert result.ready
    first, trace, failed = result.items
    assert (first.station, first.on) == (STATION, date(2025, 4, 1))
    assert (first.precipitation_mm, first.max_temp_c, first.snowfall_mm) == (12.7, -5.6, 25)
    assert first.precipitation_in == pytest.approx(0.5)
    assert (trace.precipitation_mm, trace.trace) == (0, True)
    assert (failed.on.day, failed.precipitation_mm, failed.failed) == (4, None, ("PRCP",))
    assert any("failed the publisher's checks" in warning for warning in result.warnings)


def test_the_form_by_year_is_read_and_the_hour_of_observation_said():
    text = (
        f"{STATION},20250403,PRCP,127,,,7,0700\n{STATION},20250403,TMIN,-11,,,7,0700\n"
        f"{STATION},20250404,PRCP,5,T,,7,\n{STATION},20250405,PRCP,99,,I,7,\n"
    )
    result = read_ghcn(text.encode())
    assert [row.precipitation_mm for row in result.items] == [12.7, 0.5, None]
    assert result.items[0].observed_at == time(7)
    assert result.items[0].min_temp_c == -1.1
    assert any("07:00" in warning for warning in result.warnings)


COLUMNS = (
    '"STATION","DATE","NAME","PRCP","PRCP_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES"\n'
    f'"{STATION}","2025-04-03","EXAMPLE, WI","0.50",",,7,0700","41",",,7"\n'
    f'"{STATION}","2025-04-04","EXAMPLE, WI","",",,7","50",",X,7"\n'
)


def test_the_form_with_headings_is_read_in_the_units_a_person_names():
    asked = read_ghcn(COLUMNS.encode())
    assert [question.key for question in asked.needs] == ["units"]
    us = read_ghcn(COLUMNS.encode(), answers={"units": "us"}).items
    assert (us[0].precipitation_mm, us[0].max_temp_c) == (12.7, 5.0)
    assert us[0].observed_at == time(7)
    assert (us[1].precipitation_mm, us[1].max_temp_c, us[1].failed) == (None, None, ("TMAX",))
    metric = read_ghcn(COLUMNS.encode(), answers={"units": "metric"}).items
    tenths = read_ghcn(COLUMNS.encode(), answers={"units": "tenths"}).items
    assert (metric[0].precipitation_mm, tenths[0].precipitation_mm) == (0.5, 0.05)


@pytest.mark.parametrize(
    "line",
    [
        f"{STATION},20250230,PRCP,1,,,7,",
        f"{STATION},20250403,PRCP,abc,,,7,",
        f"{STATION},20250403,PRCP,-1,,,7,",
        f"{STATION},20250403,PRCP,NaN,,,7,",
        f"{STATION},20250403,PRCP,150001,,,7,",
        f"{STATION},20250403,TMAX,701,,,7,",
        f"{STATION},20250403",
    ],
)
def test_a_bad_line_is_named(line):
    result = read_ghcn(f"{STATION},20250401,PRCP,0,,,7,\n{line}\n".encode())
    assert [bad.row for bad in result.rejected] == [2]
    assert not result.ready


@given(st.lists(st.integers(0, 9999), min_size=1, max_size=28))
def test_both_archive_forms_say_the_same(tenths):
    one = read_ghcn(fixed("PRCP", *((v, "  7") for v in tenths)).encode()).items
    lines = [f"{STATION},202504{d:02d},PRCP,{v},,,7," for d, v in enumerate(tenths, 1)]
    other = read_ghcn("\n".join(lines).encode()).items
    assert [(r.on, r.precipitation_mm) for r in one] == [(r.on, r.precipitation_mm) for r in other]
    assert [r.precipitation_mm for r in one] == [v / 10 for v in tenths]


@pytest.mark.parametrize("data", [b"", b"\0", b"\n\n", b'"', b"STATION,DATE\n", b"<html></html>"])
def test_a_file_without_weather_is_refused(data):
    try:
        result = read_ghcn(data, answers={"units": "us"})
    except FormatError:
        return
    assert not result.ready
    assert result.rejected


def test_a_gauge_is_read_in_the_units_of_its_headings():
    text = "Date,Rain (in),High (F),Low F,Wind (mph)\n4/3/2025,0.50,50,32,10\n4/13/2025,T,,M,\n"
    result = read_gauge(text.encode(), station="Barn")
    assert result.ready
    first, second = result.items
    assert (first.station, first.on, first.precipitation_mm) == ("Barn", date(2025, 4, 3), 12.7)
    assert first.max_temp_c == pytest.approx(10)
    assert first.min_temp_c == pytest.approx(0)
    assert first.wind_m_per_s == pytest.approx(4.4704)
    assert (second.precipitation_mm, second.trace, second.max_temp_c) == (0, True, None)


def test_a_gauge_without_unit_or_order_is_asked_about():
    data = b"Fecha;Lluvia\n3/4/2025;0,5\n"
    keys = {question.key for question in read_gauge(data).needs}
    assert keys == {"date_order"}
    asked = read_gauge(data, answers={"date_order": "dmy"})
    assert [question.key for question in asked.needs] == ["unit_length"]
    told = read_gauge(data, answers={"date_order": "dmy", "unit_length": "in"})
    assert (told.items[0].on, told.items[0].precipitation_mm) == (date(2025, 4, 3), 12.7)


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("2025-02-30,1", "Date"),
        ("2025-04-03,-0.1", "Rain (in)"),
        ("2025-04-03,NaN", "Rain (in)"),
        ("2025-04-03,9999", "Rain (in)"),
        ("2025-04-01,1", "Date"),
    ],
)
def test_a_bad_gauge_cell_is_named(row, column):
    result = read_gauge(f"Date,Rain (in)\n2025-04-01,0\n{row}\n".encode())
    assert [(bad.row, bad.column) for bad in result.rejected] == [(3, column)]


@pytest.mark.parametrize("data", [b"", b"Date,Colour\n1,2\n", b"Date,Rain (in)\n", b'"'])
def test_a_file_that_is_no_gauge_is_refused(data):
    with pytest.raises(FormatError):
        read_gauge(data)
