"""From a proposed load to a draft: amounts, shares with their tracks, readings of the scale."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import numpy as np

from farmrecords.calculations.reconstruction import sure_of
from farmrecords.farm.models import Field, Spreader, Storage
from farmrecords.loads import tracks
from farmrecords.loads.draft import DrawDraft, LoadDraft, PartDraft
from farmrecords.loads.reconstruction import ProposedLoad, positions

Point = tuple[dt.datetime | None, float, float, bool]


@dataclass
class Machine:
    """What a person said once for a series: which spreader, from which storage, how."""

    name: str
    spreader: Spreader | None
    storage: Storage | None
    method: str
    capacity: float | None


def source_key(machine: Machine, one: ProposedLoad) -> str:
    """What the load is known by when the same log comes again."""
    told = f"log|{machine.spreader.pk if machine.spreader else ''}|{one.key}"
    return hashlib.sha256(told.encode()).hexdigest()


def draft_of(one: ProposedLoad, machine: Machine, *, keep: bool, file_name: str = "") -> LoadDraft:
    """The draft of a proposed load whose fields are all known; `keep` keeps its tracks."""
    shares = [(field, amount) for field, amount in one.shares if field is not None]
    parts = [
        PartDraft(
            field,
            amount_text=_text(amount),
            amount_unit=one.unit,
            track_sha256=_track(one, field, len(shares) == 1, file_name) if keep else "",
        )
        for field, amount in shares
    ]
    start, stop = _readings(one)
    return LoadDraft(
        started=one.started,
        ended=one.ended,
        parts=parts,
        draws=[DrawDraft(machine.storage)] if machine.storage else [],
        method=machine.method,
        amount_text=_text(one.amount),
        amount_unit=one.unit,
        measured_by="scale",
        measure_start=start,
        measure_stop=stop,
        spreader=machine.spreader,
        driver_name=one.worker[:80],
        source_key=source_key(machine, one),
    )


def _text(amount: Decimal) -> str:
    return f"{amount:f}"


def _readings(one: ProposedLoad) -> tuple[str, str]:
    """The readings before and after, so that their difference is the amount; none below zero."""
    stop = Decimal(str(one.proposal.after)).quantize(one.amount)
    if stop < 0:
        return "", ""
    return _text(stop + one.amount), _text(stop)


def _track(one: ProposedLoad, field: Field, alone: bool, file_name: str) -> str:
    segments = segments_of(one, None if alone else str(field.pk))
    if not segments:
        return ""
    return tracks.keep_track(segments, source="receiver", name=file_name or "track.json")


def segments_of(one: ProposedLoad, place: str | None) -> list[list[Point]]:
    """The stretches in which the weight fell, with positions; those in one field when named."""
    lonlat = positions(one)
    start = max(round(one.proposal.start_s - one.part.start_s), 0)
    found: list[list[Point]] = []
    for run_start, run_end in one.proposal.runs:
        first = round(run_start - one.part.start_s) - start
        last = round(run_end - one.part.start_s) - start
        segment: list[Point] = []
        for i in range(max(first, 0), min(last + 1, len(lonlat))):
            here = place is None or one.places[i] == place
            if here and np.isfinite(lonlat[i]).all():
                at = one.started + dt.timedelta(seconds=i)
                segment.append((at, float(lonlat[i][0]), float(lonlat[i][1]), True))
            elif segment:
                found.append(segment)
                segment = []
        found.append(segment)
    return [segment for segment in found if len(segment) >= 2]


def told(one: ProposedLoad, status: str, load: Any, words: str) -> dict[str, Any]:
    """A proposed load as plain values for its page."""
    return {
        "key": one.key,
        "started": one.started.isoformat(),
        "ended": one.ended.isoformat(),
        "amount": _text(one.amount),
        "unit": one.unit,
        "before": round(one.proposal.before),
        "after": round(one.proposal.after),
        "standing_read": one.proposal.before_standing and one.proposal.after_standing,
        "uncertainty": round(one.proposal.uncertainty, 2),
        "confidence": sure_of(one.doubts),
        "doubts": one.doubts,
        "shares": [
            {"field": str(field.pk) if field else "", "name": str(field or ""), "amount": _text(a)}
            for field, a in one.shares
        ],
        "decision": one.decision,
        "status": status,
        "load": str(load.pk) if load else "",
        "words": words,
        "worker": one.worker,
        "joins": one.joins_next,
        "divided_at": one.divided_at,
        "trouble": one.trouble,
        "line": one.line,
    }
