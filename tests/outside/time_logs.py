"""Random binary time logs of ISO 11783-10, every combination of what a header may hold.

Layout: reference on data formats, sections 1.3 and 1.4.
"""

import random
import struct
from datetime import date

from tests.formats.samples import packed

MACHINE = (
    '<DVC A="DVC1" B="Tanker" D="A000000000000000" F="30303030303030" G="00000000000000">'
    '<DET A="DET1" B="1" C="1" E="0" F="0"/></DVC>'
)
FIRST_DAY = (date(1990, 1, 1) - date(1980, 1, 1)).days
LAST_DAY = (date(2026, 1, 1) - date(1980, 1, 1)).days
# attribute, struct code, lowest and highest raw value, a constant in plain units
FIELDS = [
    ("A", "i", -900_000_000, 900_000_000, "43.0731234"),
    ("B", "i", -1_800_000_000, 1_800_000_000, "-89.4012345"),
    ("C", "i", -500_000, 9_000_000, "265123"),
    ("D", "B", 1, 5, "4"),
    ("E", "H", 0, 65_535, "1.8"),
    ("F", "H", 0, 65_535, "0.9"),
    ("G", "B", 0, 254, "14"),
    ("H", "I", 0, 86_399_999, None),
    ("I", "H", FIRST_DAY, LAST_DAY, None),
]


def random_folder(seed: int) -> bytes:
    """A zipped folder with one log; the same seed gives the same bytes."""
    chance = random.Random(f"time log {seed}")
    written, attributes = [], ""
    for name, code, lowest, highest, constant in FIELDS:
        required = name in "ABD"
        kind = chance.choice(["written", "written", "constant", "absent"])
        if kind == "constant" and constant is not None:
            attributes += f' {name}="{constant}"'
        elif kind == "written" or required:
            attributes += f' {name}=""'
            written.append((code, lowest, highest))
    count = chance.choice([0, 1, 3, 12, 60, 255])
    ddis = chance.sample(range(1, 0xDF00), count)
    values = "".join(f'<DLV A="{ddi:04X}" B="" C="DET1"/>' for ddi in ddis)
    header = f'<TIM A="" D="4"><PTN{attributes}/>{values}</TIM>'
    body = b"".join(_record(chance, written, count) for _ in range(chance.randint(1, 80)))
    if chance.random() < 0.3:  # the power was lost in the last record
        body = body[: -chance.randint(1, 5)]
    return packed(
        {
            "TASKDATA/TASKDATA.XML": _main(),
            "TASKDATA/TLG00001.XML": header,
            "TASKDATA/TLG00001.BIN": body,
        }
    )


def _record(chance: random.Random, written: list[tuple[str, int, int]], count: int) -> bytes:
    moment = struct.pack("<IH", chance.randrange(86_400_000), chance.randint(FIRST_DAY, LAST_DAY))
    fixed = b"".join(
        struct.pack("<" + code, chance.randint(lowest, highest))
        for code, lowest, highest in written
    )
    told = chance.sample(range(count), chance.randint(0, count))
    pairs = b"".join(struct.pack("<Bi", i, chance.randint(-(2**31), 2**31 - 1)) for i in told)
    return moment + fixed + bytes([len(told)]) + pairs


def _main() -> str:
    return (
        '<?xml version="1.0" encoding="UTF-8"?><ISO11783_TaskData VersionMajor="4" '
        'VersionMinor="3" DataTransferOrigin="2" TaskControllerManufacturer="none" '
        'TaskControllerVersion="1" ManagementSoftwareManufacturer="none" '
        f'ManagementSoftwareVersion="1">{MACHINE}'
        '<TSK A="TSK1" G="4"><TLG A="TLG00001" C="1"/></TSK></ISO11783_TaskData>'
    )
