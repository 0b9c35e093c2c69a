"""Binary time logs: every header, both ways of reading, cut off or damaged."""

import struct
from datetime import UTC, date, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats import iso_timelog
from farmrecords.formats.common import FormatError
from farmrecords.formats.iso_timelog import header_of, read_timelog, utc_ms
from farmrecords.formats.iso_values import QUANTITIES, Channel
from farmrecords.formats.moments import zone_of
from tests.formats import taskdata_files as files

DAY = files.DAY
HEADER = header_of(files.HEADER.encode())
# A worked example [measured by another
# reader]: 2024-05-01 14:30:05.250, 43.0731234, -89.4012345, 265.123 m, 19.998 ton/ac, 30 ft, on.
EXAMPLE_HEADER = (
    b'<TIM A="" D="4"><PTN A="" B="" C="" D="" E="" F="" G=""/><DLV A="0007" B="" C="DET-1"/>'
    b'<DLV A="0043" B="" C="DET-1"/><DLV A="008D" B="" C="DET-1"/></TIM>'
)
EXAMPLE = bytes.fromhex(
    "c2961c03403fe26fac194774b6caa30b0400041200" + "09000e0300b867440001b82300000201000000"
)


def log(data, header=HEADER, **kwargs):
    return read_timelog("TLG00001", header, data, **kwargs)


def test_the_worked_example_is_read_to_its_values():
    found = log(EXAMPLE, header_of(EXAMPLE_HEADER))
    at = datetime(1980, 1, 1, tzinfo=UTC).timestamp() * 1000 + found.local_ms[0]
    assert at == datetime(2024, 5, 1, 14, 30, 5, 250_000, tzinfo=UTC).timestamp() * 1000
    assert (found.lat[0], found.lon[0]) == pytest.approx((43.0731234, -89.4012345), abs=1e-9)
    assert found.up_m[0] == pytest.approx(265.123)
    values = {c.ddi: c.carried(1)[0] for c in found.channels}
    assert values[7] == pytest.approx(19.998, abs=5e-4)
    assert values[67] == pytest.approx(30)
    assert values[141] == 1
    assert found.warnings == ()


# Factors of ISO 11783-11, to the digits printed in its dictionary.
@pytest.mark.parametrize(
    ("ddi", "raw", "unit", "expected"),
    [
        (1, 21_474_836.47 * 100, "gal_per_ac", 22_958),
        (2, 100, "gal_per_ac", 0.001069066),
        (589, 10, "gal_per_ac", 1.069066),
        (7, 1_000_000, "ton_per_ac", 4.460896),
        (67, 304.8, "ft", 1),
        (72, 3_785.411784, "gal", 1),
        (80, 3.785411784, "gal", 1),
        (75, 453.59237, "lb", 1),
        (81, 0.45359237, "lb", 1),
        (116, 4046.8564224, "ac", 1),
    ],
)
def test_raw_values_come_out_in_us_units(ddi, raw, unit, expected):
    quantity = QUANTITIES[ddi]
    assert quantity.unit == unit
    assert raw * quantity.factor == pytest.approx(expected, rel=1e-5)


def test_values_are_carried_forward_and_nothing_stands_before_the_first():
    data = b"".join(
        [
            files.record(0, 43, -89),
            files.record(1000, 43, -89, (2, 1)),
            files.record(2000, 43, -89),
            files.record(3000, 43, -89, (2, 0)),
        ]
    )
    (channel,) = log(data).channels
    assert channel.ddi == 141
    np.testing.assert_array_equal(channel.carried(4), [np.nan, 1, 1, 0])


@pytest.mark.parametrize("cut", [1, 5, 14, 15])
def test_a_log_cut_off_keeps_its_whole_records_and_says_so(cut):
    one = files.record(0, 43, -89, (0, 5))
    found = log(one + one + one[:cut])
    assert found.count == 2
    assert "cut off" in found.warnings[0]


def test_an_empty_log_has_no_records():
    assert log(b"").count == 0


@pytest.mark.parametrize(
    ("bad", "word"),
    [
        (files.record(0, 43, -89, (3, 5)), "channel 3"),
        (files.record(86_400_000, 43, -89), "86,400,000"),
        (files.record(0, 43, -89, day=iso_timelog.FIRST_DAY - 1), "1989-12-31"),
        (files.record(0, 43, -89, day=DAY + 2), "2025-04-05"),
        (files.record(0, 90.1, -89), "latitude 90.1"),
        (files.record(0, 43, -180.1), "latitude 43"),
    ],
)
def test_what_cannot_be_is_corruption_at_its_byte(bad, word):
    good = files.record(0, 43, -89, (0, 5))
    with pytest.raises(FormatError, match=word) as refused:
        log(good + bad + good, today=date(2025, 4, 3))
    assert f"byte {len(good)}" in str(refused.value)


def test_the_last_day_is_that_after_today():
    assert log(files.record(0, 43, -89, day=DAY + 1), today=date(2025, 4, 3)).count == 1


@pytest.mark.parametrize(
    ("lat", "lon", "status"), [(0, 0, 4), (43, -89, 0), (43, -89, 14), (43, -89, 15)]
)
def test_a_record_without_position_keeps_its_values(lat, lon, status):
    found = log(files.record(0, lat, lon, (0, 5), status=status))
    assert np.isnan(found.lat[0])
    assert found.channels[0].raw[0] == 5
    assert "no position" in found.warnings[0]


def test_the_distance_from_utc_is_taken_from_the_receiver_to_the_quarter_hour():
    header = header_of(b'<TIM A="" D="4"><PTN A="" B="" D="" H="" I=""/></TIM>')
    local_ms, utc = 7 * 3_600_000 + 400, 12 * 3_600_000
    data = struct.pack("<IHiiBIHB", local_ms, DAY, 430000000, -890000000, 4, utc, DAY, 0)
    found = log(data, header)
    assert found.offset_min == -300
    expected = datetime(2025, 4, 3, 12, 0, 0, 400_000, tzinfo=UTC).timestamp() * 1000
    assert utc_ms(found, zone_of("Asia/Tokyo"))[0] == expected


def test_a_constant_position_and_two_positions_are_read():
    fixed = header_of(b'<TIM A="" D="4"><PTN A="43.5" B="-89.5" D="4"/></TIM>')
    found = log(struct.pack("<IHB", 0, DAY, 0), fixed)
    assert (found.lat[0], found.lon[0]) == pytest.approx((43.5, -89.5))
    two = header_of(b'<TIM A="" D="4"><PTN A="" B="" D=""/><PTN A="" B="" D=""/></TIM>')
    data = struct.pack("<IHiiBiiBB", 0, DAY, 430000000, -890000000, 4, 1, 2, 4, 0)
    assert log(data, two).lat[0] == pytest.approx(43)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"<DLV/>",
        b'<TIM D="4"/>',
        b'<TIM A="2025" D="4"/>',
        b"<TIM",
        b'<TIM A="">' + b"<DLV/>" * 256 + b"</TIM>",
    ],
)
def test_a_header_that_is_none_is_refused(data):
    with pytest.raises(FormatError):
        header_of(data)


numbers = st.integers(-(2**31), 2**31 - 1)
records = st.lists(
    st.tuples(st.integers(0, 86_399_999), numbers.map(lambda n: n % 899_999_999),
              st.dictionaries(st.integers(0, 2), numbers, max_size=3)),
    max_size=20,
)  # fmt: skip


@given(records)
def test_every_log_written_to_the_layout_reads_back(rows):
    data = b"".join(
        files.record(ms, north / 1e7, -89, *values.items()) for ms, north, values in rows
    )
    found = log(data)
    assert found.local_ms.tolist() == [DAY * 86_400_000 + ms for ms, _, _ in rows]
    written = {channel.ddi: channel for channel in found.channels}
    for index, (ddi, _) in enumerate(HEADER.channels):
        expected = [(r, values[index]) for r, (_, _, values) in enumerate(rows) if index in values]
        if expected:
            pairs = zip(written[ddi].records.tolist(), written[ddi].raw.tolist(), strict=True)
            assert list(pairs) == expected
        else:
            assert ddi not in written


@given(st.lists(st.tuples(numbers, numbers), min_size=2, max_size=30))
def test_the_fast_way_and_the_careful_way_agree(rows):
    data = b"".join(
        files.record(i * 1000, 43, -89, (0, a), (2, b)) for i, (a, b) in enumerate(rows)
    )
    fast, careful = iso_timelog._regular(HEADER, data), iso_timelog._irregular(HEADER, data)
    assert fast is not None
    assert {k: v.tolist() for k, v in fast.columns.items()} == {
        k: v.tolist() for k, v in careful.columns.items()
    }
    assert fast.starts.tolist() == careful.starts.tolist()
    assert [(c.ddi, c.records.tolist(), c.raw.tolist()) for c in fast.channels] == [
        (c.ddi, c.records.tolist(), c.raw.tolist()) for c in careful.channels
    ]


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data):
    try:
        found = log(data)
    except FormatError:
        return
    assert found.count <= len(data) // 16


def test_a_total_that_restarts_counts_its_rises_and_its_falls():
    raw = np.array([0, 100, 250, 0, 40], dtype=np.int64)
    total, restarts = Channel(116, "DET1", np.arange(5), raw).increase()
    assert (total * 4046.8564224, restarts) == (pytest.approx(290), 1)


# Two bits a section, the leftmost section lowest: 00 off, 01 on, 10 error, 11 not installed.
