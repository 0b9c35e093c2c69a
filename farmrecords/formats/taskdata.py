"""Machine records in ISO 11783-10 (TASKDATA, versions 3 and 4): who did what where, with logs.

A task is not a load: it commonly holds a day's loads on one field. The logs carry positions,
work state, width, rate, weight; which storage the manure came from they never tell.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from xml.etree.ElementTree import Element
from zoneinfo import ZoneInfo

from farmrecords.formats.common import (
    MAX_TRACK_POINTS,
    Answers,
    FormatError,
    ReadResult,
    Rejected,
    shown,
)
from farmrecords.formats.features import settled
from farmrecords.formats.iso_fields import fields_of
from farmrecords.formats.iso_package import Package, open_package
from farmrecords.formats.iso_timelog import TimeLog, header_of, read_timelog
from farmrecords.formats.moments import EARLIEST_YEAR, LATEST_YEAR, zone_of
from farmrecords.formats.numerals import plain_float
from farmrecords.formats.shapes import Box, FeatureRow

STATUS = {
    "1": "planned", "2": "running", "3": "paused", "4": "completed", "5": "template",
    "6": "cancelled",
}  # fmt: skip
TIME_KINDS = {
    "1": "planned", "2": "preliminary", "4": "effective", "5": "ineffective", "6": "repair",
    "7": "clearing", "8": "powered down",
}  # fmt: skip
PART_KINDS = {
    "1": "device", "2": "function", "3": "bin", "4": "section", "5": "unit", "6": "connector",
    "7": "navigation",
}  # fmt: skip
ALLOCATIONS = {"1": "filling", "2": "emptying", "3": "remainder"}


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time in a task; moments are None when the file does not tell them."""

    kind: str
    started_at: datetime | None
    ended_at: datetime | None
    totals: tuple[tuple[int, str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Allocation:
    """Product taken on or given off; raw quantity by its identifier."""

    kind: str
    product: str
    ddi: int | None
    quantity: int | None
    started_at: datetime | None


@dataclass(frozen=True)
class Task:
    """One task with its spans, allocations and logs."""

    task_id: str
    name: str
    status: str
    field_id: str
    worker_id: str
    spans: tuple[Span, ...]
    allocations: tuple[Allocation, ...]
    logs: tuple[TimeLog, ...]


@dataclass(frozen=True, slots=True)
class MachinePart:
    """A part of a machine (DET) with its fixed values (DPT) by identifier."""

    part_id: str
    number: int
    kind: str
    name: str
    parent: int
    fixed: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Machine:
    """A machine as it describes itself."""

    machine_id: str
    name: str
    parts: tuple[MachinePart, ...]


@dataclass(frozen=True)
class TaskData:
    """Everything of a TASKDATA folder that a spreading record can use."""

    version: str
    from_machine: bool
    fields: tuple[FeatureRow, ...]
    names: dict[str, str] = field(default_factory=dict)
    machines: tuple[Machine, ...] = ()
    tasks: tuple[Task, ...] = ()


def read_taskdata(
    data: bytes,
    *,
    zone: str,
    box: Box | None = None,
    answers: Answers | None = None,
    today: date | None = None,
) -> ReadResult[TaskData]:
    """The task data of a ZIP file or a bare TASKDATA.XML, as the only item of the result.

    Times without an offset are local times of the terminal; where the log does not tell its
    distance from UTC, `zone` is assumed and said. Questions: those of `features.settled`.
    """
    package = open_package(data)
    reading = _Reading(package, zone_of(zone), today, list(package.notes))
    drawn = list(fields_of(package.root))
    shapes: ReadResult[FeatureRow] = (
        settled(drawn, box=box, answers=answers) if drawn else ReadResult()
    )
    tasks = tuple(_task(task, reading) for task in package.root.findall("TSK"))
    if not tasks and not drawn:
        raise FormatError("The task data hold no field and no task.", "Check the export.")
    found = TaskData(
        version=_text(package.root, "VersionMajor"),
        from_machine=package.root.get("DataTransferOrigin") == "2",
        fields=tuple(shapes.items),
        names=_names(package.root),
        machines=tuple(_machine(device) for device in package.root.findall("DVC")),
        tasks=tasks,
    )
    rejected = shapes.rejected + reading.rejected
    return ReadResult([found], rejected, reading.notes + shapes.warnings, shapes.needs)


@dataclass
class _Reading:
    """What the parts of the reading share."""

    package: Package
    zone: ZoneInfo
    today: date | None
    notes: list[str]
    rejected: list[Rejected] = field(default_factory=list)
    records: int = 0


def _text(element: Element, attribute: str) -> str:
    return (element.get(attribute) or "").strip()[:200]


def _names(root: Element) -> dict[str, str]:
    """Names by id of customers, farms, fields, workers and products."""
    names = {}
    for tag, attributes in (("CTR", "CB"), ("FRM", "B"), ("PFD", "C"), ("WKR", "CB"), ("PDT", "B")):
        for element in root.findall(tag):
            parts = (_text(element, attribute) for attribute in attributes)
            names[_text(element, "A")] = " ".join(part for part in parts if part)
    return names


def _whole(text: str | None) -> int | None:
    number = plain_float(text or "")
    return None if number is None or number != int(number) else int(number)


def _hex(text: str | None) -> int | None:
    plain = text is not None and len(text) <= 4 and text.isascii() and text.isalnum()
    try:
        return int(text, 16) if text and plain else None
    except ValueError:
        return None


def _machine(device: Element) -> Machine:
    fixed = {
        _whole(p.get("A")): (_hex(p.get("B")), _whole(p.get("C"))) for p in device.findall("DPT")
    }
    parts = []
    for part in device.findall("DET"):
        pairs = [fixed.get(_whole(d.get("A")), (None, None)) for d in part.findall("DOR")]
        parts.append(
            MachinePart(
                part_id=_text(part, "A"),
                number=_whole(part.get("E")) or 0,
                kind=PART_KINDS.get(part.get("C") or "", ""),
                name=_text(part, "D"),
                parent=_whole(part.get("F")) or 0,
                fixed=tuple((d, v) for d, v in pairs if d is not None and v is not None),
            )
        )
    return Machine(_text(device, "A"), _text(device, "B"), tuple(parts))


def _task(task: Element, reading: _Reading) -> Task:
    return Task(
        task_id=_text(task, "A"),
        name=_text(task, "B"),
        status=STATUS.get(task.get("G") or "", ""),
        field_id=_text(task, "E"),
        worker_id=_text(task, "F") or _worker(task),
        spans=tuple(_span(span, reading) for span in task.findall("TIM")),
        allocations=tuple(_allocation(one, reading) for one in task.findall("PAN")),
        logs=tuple(log for one in task.findall("TLG") if (log := _log(one, reading))),
    )


def _worker(task: Element) -> str:
    """The worker of a WAN element, where the task itself names none."""
    allocated = task.find("WAN")
    return "" if allocated is None else _text(allocated, "A")


def _span(span: Element, reading: _Reading) -> Span:
    start, stop = _moment(span, "A", reading), _moment(span, "B", reading)
    seconds = _whole(span.get("C"))
    if stop is None and start is not None and seconds is not None and 0 <= seconds < 10**8:
        stop = start + timedelta(seconds=seconds)
    totals = [
        (_hex(value.get("A")), _text(value, "C"), _whole(value.get("B")))
        for value in span.findall("DLV")
    ]
    known = tuple((d, part, v) for d, part, v in totals if d is not None and v is not None)
    return Span(TIME_KINDS.get(span.get("D") or "", ""), start, stop, known)


def _allocation(one: Element, reading: _Reading) -> Allocation:
    stamp = one.find("ASP")
    return Allocation(
        kind=ALLOCATIONS.get(one.get("D") or "", ""),
        product=_text(one, "A"),
        ddi=_hex(one.get("B")),
        quantity=_whole(one.get("C")),
        started_at=None if stamp is None else _moment(stamp, "A", reading),
    )


def _moment(element: Element, attribute: str, reading: _Reading) -> datetime | None:
    """A moment; without an offset it is local time of the farm's zone."""
    text = _text(element, attribute)
    if not text:
        return None
    try:
        moment = datetime.fromisoformat(text) if text.isascii() and len(text) >= 16 else None
        if moment is not None and EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
            return moment.replace(tzinfo=moment.tzinfo or reading.zone).astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    reading.rejected.append(
        Rejected(None, f"{element.tag} {attribute}", shown(text), "This is no moment from 1990 "
                 "to 2100.", "Check the terminal's clock and export again.")
    )  # fmt: skip
    return None


def _log(one: Element, reading: _Reading) -> TimeLog | None:
    name = _text(one, "A")
    header = reading.package.member(f"{name}.xml")
    content = reading.package.member(f"{name}.bin")
    if header is None or content is None:
        reading.notes.append(f"The log {shown(name)} is named but not in the archive.")
        return None
    try:
        log = read_timelog(shown(name), header_of(header), content, reading.today)
    except FormatError as error:
        reading.rejected.append(Rejected(None, "TLG", shown(name), error.reason, error.remedy))
        return None
    reading.records += log.count
    if reading.records > MAX_TRACK_POINTS:
        raise FormatError(
            f"The logs have more than {MAX_TRACK_POINTS:,} records.", "Load them task by task."
        )
    reading.notes.extend(log.warnings)
    if log.offset_min is None and log.count:
        reading.notes.append(f"{shown(name)}: zone assumed, {reading.zone.key}.")
    return log
