"""NMEA 0183 logs: check sums, dates over midnight, lost signal.

The sentence `$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47` with its check sum
is the example printed in most descriptions of the format [memory].
"""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError
from farmrecords.formats.nmea import read_nmea
from tests.formats.samples import sentence

EXAMPLE = b"$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47"


def gga(clock, lat="4300.0000,N", lon="08930.0000,W", quality="4"):
    return sentence(f"GNGGA,{clock},{lat},{lon},{quality},14,0.9,265.1,M,-34.0,M,,")


def rmc(clock, day="030425", status="A"):
    return sentence(f"GNRMC,{clock},{status},4300.0000,N,08930.0000,W,4.1,90.0,{day},,,A")


def log(*lines):
    return b"\r\n".join(lines) + b"\r\n"


def test_the_well_known_sentence_is_read_at_its_place():
    result = read_nmea(log(EXAMPLE), answers={"day": "2025-04-03"})
    (point,) = result.items[0].points
    assert point.lat == pytest.approx(48 + 7.038 / 60)
    assert point.lon == pytest.approx(11 + 31 / 60)
    assert (point.ele, point.at) == (545.4, datetime(2025, 4, 3, 12, 35, 19, tzinfo=UTC))


def test_a_good_log_takes_the_date_from_rmc_and_the_height_from_gga():
    lines = [line for s in range(3) for line in (gga(f"12000{s}.00"), rmc(f"12000{s}.00"))]
    result = read_nmea(log(*lines))
    assert result.ready
    (segment,) = result.items
    assert [p.at.second for p in segment.points] == [0, 1, 2]
    assert {(p.lon, p.lat, p.ele) for p in segment.points} == {(-89.5, 43.0, 265.1)}


def test_positions_before_the_first_date_and_over_midnight_get_their_day():
    result = read_nmea(log(gga("235959"), gga("000000"), rmc("000001", "040425"), gga("000002")))
    assert [p.at for p in result.items[0].points] == [
        datetime(2025, 4, 3, 23, 59, 59, tzinfo=UTC) + timedelta(seconds=s) for s in range(4)
    ]


def test_a_log_resumed_days_later_has_the_later_days():
    lines = [gga("120000"), rmc("120000"), gga("130000"), rmc("130000", "070425"), gga("130001")]
    result = read_nmea(log(*lines))
    assert [[p.at.day for p in segment.points] for segment in result.items] == [[3], [7, 7]]


def test_without_any_date_the_day_is_asked():
    data = log(gga("120000"))
    assert [question.key for question in read_nmea(data).needs] == ["day"]
    assert read_nmea(data, answers={"day": "2025-04-03"}).ready


@pytest.mark.parametrize("lost", [gga("120001", quality="0"), rmc("120001", status="V"),
                                  gga("120001", lat=",", lon=",")])  # fmt: skip
def test_lost_signal_parts_the_track(lost):
    result = read_nmea(log(rmc("120000"), lost, rmc("120002")))
    assert [len(segment.points) for segment in result.items] == [1, 1]


def test_a_silence_of_ten_seconds_is_one_track_and_of_eleven_two():
    assert len(read_nmea(log(rmc("120000"), rmc("120010"))).items) == 1
    assert len(read_nmea(log(rmc("120000"), rmc("120011"))).items) == 2


def test_lines_that_do_not_check_are_left_out_and_counted():
    wrong = rmc("120001").replace(b"4300", b"4400")
    bare = rmc("120002").split(b"*")[0]
    result = read_nmea(log(rmc("120000"), wrong, bare, rmc("120003"), b"boot", rmc("120004")))
    assert sum(len(segment.points) for segment in result.items) == 3
    assert len(result.warnings) == 3


def test_a_log_is_refused_when_fewer_than_half_of_its_lines_check():
    good, wrong = rmc("120000"), rmc("120001").replace(b"4300", b"4400")
    assert read_nmea(log(good, wrong)).ready
    with pytest.raises(FormatError, match="do not check"):
        read_nmea(log(good, wrong, wrong))


def test_simulated_positions_are_said():
    result = read_nmea(log(rmc("120000"), gga("120001", quality="8")))
    assert "simulated" in result.warnings[0]


def test_a_day_after_tomorrow_is_refused():
    assert read_nmea(log(rmc("120000", "040425")), today=date(2025, 4, 3)).ready
    with pytest.raises(FormatError, match="future"):
        read_nmea(log(rmc("120000", "050425")), today=date(2025, 4, 3))


@pytest.mark.parametrize(
    "line",
    [
        gga("250000"), gga("126000"), gga("12"), gga("xxxxxx"),
        gga("120000999999"), gga("120000.5e9"), gga("120000", lat="9100.0,N"),
        gga("120000", lat="4360.0,N"), gga("120000", lon="18100.0,W"),
        gga("120000", lat="nan,N"), gga("120000", lat="4300.0,X"), b"$GPGGA*56", b"x" * 5_000,
        b"\xff\xfe$GPGGA", b"$" + b"," * 100 + b"*00", b"",
    ],
)  # fmt: skip
def test_a_hostile_line_gives_no_position(line):
    with pytest.raises(FormatError):
        read_nmea(log(line), answers={"day": "2025-04-03"})


@given(st.integers(-5_399_999, 5_399_999), st.integers(-10_799_999, 10_799_999))
def test_a_position_written_in_minutes_reads_back(lat, lon):
    south, west = "S" if lat < 0 else "N", "W" if lon < 0 else "E"
    lat_text = f"{abs(lat) // 60_000:02d}{abs(lat) % 60_000 / 1000:06.3f}"
    lon_text = f"{abs(lon) // 60_000:03d}{abs(lon) % 60_000 / 1000:06.3f}"
    line = sentence(f"GPRMC,120000,A,{lat_text},{south},{lon_text},{west},0,0,030425,,,A")
    (point,) = read_nmea(log(line)).items[0].points
    assert point.lat == pytest.approx(lat / 60_000, abs=1e-9)
    assert point.lon == pytest.approx(lon / 60_000, abs=1e-9)
