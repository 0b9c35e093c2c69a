"""Receiver logs in NMEA 0183: positions from GGA and RMC sentences with right check sums.

A sentence is `$ttSSS,…*HH`, HH being the exclusive-or of the bytes between `$` and `*`. GGA tells
time, position, quality and height but no date; RMC tells the date. Lines that do not check are
left out and counted: a serial cable loses characters, and a position without a check sum is no
evidence. A log in which fewer than half of the lines check is refused.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import reduce
from operator import xor

from farmrecords.formats.common import (
    MAX_TRACK_POINTS,
    Answers,
    FormatError,
    Question,
    ReadResult,
    refuse_large,
)
from farmrecords.formats.moments import EARLIEST_YEAR, LATEST_YEAR, parse_day
from farmrecords.formats.numerals import plain_float
from farmrecords.formats.tracks import TrackPoint, TrackSegment

# A longer silence is a loss of signal (reference on data formats, section 3.2).
GAP_SECONDS = 10
# The standard allows 82; some receivers write a little more [memory].
MAX_SENTENCE_BYTES = 120
_NO_FIX = ("", "0")
_SIMULATED = "8"
_HALF_A_DAY = 43_200


@dataclass(frozen=True, slots=True)
class _Fix:
    """One position with the second of its UTC day; the day may come later."""

    second: float
    lon: float
    lat: float
    ele: float | None


@dataclass
class _Log:
    """What has been read so far."""

    today: date | None
    day: date | None
    fixes: list[tuple[int, _Fix]] = field(default_factory=list)
    breaks: set[int] = field(default_factory=set)
    bad: Counter[str] = field(default_factory=Counter)
    good: int = 0
    simulated: int = 0
    day_count: int = 0
    first_day: date | None = None
    last_second: float | None = None

    def turn_day(self, second: float) -> None:
        """Count a midnight when the time of day falls back by more than half a day."""
        if self.last_second is not None and self.last_second - second > _HALF_A_DAY:
            self.day_count += 1
        self.last_second = second


def read_nmea(
    data: bytes, *, answers: Answers | None = None, today: date | None = None
) -> ReadResult[TrackSegment]:
    """The track segments of a receiver log.

    A log without any date is asked about as `day` (the UTC day of its first position).
    """
    refuse_large(data)
    answer = (answers or {}).get("day", "")
    log = _Log(today, parse_day(answer) if answer else None)
    for raw in data.splitlines():
        if raw.strip():
            _take(raw.strip(), log)
    _refuse_rubbish(log)
    first_day = log.first_day or log.day
    if first_day is None:
        return ReadResult([], [], _warnings(log), [_day_question()])
    segments = _segments(log, first_day)
    return ReadResult(segments, [], _warnings(log), [])


def _take(raw: bytes, log: _Log) -> None:
    fields = _fields(raw, log)
    if not fields:
        return
    log.good += 1
    kind = fields[0][2:]
    if kind == "GGA" and len(fields) >= 11:
        _take_gga(fields, log)
    elif kind == "RMC" and len(fields) >= 10:
        _take_rmc(fields, log)


def _fields(raw: bytes, log: _Log) -> list[str]:
    """The fields of a sentence whose check sum is right; empty for any other line."""
    body, star, stated = raw[1:].partition(b"*")
    if raw[:1] not in (b"$", b"!") or len(raw) > MAX_SENTENCE_BYTES or not raw.isascii():
        log.bad["are no sentences"] += 1
    elif not star:
        log.bad["have no check sum"] += 1
    elif stated.strip().upper() != f"{reduce(xor, body, 0):02X}".encode():
        log.bad["have a wrong check sum"] += 1
    else:
        return body.decode("ascii").split(",")
    return []


def _take_gga(fields: list[str], log: _Log) -> None:
    second = _second(fields[1])
    if second is None:
        log.bad["have no time"] += 1
        return
    log.turn_day(second)
    place = _place(fields[2:6])
    if fields[6] in _NO_FIX or place is None:
        log.breaks.add(len(log.fixes))
        return
    log.simulated += fields[6] == _SIMULATED
    height = plain_float(fields[9])
    if log.fixes and log.fixes[-1][1].second == second:
        log.fixes.pop()
    _add(log, _Fix(second, *place, height))


def _take_rmc(fields: list[str], log: _Log) -> None:
    second = _second(fields[1])
    if second is None:
        log.bad["have no time"] += 1
        return
    log.turn_day(second)
    day = _date(fields[9])
    if day is not None:
        log.first_day = log.first_day or day - timedelta(days=log.day_count)
        log.day_count = (day - log.first_day).days
    place = _place(fields[3:7])
    if fields[2] != "A" or place is None:
        log.breaks.add(len(log.fixes))
    elif log.fixes and log.fixes[-1][1].second == second:
        log.fixes[-1] = (log.day_count, log.fixes[-1][1])
    else:
        _add(log, _Fix(second, *place, None))


def _add(log: _Log, fix: _Fix) -> None:
    if len(log.fixes) >= MAX_TRACK_POINTS:
        raise FormatError(
            f"The log has more than {MAX_TRACK_POINTS:,} positions.", "Split it by day."
        )
    log.fixes.append((log.day_count, fix))


def _second(text: str) -> float | None:
    """The second of the day of hhmmss(.sss); second 60 of a leap second is taken as 59."""
    whole = text[:6]
    if not (whole.isdigit() and len(whole) == 6) or plain_float(text) is None:
        return None
    hour, minute, second = int(whole[:2]), int(whole[2:4]), min(int(whole[4:6]), 60)
    if hour > 23 or minute > 59 or int(whole[4:6]) > 60:
        return None
    rest = plain_float("0" + text[6:]) if text[6:7] in ("", ".") else None
    if rest is None or not 0 <= rest < 1:
        return None
    return hour * 3600 + minute * 60 + min(second, 59) + rest


def _place(fields: list[str]) -> tuple[float, float] | None:
    """Longitude and latitude of ddmm.mmmm,N,dddmm.mmmm,W; None when empty or out of range."""
    lat = _angle(fields[0], 2, 90)
    lon = _angle(fields[2], 3, 180)
    if lat is None or lon is None or fields[1] not in ("N", "S") or fields[3] not in ("E", "W"):
        return None
    return (-lon if fields[3] == "W" else lon), (-lat if fields[1] == "S" else lat)


def _angle(text: str, digits: int, most: int) -> float | None:
    degrees, minutes = text[:digits], plain_float(text[digits:])
    if not degrees.isdigit() or len(degrees) < digits or minutes is None or not 0 <= minutes < 60:
        return None
    angle = int(degrees) + minutes / 60
    return angle if angle <= most else None


def _date(text: str) -> date | None:
    """The day of ddmmyy, taken in this century."""
    if len(text) != 6 or not text.isdigit():
        return None
    try:
        day = date(2000 + int(text[4:]), int(text[2:4]), int(text[:2]))
    except ValueError:
        return None
    return day if EARLIEST_YEAR <= day.year <= LATEST_YEAR else None


def _refuse_rubbish(log: _Log) -> None:
    bad = sum(log.bad.values())
    if not log.good:
        raise FormatError("No line is a whole NMEA sentence.", "Check that this is the right file.")
    if bad > log.good:
        raise FormatError(
            f"{bad:,} of {bad + log.good:,} lines do not check.", "Copy the log again."
        )
    if not log.fixes:
        raise FormatError("The log holds no position.", "The receiver had no signal.")


def _segments(log: _Log, first_day: date) -> list[TrackSegment]:
    segments: list[TrackSegment] = []
    points: list[TrackPoint] = []
    before: datetime | None = None
    for index, (day_count, fix) in enumerate(log.fixes):
        at = datetime.combine(first_day, time(0), UTC) + timedelta(
            days=day_count, milliseconds=round(fix.second * 1000)
        )
        if log.today and at.date() > log.today + timedelta(days=1):
            raise FormatError(f"The log reaches {at:%Y-%m-%d}, in the future.",
                              "Check the receiver's date.")  # fmt: skip
        lost = before is not None and not 0 <= (at - before).total_seconds() <= GAP_SECONDS
        if points and (lost or index in log.breaks):
            segments.append(TrackSegment("", len(segments) + 1, tuple(points)))
            points = []
        points.append(TrackPoint(at, fix.lon, fix.lat, fix.ele))
        before = at
    segments.append(TrackSegment("", len(segments) + 1, tuple(points)))
    return segments


def _warnings(log: _Log) -> list[str]:
    warnings = [f"{count:,} lines {what} and were left out." for what, count in log.bad.items()]
    if log.simulated:
        warnings.append(f"{log.simulated:,} positions are simulated, says the receiver.")
    return warnings


def _day_question() -> Question:
    asked = "The log tells times but no date. On which day (UTC) does it begin?"
    return Question(key="day", asked=asked)
