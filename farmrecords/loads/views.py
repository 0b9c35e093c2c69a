"""The page on which a person decides what becomes of each proposed load of a log."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

import shapely
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods
from shapely.geometry import shape

from farmrecords.farm.models import Field
from farmrecords.formats.common import FormatError
from farmrecords.formats.moments import parse_time
from farmrecords.history.errors import FileChanged, NothingChanged, StaleRevision
from farmrecords.intake import service
from farmrecords.intake.kinds import kind_named
from farmrecords.intake.models import IncomingFile
from farmrecords.loads.log_words import DOUBTS, STATUS, SURE, sureness
from farmrecords.people.access import Seat, record, records, seated

CHOICES = {"confirm", "drop", "amend"}
SHOWN = 400
BESIDE_DEG = 0.002  # about 200 m: a field next to the way helps to find the place


@require_http_methods(["GET", "HEAD", "POST"])
@seated("import")
def proposed_loads(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """The proposals of a log, each to be confirmed, divided, joined or dropped."""
    incoming = record(seat, IncomingFile, pk)
    kind = kind_named(incoming.kind)
    proposals = incoming.report.get("details", {}).get("proposals", [])
    if kind is None or kind.page != "proposed_loads" or not proposals:
        return redirect("incoming_file", op=seat.operation.slug, pk=pk)
    status = 200
    if request.method == "POST" and incoming.state == "read":
        if _acted(request, seat, incoming, proposals):
            return redirect("proposed_loads", op=seat.operation.slug, pk=pk)
        status = 422
        incoming = record(seat, IncomingFile, pk)
        proposals = incoming.report["details"]["proposals"]
    zone = seat.operation.zone
    rows = [_row(told, zone) for told in proposals]
    fields = list(records(seat, Field).filter(voided=False))
    context = {
        "incoming": incoming,
        "kind": kind,
        "report": incoming.report,
        "rows": rows[:SHOWN],
        "left_out": max(len(rows) - SHOWN, 0),
        "fields": fields,
        "sure": sum(row["is_sure"] for row in rows),
        "is_open": incoming.state == "read",
        "is_ready": service.is_ready(incoming),
        "map_data": _map(rows, fields, zone),
    }
    return render(request, "loads/proposed_loads.html", context, status=status)


def _row(told: dict[str, Any], zone: Any) -> dict[str, Any]:
    started = dt.datetime.fromisoformat(told["started"]).astimezone(zone)
    ended = dt.datetime.fromisoformat(told["ended"]).astimezone(zone)
    known = all(share["field"] for share in told["shares"])
    return told | {
        "started_local": started,
        "ended_local": ended,
        "status_words": STATUS[told["status"]],
        "doubt_words": [DOUBTS[doubt] for doubt in told["doubts"]],
        "sureness": sureness(told["confidence"]),
        "is_sure": told["status"] == "open" and told["confidence"] >= SURE and known,
        "is_decidable": told["status"] not in ("standing", "here", "hand", "back"),
        "is_beside": told["status"] in ("differs", "amend", "keep"),
        "asks_field": len(told["shares"]) == 1 or not known,
        "chosen": told["shares"][0]["field"] if len(told["shares"]) == 1 else "",
    }


def _map(rows: list[dict[str, Any]], fields: list[Field], zone: Any) -> dict[str, Any] | None:
    """The way of each proposal, and the fields beside them as they are on the first day."""
    day = rows[0]["started_local"].date()
    ways = [shapely.LineString(row["line"]) for row in rows[:SHOWN] if len(row["line"]) > 1]
    beside = None
    if ways:
        west, south, east, north = shapely.total_bounds(ways)
        beside = shapely.box(
            west - BESIDE_DEG, south - BESIDE_DEG, east + BESIDE_DEG, north + BESIDE_DEG
        )
    features = []
    for field in fields:
        version = field.version_on(day)
        if not version or not version.boundary:
            continue
        if beside is None or beside.intersects(shape(version.boundary)):
            features.append(_feature(version.boundary, "field", str(field)))
    for row in rows[:SHOWN]:
        if len(row["line"]) > 1:
            line = {"type": "LineString", "coordinates": row["line"]}
            label = f"{row['started_local']:%m-%d %H:%M}, {row['amount']} {row['unit']}"
            features.append(_feature(line, "track", label))
    return {"type": "FeatureCollection", "features": features} if features else None


def _feature(geometry: Any, kind: str, label: str) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": geometry,
        "properties": {"kind": kind, "label": label},
    }


def _acted(
    request: HttpRequest, seat: Seat, incoming: IncomingFile, proposals: list[dict[str, Any]]
) -> bool:
    """Do what the button says; a refusal becomes a message on the page."""
    try:
        revision = int(request.POST.get("revision", ""))
    except ValueError:
        messages.error(request, _("The page is out of date. Open the file again."))
        return False
    try:
        if request.POST.get("do") == "take_over":
            service.confirm(seat, incoming, revision)
            messages.success(request, _("The file is taken over."))
            return True
        given = _decisions(request, seat, proposals)
        service.answer(seat, incoming, given, revision)
    except NothingChanged:
        messages.info(request, _("The decisions are the same as before."))
    except StaleRevision:
        messages.error(request, _("Somebody else worked on this file meanwhile. Look again."))
        return False
    except (service.NotTakenOver, FormatError, FileChanged) as refused:
        for text in getattr(refused, "messages", None) or [str(refused)]:
            messages.error(request, text)
        return False
    return True


def _decisions(request: HttpRequest, seat: Seat, proposals: list[dict[str, Any]]) -> dict[str, str]:
    """What was chosen on the page, by the keys of the answers; empty takes a decision back."""
    given: dict[str, str] = {}
    all_sure = request.POST.get("do") == "sure"
    zone = seat.operation.zone
    for told in proposals[:SHOWN]:
        key, post = told["key"], request.POST
        row = _row(told, zone)
        if not row["is_decidable"]:
            continue
        choice = post.get(f"do_{key}", "")
        if all_sure and row["is_sure"] and not choice:
            choice = "confirm"
        given[f"load:{key}"] = choice if choice in CHOICES else ""
        if (chosen := post.get(f"field_{key}")) is not None and chosen != row["chosen"]:
            given[f"load_field:{key}"] = chosen
        if post.get(f"whole_{key}"):
            given[f"split:{key}"] = ""
        elif text := post.get(f"split_{key}", "").strip():
            given[f"split:{key}"] = _moment_inside(text, row)
        if post.get(f"apart_{key}"):
            given[f"join:{key}"] = ""
        elif post.get(f"join_{key}"):
            given[f"join:{key}"] = "next"
    return given


def _moment_inside(text: str, row: dict[str, Any]) -> str:
    """A time of day as the moment inside the proposal."""
    clock = parse_time(text)
    started: dt.datetime = row["started_local"]
    for day in (started.date(), started.date() + dt.timedelta(days=1)):
        moment = dt.datetime.combine(day, clock, started.tzinfo)
        if started < moment < row["ended_local"]:
            return moment.astimezone(dt.UTC).isoformat()
    raise FormatError(
        _("%(time)s lies outside the load of %(start)s to %(end)s.")
        % {
            "time": text[:20],
            "start": f"{started:%H:%M:%S}",
            "end": f"{row['ended_local']:%H:%M:%S}",
        },
        _("Enter a time between the two."),
    )
