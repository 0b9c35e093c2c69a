"""Tracks as GPX 1.1 (and 1.0): segments stay apart, bad points are named.

GPX 1.1 schema: `lat` and `lon` are decimal degrees WGS84, `ele` is metres, `time` is UTC.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from xml.etree.ElementTree import Element
from zoneinfo import ZoneInfo

from farmrecords.formats.common import (
    MAX_TRACK_POINTS,
    Answers,
    Choice,
    FormatError,
    Question,
    ReadResult,
    Rejected,
    shown,
)
from farmrecords.formats.moments import EARLIEST_YEAR, LATEST_YEAR, at_local, zone_of
from farmrecords.formats.numerals import plain_float
from farmrecords.formats.safe_xml import local_name, xml_events
from farmrecords.formats.tracks import TrackPoint, TrackSegment

# After so many refused points the rest is only counted; the file is not taken over anyway.
MOST_REFUSALS_NAMED = 200


@dataclass
class _Reading:
    """What has been read so far."""

    zone: ZoneInfo | None
    naive: str
    today: date | None
    name: str = ""
    points: list[TrackPoint] = field(default_factory=list)
    segments: list[TrackSegment] = field(default_factory=list)
    rejected: list[Rejected] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    number: int = 0
    refused: int = 0
    empty: int = 0
    naive_example: str = ""
    twice: int = 0
    others: set[str] = field(default_factory=set)

    def refuse(self, column: str, value: str, reason: str, remedy: str) -> None:
        self.refused += 1
        if self.refused <= MOST_REFUSALS_NAMED:
            self.rejected.append(Rejected(self.number, column, shown(value), reason, remedy))


def read_track(
    data: bytes, *, zone: str = "", answers: Answers | None = None, today: date | None = None
) -> ReadResult[TrackSegment]:
    """The track segments of a GPX file.

    Times are UTC by the GPX schema; a file whose times carry no “Z” is asked about as
    `naive_times` (utc, or local in `zone`). A point later than a day after `today` is refused,
    when `today` is given.
    """
    naive = (answers or {}).get("naive_times", "")
    if naive not in ("", "utc", "local") or (naive == "local" and not zone):
        raise FormatError(f"“{shown(naive)}” is no answer for naive_times.", "Use utc or local.")
    reading = _Reading(zone_of(zone) if zone else None, naive, today)
    _walk(data, reading)
    if reading.refused > MOST_REFUSALS_NAMED:
        more = reading.refused - MOST_REFUSALS_NAMED
        reading.warnings.append(f"{more:,} more points were refused for like reasons.")
    if reading.twice:
        reading.warnings.append(
            f"{reading.twice:,} times came twice as clocks went back; the first was taken."
        )
    if reading.empty:
        reading.warnings.append(f"{reading.empty} segments without points were left out.")
    for other in sorted(reading.others):
        reading.warnings.append(f"The file also holds {other}; only tracks are read.")
    if not reading.segments and not reading.rejected:
        raise FormatError("The file holds no track.", "Record a track, not a route or a place.")
    return ReadResult(reading.segments, reading.rejected, reading.warnings, _questions(reading))


def _walk(data: bytes, reading: _Reading) -> None:
    path: list[str] = []
    for event, tag, element in xml_events(data):
        if event == "start":
            path.append(tag)
            if len(path) == 1 and tag != "gpx":
                raise FormatError(f"The file is XML, but not GPX (it begins with {shown(tag)}).")
            if tag == "trkseg":
                reading.points = []
            continue
        path.pop()
        if tag == "trkpt" and path[-1:] == ["trkseg"]:
            _point(element, reading)
            element.clear()
        elif tag == "trkseg":
            _segment(reading)
            element.clear()
        elif tag == "name" and path[-1:] == ["trk"]:
            reading.name = (element.text or "").strip()[:200]
        elif tag == "trk":
            reading.name = ""
            element.clear()
        elif tag in ("rte", "wpt"):
            reading.others.add("routes" if tag == "rte" else "waypoints")
            element.clear()


def _point(element: Element, reading: _Reading) -> None:
    reading.number += 1
    if reading.number > MAX_TRACK_POINTS:
        raise FormatError(
            f"The file has more than {MAX_TRACK_POINTS:,} points.", "Split it, for example by day."
        )
    lat = _degrees(element.get("lat"), "lat", 90, reading)
    lon = _degrees(element.get("lon"), "lon", 180, reading)
    at, ele = None, None
    for child in element:
        tag, text = local_name(child), (child.text or "").strip()
        if tag == "time" and text:
            at = _moment(text, reading)
        elif tag == "ele" and text:
            ele = plain_float(text)
    if lat is not None and lon is not None:
        reading.points.append(TrackPoint(at, lon, lat, ele))


def _degrees(text: str | None, column: str, most: int, reading: _Reading) -> float | None:
    if text is None:
        reading.refuse(column, "", f"The point has no {column}.", "Export the track again.")
        return None
    number = plain_float(text.strip())
    if number is None:
        reading.refuse(column, text, "This is no number of degrees.", "Export the track again.")
        return None
    if not -most <= number <= most:
        reading.refuse(column, text, f"It must lie between -{most} and {most} degrees.",
                       "Check whether latitude and longitude were exchanged.")  # fmt: skip
        return None
    return number


def _moment(text: str, reading: _Reading) -> datetime | None:
    try:
        moment = datetime.fromisoformat(text) if len(text) <= 40 and text.isascii() else None
    except ValueError:
        moment = None
    if moment is None or len(text) < 16 or not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
        reading.refuse(
            "time", text, "This is no moment from 1990 to 2100.", "Check the recorder's clock."
        )
        return None
    if moment.tzinfo is None:
        reading.naive_example = reading.naive_example or text
        return _placed(moment, text, reading)
    return _not_later(moment.astimezone(UTC), text, reading)


def _placed(moment: datetime, text: str, reading: _Reading) -> datetime | None:
    """A time without zone as the person answered; UTC while the question is open."""
    if reading.naive != "local" or reading.zone is None:
        return _not_later(moment.replace(tzinfo=UTC), text, reading)
    try:
        local = at_local(moment.date(), moment.time(), reading.zone, "first")
        if at_local(moment.date(), moment.time(), reading.zone, "second") != local:
            reading.twice += 1
    except FormatError as error:
        reading.refuse("time", text, error.reason, error.remedy)
        return None
    return _not_later(local.astimezone(UTC), text, reading)


def _not_later(moment: datetime, text: str, reading: _Reading) -> datetime | None:
    if reading.today and moment.date() > reading.today + timedelta(days=1):
        reading.refuse("time", text, "This lies in the future.", "Check the recorder's clock.")
        return None
    return moment


def _segment(reading: _Reading) -> None:
    if not reading.points:
        reading.empty += 1
        return
    number = len(reading.segments) + 1
    segment = TrackSegment(reading.name, number, tuple(reading.points))
    reading.points = []
    reading.segments.append(segment)
    times = [point.at for point in segment.points if point.at is not None]
    back = sum(1 for before, after in itertools.pairwise(times) if after < before)
    if back:
        reading.warnings.append(f"Segment {number}: time runs backwards at {back} points.")
    if len(times) < len(segment.points):
        without = len(segment.points) - len(times)
        reading.warnings.append(f"Segment {number}: {without} points have no time.")


def _questions(reading: _Reading) -> list[Question]:
    if not reading.naive_example:
        return []
    if reading.naive:
        as_what = "UTC" if reading.naive == "utc" else "local time"
        reading.warnings.append(f"Times without a zone were read as {as_what}, as answered.")
        return []
    local = reading.zone.key if reading.zone else "the farm's time zone"
    return [
        Question(
            key="naive_times",
            asked=f"The times, such as {shown(reading.naive_example)}, do not say their zone. "
            "GPX asks for UTC; some recorders write local time. Which is it?",
            choices=(Choice("utc", "UTC"), Choice("local", f"local time, {local}")),
            examples=(reading.naive_example,),
        )
    ]
