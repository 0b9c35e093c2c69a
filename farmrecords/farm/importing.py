"""Boundaries and features as they come in: matched by name, dated, each change shown in acres."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import defaultdict
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from shapely.geometry import shape

from farmrecords.calculations.geodesy import area_ac
from farmrecords.farm.acres import acres_of
from farmrecords.farm.geometry import check_areas
from farmrecords.farm.import_features import summarise_features, take_over_features
from farmrecords.farm.import_shapes import (
    box_of,
    day_answer,
    plain,
    put_in_force,
    refused,
    rounded,
)
from farmrecords.farm.models import Field, FieldVersion
from farmrecords.formats.common import Choice, Question, Rejected, shown
from farmrecords.history import write
from farmrecords.intake.kinds import Summary, Written, register_kind
from farmrecords.intake.models import IncomingFile
from farmrecords.intake.refusals import row_named
from farmrecords.people.access import Seat

ENDINGS = (".geojson", ".json", ".kml", ".kmz", ".zip")
# What a new outline takes over from the version before it.
SAME = (
    "uncertainty_ft", "stated_ac", "stack", "control", "slope_pct", "drainage_class",
    "hydrologic_group", "tile", "soil", "further",
)  # fmt: skip


def summarise_boundaries(
    seat: Seat, items: list[dict[str, Any]], answers: dict[str, str]
) -> Summary:
    """What outlines would bring: new fields, changed outlines, outlines already here."""
    summary = Summary(figures=[(_("outlines read"), len(items))])
    on = day_answer(answers, summary, _("boundaries"))
    fields = _by_name(seat)
    versions = _versions(seat)
    proposals: list[tuple[Field | None, dict[str, Any], dict[str, Any]]] = []
    unknown: list[str] = []
    here = 0
    for item in items:
        try:
            boundary = rounded(item["geometry"], check_areas)
        except ValidationError as error:
            summary.rejected.append(refused(item, error))
            continue
        field = _field_of(item, fields, summary)
        if field is None and not item["name"]:
            summary.rejected.append(_nameless(item))
            continue
        if field is None:
            unknown.append(item["name"])
            if answers.get("new_fields") == "leave":
                continue
        elif on and (now := _in_force(versions[field.pk], on)) and now.boundary == boundary:
            here += 1
            continue
        proposals.append((field, item, boundary))
        summary.lines.append((item["row_number"], _words(field, item, boundary, versions, on)))
    if unknown and answers.get("new_fields") not in ("create", "leave"):
        summary.questions.append(_new_fields(unknown))
    _refuse_twice(proposals, summary)
    _refuse_taken_numbers(seat, proposals, summary)
    summary.new = len(proposals)
    summary.payload = (on, proposals)
    summary.figures += [
        (_("new fields"), sum(field is None for field, _i, _b in proposals)),
        (_("changed outlines"), sum(field is not None for field, _i, _b in proposals)),
        (_("outlines already here"), here),
    ]
    return summary


def _by_name(seat: Seat) -> dict[str, list[Field]]:
    found: dict[str, list[Field]] = defaultdict(list)
    for field in Field.objects.filter(operation=seat.operation, voided=False):
        names = {field.number, field.name, str(field), *map(str, field.aliases)}
        for name in {plain(name) for name in names if name}:
            found[name].append(field)
    return found


def _versions(seat: Seat) -> dict[uuid.UUID, list[FieldVersion]]:
    found: dict[uuid.UUID, list[FieldVersion]] = defaultdict(list)
    rows = FieldVersion.objects.filter(operation=seat.operation, voided=False)
    for row in rows.order_by("-from_on"):
        found[row.field_id].append(row)
    return found


def _in_force(rows: list[FieldVersion], on: dt.date) -> FieldVersion | None:
    return next((row for row in rows if row.holds_on(on)), None)


def _field_of(
    item: dict[str, Any], fields: dict[str, list[Field]], summary: Summary
) -> Field | None:
    number = item["properties"].get("number") or item["properties"].get("field_no")
    for name in (item["name"], number):
        found = fields.get(plain(name), []) if name else []
        if len(found) == 1:
            return found[0]
        if len(found) > 1:
            summary.rejected.append(
                Rejected(
                    item["row_number"], "name", shown(name),
                    _("The name stands for several fields here."),
                    _("Write the field's number and name in the file."),
                )
            )  # fmt: skip
            return None
    return None


def _nameless(item: dict[str, Any]) -> Rejected:
    return Rejected(
        item["row_number"], "name", "", _("The outline has no name."),
        _("Give it the field's number or name in the property “name”."),
    )  # fmt: skip


def _words(
    field: Field | None,
    item: dict[str, Any],
    boundary: dict[str, Any],
    versions: dict[uuid.UUID, list[FieldVersion]],
    on: dt.date | None,
) -> str:
    told = {"name": field or item["name"], "acres": f"{area_ac(shape(boundary)):,.2f}"}
    repair = item["repaired"]
    if repair:
        told |= {"before": f"{repair['acres_before']:,.2f}"}
        return _("%(name)s: %(acres)s ac mended, %(before)s ac as drawn") % told
    now = _in_force(versions[field.pk], on) if field and on else None
    acres = acres_of(now)[0]
    if acres is None:
        return _("%(name)s: %(acres)s ac") % told
    told |= {"now": f"{acres:,.2f}"}
    return _("%(name)s: %(acres)s ac, until now %(now)s ac") % told


def _new_fields(names: list[str]) -> Question:
    listed = ", ".join(shown(name) for name in names[:10])
    return Question(
        "new_fields",
        _("%(n)d outline(s) bear a name that is no field here: %(names)s. What are they?")
        % {"n": len(names), "names": listed},
        (
            Choice("create", _("new fields, to be entered")),
            Choice("leave", _("something else; leave them out")),
        ),
    )


def _number(item: dict[str, Any]) -> str:
    return str(item["properties"].get("number") or item["name"])[:12].strip()


def _refuse_taken_numbers(seat: Seat, proposals: list[Any], summary: Summary) -> None:
    """Refuse a new field whose number another one has, here or in an earlier row."""
    rows = Field.objects.filter(operation=seat.operation, voided=False)
    taken = {plain(row.number): _("the field %(field)s") % {"field": row} for row in rows}
    for field, item, _boundary in proposals:
        if field is not None:
            continue
        number = _number(item)
        if plain(number) in taken:
            told = {"number": shown(number), "other": taken[plain(number)]}
            summary.rejected.append(
                Rejected(
                    item["row_number"], "number", shown(item["name"]),
                    _("Its number would be “%(number)s”, which %(other)s has.") % told,
                    _("Give it a number of its own in the property “number”, at most 12 signs."),
                )
            )  # fmt: skip
        taken.setdefault(plain(number), _("row %(row)s") % {"row": item["row_number"]})


def _refuse_twice(proposals: list[Any], summary: Summary) -> None:
    """Refuse two outlines of one field: whether they belong together is not ours to guess."""
    seen: dict[Any, int] = {}
    for field, item, _boundary in proposals:
        key = field.pk if field else plain(item["name"])
        if key in seen:
            summary.rejected.append(
                Rejected(
                    item["row_number"], "name", shown(item["name"]),
                    _("Row %(row)s draws the same field.") % {"row": seen[key]},
                    _("Join the two outlines into one in the file, or leave one out."),
                )
            )  # fmt: skip
        seen.setdefault(key, item["row_number"])


def take_over_boundaries(
    seat: Seat, change: write.Change, _incoming: IncomingFile, summary: Summary
) -> Written:
    """Put the outlines in force from their day on."""
    on, proposals = summary.payload
    done = Written()
    versions = _versions(seat)
    for known, item, boundary in proposals:
        with row_named(item["row_number"], item["name"]):
            field = known or _entered(seat, change, done, item, on)
            rows = versions[field.pk]
            now = _in_force(rows, on)
            same = {name: getattr(now, name) for name in SAME} if now else {}
            new = FieldVersion(
                operation=seat.operation,
                field=field,
                from_on=on,
                boundary=boundary,
                line_source="imported",
                **same,
            )
            put_in_force(change, done, new, rows, ("boundary", "line_source"))
    return done


def _entered(
    seat: Seat, change: write.Change, done: Written, item: dict[str, Any], on: dt.date
) -> Field:
    field = Field(
        operation=seat.operation, number=_number(item), name=item["name"][:80], began_on=on
    )
    change.create(field)
    done.created.append(field)
    return field


HELP = gettext_lazy("GeoJSON, KML or a zipped shapefile in longitude and latitude (WGS84).")
register_kind(
    "boundaries", gettext_lazy("field boundaries"), "shapes", summarise_boundaries,
    take_over_boundaries, endings=ENDINGS, help=HELP, context=box_of,
)  # fmt: skip
register_kind(
    "features", gettext_lazy("features to keep away from"), "shapes", summarise_features,
    take_over_features, endings=ENDINGS, help=HELP, context=box_of,
)  # fmt: skip
