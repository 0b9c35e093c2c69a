"""Readers of machine records and weight logs as the bounded process calls them.

Both hand back series: seconds from a moment, places, weights or levels, work state where logged.
"""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import numpy as np

from farmrecords.formats.common import FormatError, ReadResult
from farmrecords.formats.iso_timelog import TimeLog, utc_ms
from farmrecords.formats.iso_values import QUANTITIES
from farmrecords.formats.moments import zone_of
from farmrecords.formats.nmea import read_nmea
from farmrecords.formats.taskdata import Machine, Task, TaskData, read_taskdata
from farmrecords.formats.weight_csv import read_weight_log

Answers = dict[str, str]
Context = dict[str, Any]

# What a load can be read from, the surest first: net weight, bin mass, gross weight, tank level.
WEIGHTS = (229, 75, 232, 72)
FULL = {229: 76, 75: 76, 232: 76, 72: 73}
WORK_STATE = 141
MOST_MACHINES = 20


def weight_log(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """The log of a scale as CSV."""
    found = read_weight_log(
        data, zone=context["zone"], answers=answers, today=_day(context.get("today"))
    )
    items = [
        {
            "row_number": 1,
            "machine": "",
            "unit": one.unit,
            "base": one.base.isoformat(),
            "at_s": one.at_s,
            "lon": _plain(one.lon, 7),
            "lat": _plain(one.lat, 7),
            "cells": {name: _plain(values, 3) for name, values in one.cells.items()},
            "on": None,
            "full": None,
            "tasks": [],
        }
        for one in found.items
    ]
    return ReadResult(items, found.rejected, found.warnings, found.needs)


def machine_record(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """The logs of an ISO 11783-10 folder, one series for each machine with a weight or level."""
    box = tuple(context["box"]) if context.get("box") else None
    found = read_taskdata(
        data,
        zone=context["zone"],
        box=box,  # type: ignore[arg-type]
        answers=answers,
        today=_day(context.get("today")),
    )
    items = [row for told in found.items for row in _series(told, context["zone"])]
    if not items and found.ready:
        raise FormatError(
            "The record logs no weight and no tank level, so no load can be told from it.",
            "Let the machine log bin mass, net weight or tank volume, or enter the loads by hand.",
        )
    return ReadResult(items, found.rejected, found.warnings, found.needs)


def nmea(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """The segments of a receiver's log."""
    found = read_nmea(data, answers=answers, today=_day(context.get("today")))
    items = [
        {
            "row_number": row.row_number,
            "name": row.name,
            "points": [
                [point.at.isoformat() if point.at else None, point.lon, point.lat]
                for point in row.points
            ],
        }
        for row in found.items
    ]
    return ReadResult(items, found.rejected, found.warnings, found.needs)


def _series(told: TaskData, zone: str) -> list[dict[str, Any]]:
    """Every log joined by machine; the channel is the surest one that machine logged."""
    owners = {part.part_id: machine for machine in told.machines for part in machine.parts}
    logs: dict[str, list[tuple[Task, TimeLog]]] = {}
    for task in told.tasks:
        for log in task.logs:
            for machine_id in {_owner(c.element, owners) for c in log.channels if c.ddi in WEIGHTS}:
                logs.setdefault(machine_id, []).append((task, log))
    found: list[dict[str, Any]] = []
    machines = {machine.machine_id: machine for machine in told.machines}
    for machine_id, own in list(logs.items())[:MOST_MACHINES]:
        row = _joined(own, machine_id, machines.get(machine_id), owners, told.names, zone)
        found.append(row | {"row_number": len(found) + 1})
    return found


def _owner(element: str, owners: dict[str, Machine]) -> str:
    return owners[element].machine_id if element in owners else ""


def _joined(
    logs: list[tuple[Task, TimeLog]],
    machine_id: str,
    machine: Machine | None,
    owners: dict[str, Machine],
    names: dict[str, str],
    zone: str,
) -> dict[str, Any]:
    written = {
        channel.ddi
        for _task, log in logs
        for channel in log.channels
        if channel.ddi in WEIGHTS and _owner(channel.element, owners) == machine_id
    }
    ddi = next(one for one in WEIGHTS if one in written)
    columns: list[list[np.ndarray[Any, Any]]] = []
    tasks: list[dict[str, Any]] = []
    for task, log in logs:
        ms = utc_ms(log, zone_of(zone))
        weight = _carried(log, ddi, machine_id, owners)
        if weight is None or not log.count:
            continue
        state = _carried(log, WORK_STATE, machine_id, owners)
        on = np.full(log.count, np.nan) if state is None else state
        columns.append([ms, weight, log.lon, log.lat, on])
        tasks.append(
            {
                "from_ms": int(ms.min()),
                "to_ms": int(ms.max()),
                "field": names.get(task.field_id, ""),
                "worker": names.get(task.worker_id, ""),
            }
        )
    ms, weight, lon, lat, on = (np.concatenate(parts) for parts in zip(*columns, strict=True))
    base = int(ms.min())
    return {
        "machine": machine.name if machine else "",
        "unit": "gal" if ddi == 72 else "lb",
        "base": dt.datetime.fromtimestamp(base / 1000, dt.UTC).isoformat(),
        "at_s": ((ms - base) / 1000).tolist(),
        "lon": _plain(lon.tolist(), 7),
        "lat": _plain(lat.tolist(), 7),
        "cells": {"": _plain(weight.tolist(), 2)},
        "on": None if np.isnan(on).all() else _plain(on.tolist(), 0),
        "full": _full(machine, FULL[ddi]),
        "tasks": [
            {
                "from_s": (task["from_ms"] - base) / 1000,
                "to_s": (task["to_ms"] - base) / 1000,
                "field": task["field"],
                "worker": task["worker"],
            }
            for task in tasks
        ],
    }


def _carried(
    log: TimeLog, ddi: int, machine_id: str, owners: dict[str, Machine]
) -> np.ndarray[Any, Any] | None:
    """The last value written, carried on to each record; the sum where several parts log it."""
    own = [c for c in log.channels if c.ddi == ddi and _owner(c.element, owners) == machine_id]
    if not own:
        return None
    carried = [channel.carried(log.count) for channel in own]
    if ddi == WORK_STATE:
        return np.asarray(np.nanmax(np.stack(carried), axis=0)) if len(carried) > 1 else carried[0]
    return np.asarray(np.sum(carried, axis=0))


def _full(machine: Machine | None, ddi: int) -> float | None:
    """What the machine says it holds, in the unit of its channel."""
    for part in machine.parts if machine else ():
        for known, raw in part.fixed:
            if known == ddi and raw > 0:
                return raw * QUANTITIES[ddi].factor
    return None


def _plain(values: Any, digits: int) -> list[float | None]:
    return [round(v, digits) if v is not None and math.isfinite(v) else None for v in values]


def _day(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None
