"""TASKDATA folders built for the tests, to the layout of ISO 11783-10."""

import struct
from datetime import date

from tests.formats.samples import QUAD, packed

DAY = (date(2025, 4, 3) - date(1980, 1, 1)).days
POINTS = "".join(f'<PNT A="2" C="{y}" D="{x}"/>' for x, y in QUAD[:4])
HOLE = "".join(
    f'<PNT A="2" C="{y}" D="{x}"/>'
    for x, y in ((-89.499, 43.001), (-89.499, 43.002), (-89.498, 43.002), (-89.498, 43.001))
)
# An open ring, as version 3 allows.
BOUNDARY = f'<PLN A="1"><LSG A="1">{POINTS}</LSG><LSG A="2">{HOLE}</LSG></PLN>'
FIELD = (
    f'<PFD A="PFD1" C="North forty" D="163050">{BOUNDARY}'
    '<LSG A="6" B="Tile"><PNT A="2" C="43.0" D="-89.499"/><PNT A="2" C="43.003" D="-89.499"/></LSG>'
    '<LSG A="5"><PNT A="2" C="43.0" D="-89.499"/><PNT A="2" C="43.003" D="-89.499"/></LSG>'
    '<PNT A="4" B="Stack" C="43.001" D="-89.4995"/></PFD>'
)
MACHINE = (
    '<DVC A="DVC1" B="Tanker" D="A000000000000000" F="30303030303030" G="00000000000000">'
    '<DET A="DET1" B="1" C="1" E="0" F="0"/>'
    '<DET A="DET2" B="2" C="3" D="Tank" E="1" F="1"><DOR A="3"/></DET>'
    '<DPT A="3" B="0049" C="17034353"/></DVC>'
)
TASK = (
    '<TSK A="TSK1" B="Day" E="PFD1" F="WKR1" G="4">'
    '<TIM A="2025-04-03T07:00:00" B="2025-04-03T07:10:00" D="4">'
    '<DLV A="0050" B="9000" C="DET2"/></TIM>'
    '<PAN A="PDT1" B="0048" C="17000000" D="1"><ASP A="2025-04-03T06:55:00-05:00" D="1"/></PAN>'
    '<TLG A="TLG00001" C="1"/></TSK>'
)
HEADER = (
    '<TIM A="" D="4"><PTN A="" B="" D=""/>'
    '<DLV A="0002" B="" C="DET2"/><DLV A="0043" B="" C="DET2"/><DLV A="008D" B="" C="DET2"/></TIM>'
)


def taskdata(inner=FIELD + MACHINE + TASK, version="4", more=""):
    """The main file."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><ISO11783_TaskData VersionMajor="{version}" '
        f'VersionMinor="3" DataTransferOrigin="2" ManagementSoftwareManufacturer="none" '
        f'ManagementSoftwareVersion="1"><WKR A="WKR1" B="Alvarez" C="Luis"/>'
        f'<PDT A="PDT1" B="Dairy manure"/>{inner}{more}</ISO11783_TaskData>'
    ).encode()


def record(ms, north, east, *values, day=DAY, status=4):
    """One binary record for `HEADER`; values are pairs of channel and raw number."""
    fixed = struct.pack("<IHiiB", ms, day, round(north * 1e7), round(east * 1e7), status)
    return fixed + bytes([len(values)]) + b"".join(struct.pack("<Bi", *pair) for pair in values)


def log(count=60):
    """A minute of spreading along the field, each value written when it changes."""
    records = []
    for i in range(count):
        values = [(0, 935_000 + i)] if i % 3 == 0 else []
        values += [(1, 9144), (2, 1)] if i == 0 else []
        ms = (7 * 3600 + i) * 1000
        records.append(record(ms, 43.0005 + i * 2e-5, -89.4975, *values))
    return b"".join(records)


def folder(prefix="TASKDATA/", main=None, header=HEADER, binary=None):
    """The whole folder as a ZIP file."""
    return packed(
        {
            f"{prefix}TASKDATA.XML": main or taskdata(),
            f"{prefix}TLG00001.XML": header,
            f"{prefix}TLG00001.BIN": log() if binary is None else binary,
        }
    )


def weighed(count=120):
    """A folder whose log tells the bin mass: the tank is emptied while it is driven."""
    header = HEADER.replace('"0002"', '"004B"')
    records = [
        record(
            (7 * 3600 + i) * 1000, 43.0005 + i * 2e-5, -89.4975,
            (0, max(500, 15_000 - 140 * i) * 1000), (2, 1),
        )
        for i in range(count)
    ]  # fmt: skip
    return folder(header=header, binary=b"".join(records))
