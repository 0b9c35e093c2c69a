"""Binary time logs of ISO 11783-10: a header in XML and records without padding.

Layout: reference on data formats, sections 1.3 and 1.4. Little-endian; what the header leaves
empty is in every record, what it gives a value is constant, what it leaves out was not logged.
A log cut off in the middle of a record is normal (power was lost) and is read up to there; a
value that cannot be is corruption and stops the reading at its byte.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any
from xml.etree.ElementTree import Element
from zoneinfo import ZoneInfo

import numpy as np

from farmrecords.formats.common import MAX_TRACK_POINTS, FormatError, shown
from farmrecords.formats.iso_values import Channel
from farmrecords.formats.numerals import plain_float
from farmrecords.formats.safe_xml import xml_tree

EPOCH = date(1980, 1, 1)
FIRST_DAY = (date(1990, 1, 1) - EPOCH).days
LAST_DAY = (date(2100, 12, 31) - EPOCH).days
MS_PER_DAY = 86_400_000
# Position states without a position: no fix, error, not available (section 1.4).
NO_POSITION = (0, 14, 15)
MOST_CHANNELS = 255
# PTN attribute -> struct code and what one unit is
_PTN = {
    "A": ("i", 1e-7),  # north, degrees
    "B": ("i", 1e-7),  # east, degrees
    "C": ("i", 1e-3),  # up, metres
    "D": ("B", 1),  # state
    "E": ("H", 0.1),  # PDOP
    "F": ("H", 0.1),  # HDOP
    "G": ("B", 1),  # satellites
    "H": ("I", 1),  # UTC ms of the day
    "I": ("H", 1),  # UTC day
}
_COPY_AGAIN = "Copy the log from the terminal again."
Floats = np.ndarray[Any, np.dtype[np.float64]]
Integers = np.ndarray[Any, np.dtype[np.int64]]


@dataclass(frozen=True)
class Header:
    """What the records of a log hold: names of the fixed fields, constants and channels."""

    fields: tuple[str, ...]
    codes: str
    constants: dict[str, float]
    channels: tuple[tuple[int, str], ...]

    @property
    def fixed_bytes(self) -> int:
        """The bytes of a record before its count of values."""
        return struct.calcsize("<" + self.codes)


@dataclass(frozen=True)
class TimeLog:
    """The records of one log, column by column.

    `local_ms` counts from 1980-01-01 by the terminal's clock. `lon` and `lat` are NaN where there
    was no position. `offset_min` is that clock's distance from UTC, None when the log does not
    tell it.
    """

    name: str
    local_ms: Integers
    lon: Floats
    lat: Floats
    up_m: Floats
    channels: tuple[Channel, ...]
    offset_min: int | None
    warnings: tuple[str, ...] = field(default=())

    @property
    def count(self) -> int:
        """How many records the log has."""
        return len(self.local_ms)


def header_of(data: bytes) -> Header:
    """The header of a time log from its XML."""
    root = xml_tree(data)
    if root.tag != "TIM":
        raise FormatError(f"A log's header begins with TIM, not {shown(root.tag)}.", _COPY_AGAIN)
    if root.get("A") != "":
        raise FormatError("The log's header leaves out the time.", _COPY_AGAIN)
    fields, codes = ["ms", "day"], "IH"
    constants: dict[str, float] = {}
    for number, ptn in enumerate(root.findall("PTN")[:2]):
        for attribute, (code, unit) in _PTN.items():
            stated = ptn.get(attribute)
            name = f"{attribute}{number}"
            if stated == "":
                fields.append(name)
                codes += code
            elif stated is not None and (value := plain_float(stated)) is not None:
                # constants are stated in plain units, fields in the raw ones
                constants[name] = value / unit if attribute in "AB" else value
    channels = tuple(_channel(dlv) for dlv in root.findall("DLV"))
    if len(channels) > MOST_CHANNELS:
        raise FormatError("The log's header has too many values.", _COPY_AGAIN)
    return Header(tuple(fields), codes, constants, channels)


def _channel(dlv: Element) -> tuple[int, str]:
    text = dlv.get("A") or ""
    try:
        ddi = int(text, 16) if len(text) <= 4 and text.isascii() and text.isalnum() else -1
    except ValueError:
        ddi = -1
    return ddi, dlv.get("C") or ""


def read_timelog(name: str, header: Header, data: bytes, today: date | None = None) -> TimeLog:
    """The records of a binary log; `today` bounds its days when given."""
    last_day = LAST_DAY if today is None else (today + timedelta(days=1) - EPOCH).days
    records = _regular(header, data) or _irregular(header, data)
    columns = records.columns
    _refuse_corrupt(name, header, columns, records.starts, last_day)
    warnings = []
    if records.used < len(data):
        warnings.append(f"{name}: cut off in its last record; {len(columns['ms']):,} were read.")
    lon, lat, up_m, dropped = _positions(header, columns, name, records.starts)
    if dropped:
        warnings.append(f"{name}: {dropped:,} records have no position.")
    local_ms = columns["day"] * MS_PER_DAY + columns["ms"]
    return TimeLog(
        name=name,
        local_ms=local_ms,
        lon=lon,
        lat=lat,
        up_m=up_m,
        channels=records.channels,
        offset_min=_offset(columns, local_ms),
        warnings=tuple(warnings),
    )


@dataclass(frozen=True)
class _Records:
    """Decoded columns, channels, how many bytes they took and where each record starts."""

    columns: dict[str, Integers]
    channels: tuple[Channel, ...]
    used: int
    starts: Integers


def _regular(header: Header, data: bytes) -> _Records | None:
    """The fast way, for logs in which every record writes the same values; else None."""
    fixed = header.fixed_bytes
    if len(data) <= fixed:
        return None
    values = data[fixed]
    size = fixed + 1 + 5 * values
    count, rest = divmod(len(data), size)
    if rest or count < 2 or count > MAX_TRACK_POINTS or values > len(header.channels):
        return None
    table = np.frombuffer(data, dtype=np.uint8).reshape(count, size)
    indexes = table[:, fixed + 1 :: 5]
    if (table[:, fixed] != values).any() or (indexes != indexes[0]).any():
        return None
    if values and (indexes[0] >= len(header.channels)).any():
        return None
    if len(set(indexes[0].tolist())) < values:
        return None
    numbers = [
        np.ascontiguousarray(table[:, fixed + 2 + 5 * i : fixed + 6 + 5 * i]).view("<i4").ravel()
        for i in range(values)
    ]
    every = np.arange(count, dtype=np.int64)
    found = sorted(zip(indexes[0].tolist(), numbers, strict=True), key=lambda pair: pair[0])
    channels = tuple(_written(header, index, every, raw.astype(np.int64)) for index, raw in found)
    columns = _columns(header, np.ascontiguousarray(table[:, :fixed]))
    return _Records(columns, channels, len(data), every * size)


def _written(header: Header, index: int, records: Integers, raw: Integers) -> Channel:
    ddi, element = header.channels[index]
    return Channel(ddi, element, records, raw)


def _columns(header: Header, table: np.ndarray[Any, np.dtype[np.uint8]]) -> dict[str, Integers]:
    """The fixed fields of records that lie under one another."""
    kinds = {"I": "<u4", "H": "<u2", "i": "<i4", "B": "u1"}
    layout = np.dtype([(n, kinds[c]) for n, c in zip(header.fields, header.codes, strict=True)])
    rows = table.view(layout).ravel()
    return {name: rows[name].astype(np.int64) for name in header.fields}


def _irregular(header: Header, data: bytes) -> _Records:
    """The careful way: record by record, since each may write other values."""
    fixed, most = header.fixed_bytes, len(header.channels)
    starts: list[int] = []
    written: list[tuple[list[int], list[int]]] = [([], []) for _ in range(most)]
    at, size = 0, len(data)
    while at + fixed < size:
        end = at + fixed + 1 + 5 * data[at + fixed]
        if end > size:
            break
        if len(starts) >= MAX_TRACK_POINTS:
            raise FormatError(
                f"The log has more than {MAX_TRACK_POINTS:,} records.", "Load it in parts."
            )
        record = len(starts)
        for index, raw in struct.iter_unpack("<Bi", data[at + fixed + 1 : end]):
            if index >= most:
                raise _corrupt(f"a value of channel {index}, of which there are {most}", at)
            places, values = written[index]
            places.append(record)
            values.append(raw)
        starts.append(at)
        at = end
    channels = tuple(
        _written(header, index, np.array(places, np.int64), np.array(values, np.int64))
        for index, (places, values) in enumerate(written)
        if places
    )
    rows = bytearray().join(data[start : start + fixed] for start in starts)
    table = np.array(rows, dtype=np.uint8).reshape(len(starts), fixed)
    return _Records(_columns(header, table), channels, at, np.array(starts, np.int64))


def _refuse_corrupt(
    name: str, header: Header, columns: dict[str, Integers], starts: Integers, last_day: int
) -> None:
    day, ms = columns["day"], columns["ms"]
    wrong = (day < FIRST_DAY) | (day > last_day) | (ms >= MS_PER_DAY)
    if wrong.any():
        first = int(wrong.argmax())
        on = EPOCH + timedelta(days=int(day[first]))
        raise _corrupt(f"the moment {on} + {ms[first]:,} ms in {name}", int(starts[first]))


def _corrupt(what: str, at: int) -> FormatError:
    return FormatError(f"The log is damaged at byte {at:,}: it says {what}.", _COPY_AGAIN)


def _positions(
    header: Header, columns: dict[str, Integers], name: str, starts: Integers
) -> tuple[Floats, Floats, Floats, int]:
    count = len(columns["ms"])

    def column(field_name: str) -> Floats | None:
        if field_name in columns:
            return columns[field_name].astype(float)
        constant = header.constants.get(field_name)
        return None if constant is None else np.full(count, float(constant))

    north, east, up, state = (column(n) for n in ("A0", "B0", "C0", "D0"))
    nothing = np.full(count, np.nan)
    if north is None or east is None:
        return nothing, nothing.copy(), nothing.copy(), count
    lat, lon = north * 1e-7, east * 1e-7
    none = (lat == 0) & (lon == 0)
    if state is not None:
        none |= np.isin(state, NO_POSITION)
    wrong = ~none & ((np.abs(lat) > 90) | (np.abs(lon) > 180))
    if wrong.any():
        first = int(wrong.argmax())
        raise _corrupt(f"the latitude {lat[first]:.6f} in {name}", int(starts[first]))
    up_m = nothing if up is None else up / 1000
    lat[none] = lon[none] = np.nan
    return lon, lat, np.where(none, np.nan, up_m), int(none.sum())


def _offset(columns: dict[str, Integers], local_ms: Integers) -> int | None:
    """Minutes by which the terminal's clock is ahead of UTC, to the quarter hour."""
    if "H0" not in columns or "I0" not in columns or not len(local_ms):
        return None
    told = (columns["I0"] >= FIRST_DAY) & (columns["I0"] <= LAST_DAY)
    if not told.any():
        return None
    ahead_ms = (local_ms - (columns["I0"] * MS_PER_DAY + columns["H0"]))[told]
    quarter = 15 * round(float(np.median(ahead_ms)) / 60_000 / 15)
    return quarter if abs(quarter) <= 14 * 60 else None


def utc_ms(log: TimeLog, zone: ZoneInfo) -> Integers:
    """Milliseconds of Unix time of each record.

    The log's own distance from UTC is used where it tells one, else that of `zone` at each local
    hour; an hour that comes twice is taken as the first, one that was skipped as standard time.
    """
    unix = log.local_ms + (datetime(1980, 1, 1, tzinfo=UTC) - datetime(1970, 1, 1, tzinfo=UTC)) // (
        timedelta(milliseconds=1)
    )
    if log.offset_min is not None:
        return unix - log.offset_min * 60_000
    quarters, inverse = np.unique(unix // 900_000, return_inverse=True)
    offsets = [_zone_offset_ms(int(quarter) * 900, zone) for quarter in quarters]
    return unix - np.array(offsets, dtype=np.int64)[inverse] if offsets else unix


def _zone_offset_ms(local_seconds: int, zone: ZoneInfo) -> int:
    local = datetime.fromtimestamp(local_seconds, UTC).replace(tzinfo=zone)
    return round((local.utcoffset() or timedelta()).total_seconds() * 1000)
