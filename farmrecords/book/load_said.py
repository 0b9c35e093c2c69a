"""What a load says, as the form shows it; and what an amendment keeps without asking."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

from farmrecords.loads.amounts import plain
from farmrecords.loads.entry import PartDraft
from farmrecords.loads.models import Load
from farmrecords.loads.moments import comes_twice

GROWING = {True: "yes", False: "no", None: ""}
BASE_UNITS = ("gal", "lb")
THOUSANDTHS = {"gal": 1000, "kgal": 1_000_000, "lb": 1000, "ton": 2_000_000}
SAME = (
    "amount_text",
    "amount_unit",
    "measured_by",
    "measure_start",
    "measure_stop",
    "loads_counted",
    "spreader",
    "person",
    "driver_name",
    "method",
    "ground",
    "snow_in",
    "frozen_depth_in",
    "residue_pct",
    "origin",
    "origin_name",
    "crop_year",
    "from_paper",
    "note",
)


def initial_of(load: Load) -> dict[str, Any]:
    """The form's first values for an amendment: what the load says now."""
    found: dict[str, Any] = {name: getattr(load, name) for name in SAME}
    found |= _moments(load)
    found["growing_crop"] = GROWING[load.growing_crop]
    parts, draws = list(load.parts.all()), list(load.draws.all())
    for n, part in enumerate(parts, 1):
        found |= {f"field_{n}": part.field_id, f"field_ac_{n}": part.area_ac}
        if len(parts) > 1:
            found[f"field_amount_{n}"] = _share(load, part.amount_milli)
    for n, draw in enumerate(draws, 1):
        found[f"storage_{n}"] = draw.storage_id
        if len(draws) > 1:
            found[f"storage_amount_{n}"] = _share(load, draw.amount_milli)
    return found


def _share(load: Load, milli: int) -> str:
    """A share exactly: in the load's unit where that ends, else in gallons or pounds."""
    per = THOUSANDTHS.get(load.amount_unit)
    return f"{plain(milli)} {load.amount_kind}" if per is None else plain(milli, per)


def _moments(load: Load) -> dict[str, Any]:
    """Times on the farm's clock, with the hour told where it came twice."""
    zone = load.operation.zone
    found: dict[str, Any] = {}
    for name, moment in (
        ("started", load.started_at),
        ("ended", load.ended_at),
        ("incorporated", load.incorporated_at),
    ):
        found |= {name: None, f"{name}_choice": ""}
        if moment is not None:
            local = moment.astimezone(zone)
            found[name] = local.replace(tzinfo=None, fold=0)
            found[f"{name}_choice"] = _which(local, zone)
    return found


def _which(local: dt.datetime, zone: ZoneInfo) -> str:
    if not comes_twice(local.replace(tzinfo=None, fold=0), zone):
        return ""
    return "second" if local.fold else "first"


def untouched(load: Load | None, parts: list[PartDraft]) -> dict[str, Any]:
    """What the form does not ask about a load being amended; tracks stay with their fields."""
    if load is None:
        return {}
    tracks: dict[Any, list[str]] = {}
    for part in load.parts.all():
        tracks.setdefault(part.field_id, []).append(part.track_sha256)
    for draft in parts:
        kept = tracks.get(draft.field.pk)
        draft.track_sha256 = kept.pop(0) if kept else ""
    per = THOUSANDTHS.get(load.amount_unit, 1000)
    return {
        "ticket_number": load.ticket_number,
        "carried_in_text": plain(load.carried_in_milli, per) if load.carried_in_milli else "",
        "carried_out_text": plain(load.carried_out_milli, per) if load.carried_out_milli else "",
    }
