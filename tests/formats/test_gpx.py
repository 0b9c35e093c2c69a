"""GPX tracks (GPX 1.1 schema): segments, times, ranges, and files that mean harm."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError
from farmrecords.formats.gpx import read_track

T0 = datetime(2025, 4, 3, 12, tzinfo=UTC)


def point(lat="43.0", lon="-89.5", at="", ele=""):
    inner = (f"<ele>{ele}</ele>" if ele else "") + (f"<time>{at}</time>" if at else "")
    return f'<trkpt lat="{lat}" lon="{lon}">{inner}</trkpt>'


def gpx(*segments, name="Tanker 1", space="http://www.topografix.com/GPX/1/1"):
    body = "".join(f"<trkseg>{''.join(points)}</trkseg>" for points in segments)
    xmlns = f' xmlns="{space}"' if space else ""
    return f"<gpx{xmlns}><trk><name>{name}</name>{body}</trk></gpx>".encode()


def test_a_good_track_keeps_its_segments_apart():
    data = gpx(
        [point(at="2025-04-03T12:00:00Z", ele="260.1"), point(lat="43.0001")],
        [point(lon="-89.6", at="2025-04-03T13:00:00.500Z")],
    )
    result = read_track(data)
    assert result.ready
    assert [len(segment.points) for segment in result.items] == [2, 1]
    first = result.items[0].points[0]
    assert (first.at, first.lon, first.lat, first.ele) == (T0, -89.5, 43.0, 260.1)
    assert result.items[0].name == "Tanker 1"
    assert result.warnings == ["Segment 1: 1 points have no time."]


@pytest.mark.parametrize(
    "space", ["", "http://www.topografix.com/GPX/1/0", "http://www.topografix.com/GPX/1/1"]
)
def test_a_track_of_either_version_or_none_is_read(space):
    assert read_track(gpx([point(at="2025-04-03T12:00:00Z")], space=space)).ready


def test_a_time_with_another_offset_becomes_utc():
    result = read_track(gpx([point(at="2025-04-03T07:00:00-05:00")]))
    assert result.items[0].points[0].at == T0


def test_times_without_zone_are_asked_about_and_answered():
    data = gpx([point(at="2025-04-03T12:00:00")])
    asked = read_track(data)
    assert [question.key for question in asked.needs] == ["naive_times"]
    utc = read_track(data, answers={"naive_times": "utc"})
    local = read_track(data, zone="America/Chicago", answers={"naive_times": "local"})
    assert utc.items[0].points[0].at == T0
    assert local.items[0].points[0].at == T0 + timedelta(hours=5)
    assert utc.ready
    assert local.ready


def test_local_needs_to_be_told_the_zone():
    with pytest.raises(FormatError):
        read_track(gpx([point()]), answers={"naive_times": "local"})


def test_time_running_backwards_is_said_and_the_order_kept():
    times = ["2025-04-03T12:00:10Z", "2025-04-03T12:00:00Z", "2025-04-03T12:00:20Z"]
    result = read_track(gpx([point(at=at) for at in times]))
    assert "backwards at 1 points" in result.warnings[0]
    assert [p.at.second for p in result.items[0].points] == [10, 0, 20]


def test_empty_segments_routes_and_waypoints_are_said():
    data = gpx([], [point(at="2025-04-03T12:00:00Z")])
    data = data.replace(b"</gpx>", b'<wpt lat="1" lon="2"/><rte/></gpx>')
    result = read_track(data)
    assert len(result.items) == 1
    assert any("without points" in warning for warning in result.warnings)
    assert any("waypoints" in warning for warning in result.warnings)


@pytest.mark.parametrize(
    ("column", "bad"),
    [
        ("lat", {"lat": "95"}),
        ("lat", {"lat": "90.0001"}),
        ("lat", {"lat": "NaN"}),
        ("lat", {"lat": "inf"}),
        ("lat", {"lat": "4_3"}),
        ("lat", {"lat": "٤٣"}),
        ("lat", {"lat": ""}),
        ("lon", {"lon": "-180.001"}),
        ("lon", {"lon": "1e309"}),
        ("time", {"at": "yesterday"}),
        ("time", {"at": "2025-02-30T12:00:00Z"}),
        ("time", {"at": "2025-04-03T24:00:00Z"}),
        ("time", {"at": "1980-01-06T00:00:00Z"}),
        ("time", {"at": "9999-12-31T23:59:59-14:00"}),
        ("time", {"at": "2025-04-06T00:00:00Z"}),
    ],
)
def test_a_bad_point_is_named_with_its_number_and_column(column, bad):
    data = gpx([point(at="2025-04-03T12:00:00Z"), point(**bad)])
    result = read_track(data, today=date(2025, 4, 4))
    assert [(r.row, r.column) for r in result.rejected] == [(2, column)]
    assert not result.ready


def test_points_on_the_edge_of_the_range_are_read():
    result = read_track(gpx([point(lat="90", lon="-180"), point(lat="-90", lon="180")]))
    assert result.ready


BOMB = "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 10))


# Trust T21: entity tower, outside entity, quadratic growth, bare document type.
@pytest.mark.parametrize(
    "data",
    [
        f'<!DOCTYPE gpx [<!ENTITY a0 "x">{BOMB}]><gpx>&a9;</gpx>'.encode(),
        b'<!DOCTYPE gpx [<!ENTITY a SYSTEM "file:///etc/passwd">]><gpx>&a;</gpx>',
        b'<!DOCTYPE gpx [<!ENTITY a "' + b"x" * 50_000 + b'">]><gpx>' + b"&a;" * 5_000 + b"</gpx>",
        b"<!DOCTYPE gpx><gpx/>",
        b"<gpx>&undefined;</gpx>",
        b"<gpx><trk><trkseg>",
        b"<gpx/>",
        b"<kml/>",
        b"",
        b"not xml",
        b'<?xml version="1.0" encoding="no-such"?><gpx/>',
        b"\xff\xfe\x00\xd8<\0g\0",
        b"<gpx>" + b"<a>" * 70 + b"</a>" * 70 + b"</gpx>",
        b"<gpx " + b" ".join(b'a%d=""' % i for i in range(10)) + b"/>",
        b"<gpx>" + b"=" * 800_001 + b"</gpx>",
        b"<gpx>" + b"<a/>" * 1_500_001 + b"</gpx>",
    ],
)
def test_a_hostile_file_is_refused(data):
    with pytest.raises(FormatError) as refused:
        read_track(data)
    assert refused.value.reason


degrees = st.integers(-899_999_999, 899_999_999).map(lambda n: n / 1e7)
points = st.tuples(degrees, degrees, st.integers(0, 10**6))


@given(st.lists(st.lists(points, min_size=1, max_size=5), min_size=1, max_size=4))
def test_a_track_written_plainly_reads_back(segments):
    data = gpx(
        *(
            [
                point(f"{a:.7f}", f"{b:.7f}", (T0 + timedelta(seconds=s)).isoformat())
                for a, b, s in seg
            ]
            for seg in segments
        )
    )
    read_back = [
        [(p.lat, p.lon, (p.at - T0).total_seconds()) for p in segment.points]
        for segment in read_track(data).items
    ]
    assert read_back == [[tuple(p) for p in segment] for segment in segments]
