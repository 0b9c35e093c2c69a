"""Tracks as they come in: each stretch is laid on the load that ran at its time."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from typing import Any
from uuid import UUID

import shapely
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.farm.acres import boundary_of
from farmrecords.formats.common import Rejected, shown
from farmrecords.history import write
from farmrecords.intake.kinds import Summary, Written, register_kind
from farmrecords.intake.models import IncomingFile
from farmrecords.loads import facts, tracks
from farmrecords.loads.importing import refuse_undo
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.surroundings import Surroundings
from farmrecords.people.access import Seat

MARGIN = dt.timedelta(minutes=5)  # a recorder is started a little early and stopped a little late
UNENDED = dt.timedelta(hours=2)  # how long a load without an end is taken to last here, at most

Point = tuple[dt.datetime | None, float, float, bool]


def summarise(seat: Seat, items: list[dict[str, Any]], _answers: dict[str, str]) -> Summary:
    """Which load each stretch of the track belongs to."""
    summary = Summary(figures=[(_("stretches read"), len(items))])
    loads = _loads(seat, items)
    laid: dict[tuple[UUID, int], list[list[Point]]] = defaultdict(list)
    found: dict[UUID, Load] = {}
    around = Surroundings(seat.operation)
    for item in items:
        points = _points(item)
        load = _load_of(points, loads, item, summary)
        if load is None:
            continue
        if around.closed_on(load.local_day) and load.status == "counted":
            summary.rejected.append(_filed(item, load))
            continue
        part = _part_of(load, points)
        laid[load.pk, part.number].append(points)
        found[load.pk] = load
    here = _drop_those_here(laid, found)
    for load_id, number in laid:
        load = found[load_id]
        part = next(p for p in load.parts.all() if p.number == number)
        words = _("load of %(start)s on %(field)s") % {
            "start": f"{load.started_local:%Y-%m-%d %H:%M}",
            "field": part.field,
        }
        summary.lines.append((number, words))
    summary.new = len(laid)
    summary.payload = (dict(laid), found)
    summary.figures += [(_("loads that get a track"), len(laid)), (_("tracks already here"), here)]
    return summary


def _points(item: dict[str, Any]) -> list[Point]:
    return [
        (dt.datetime.fromisoformat(at) if at else None, lon, lat, True)
        for at, lon, lat in item["points"]
    ]


def _loads(seat: Seat, items: list[dict[str, Any]]) -> list[Load]:
    """Loads that count or wait and ran while the track was recorded."""
    moments = [dt.datetime.fromisoformat(p[0]) for item in items for p in item["points"] if p[0]]
    if not moments:
        return []
    rows = Load.objects.filter(
        operation=seat.operation,
        voided=False,
        started_at__lte=max(moments) + MARGIN,
        started_at__gte=min(moments) - dt.timedelta(days=2),
    )
    return list(rows.prefetch_related("parts__field").order_by("started_at", "id"))


def _load_of(
    points: list[Point], loads: list[Load], item: dict[str, Any], summary: Summary
) -> Load | None:
    """The load a stretch runs beside the longest; a refusal when there is none or two alike."""
    moments = [point[0] for point in points if point[0] is not None]
    if not moments:
        summary.rejected.append(
            _refused(item, _("The stretch has no times, so no load can be told."),
                     _("Record the track with times, or draw it on the load itself."))
        )  # fmt: skip
        return None
    first, last = min(moments), max(moments)
    shared = [(_shared(load, first, last), load) for load in loads]
    best = sorted((row for row in shared if row[0] > dt.timedelta()), key=lambda row: -row[0])
    told = {"first": f"{first:%Y-%m-%d %H:%M}", "last": f"{last:%H:%M}"}
    if not best:
        words = _("No load ran between %(first)s and %(last)s UTC.") % told
        summary.rejected.append(_refused(item, words, _("Enter the load first, then its track.")))
        return None
    if len(best) > 1 and best[1][0] == best[0][0]:
        words = _("Two loads ran between %(first)s and %(last)s UTC.") % told
        remedy = _("Correct their times so that one load fits, or split the track.")
        summary.rejected.append(_refused(item, words, remedy))
        return None
    return best[0][1]


def _shared(load: Load, first: dt.datetime, last: dt.datetime) -> dt.timedelta:
    """How long a load and a stretch ran side by side."""
    end = load.ended_at or load.started_at + UNENDED
    return min(end + MARGIN, last) - max(load.started_at - MARGIN, first)


def _refused(item: dict[str, Any], reason: str, remedy: str) -> Rejected:
    return Rejected(item["row_number"], "time", shown(item["name"]), reason, remedy)


def _filed(item: dict[str, Any], load: Load) -> Rejected:
    words = _("The load of %(day)s is in a filed period.") % {"day": load.local_day}
    return _refused(item, words, _("The owner can reopen the period with a reason."))


def _part_of(load: Load, points: list[Point]) -> LoadPart:
    """The part whose field holds most of the stretch."""
    parts = list(load.parts.all())
    if len(parts) == 1:
        return parts[0]
    lonlat = shapely.points([(point[1], point[2]) for point in points])

    def held(part: LoadPart) -> int:
        boundary = boundary_of(part.field.version_on(load.local_day))
        return 0 if boundary is None else int(shapely.intersects(boundary, lonlat).sum())

    return max(parts, key=held)


def _drop_those_here(
    laid: dict[tuple[UUID, int], list[list[Point]]], loads: dict[UUID, Load]
) -> int:
    """Leave out what the load has already; returns how many."""
    same = []
    for key, segments in laid.items():
        part = next(p for p in loads[key[0]].parts.all() if p.number == key[1])
        if part.track_sha256 and part.track_sha256 == tracks.sha256_of(segments, "receiver"):
            same.append(key)
    for key in same:
        del laid[key]
    return len(same)


def take_over(
    _seat: Seat, change: write.Change, incoming: IncomingFile, summary: Summary
) -> Written:
    """Amend the loads: each part gets its track."""
    laid, loads = summary.payload
    done = Written()
    by_load: dict[UUID, dict[int, str]] = defaultdict(dict)
    for (load_id, number), segments in laid.items():
        by_load[load_id][number] = tracks.keep_track(
            segments, source="receiver", name=incoming.name
        )
    for load_id, wanted in by_load.items():
        load = loads[load_id]
        before = {str(part.number): part.track_sha256 for part in load.parts.all()}
        change.amend(
            load,
            base_rev=load.rev,
            parts=with_tracks(load, wanted),
            reason_code="imported",
            reason_text=_("Track from %(file)s") % {"file": incoming.name},
        )
        done.amended.append((load, before))
    facts.renew([load for load, _before in done.amended])
    return done


def with_tracks(load: Load, wanted: dict[int, str]) -> dict[str, list[Any]]:
    """The parts of a load with other tracks, as an amendment takes them."""
    parts = [
        LoadPart(
            number=part.number,
            field_id=part.field_id,
            amount_milli=part.amount_milli,
            area_ac=part.area_ac,
            track_sha256=wanted.get(part.number, part.track_sha256),
        )
        for part in LoadPart.objects.filter(load=load)
    ]
    return {"parts": parts}


def set_back(load: Load, before: dict[str, Any]) -> dict[str, Any]:
    """What an amendment takes to give a load the tracks it had before the import."""
    return {"parts": with_tracks(load, {int(number): sha for number, sha in before.items()})}


for name, reader, title, endings, words in (
    (
        "track",
        "track",
        gettext_lazy("track of loads"),
        (".gpx", ".xml"),
        gettext_lazy("A GPX file with times; each stretch is laid on the load that ran then."),
    ),
    (
        "receiver_log",
        "nmea",
        gettext_lazy("receiver log (NMEA 0183)"),
        (".nmea", ".log", ".txt"),
        gettext_lazy(
            "What a receiver wrote, sentence by sentence; each stretch is laid on the load that "
            "ran then."
        ),
    ),
):
    register_kind(
        name,
        title,
        reader,
        summarise,
        take_over,
        endings=endings,
        help=words,
        refuse_undo=refuse_undo,
        after=facts.renew,
        set_back=set_back,
    )
