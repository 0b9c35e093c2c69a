"""What boundaries and features that come in have in common: days, rounding, dated versions."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from shapely.geometry import shape

from farmrecords.farm.acres import boundary_of
from farmrecords.farm.geometry import check_any_geometry, to_geojson
from farmrecords.farm.models import FieldVersion
from farmrecords.formats.common import FormatError, Question, Rejected
from farmrecords.formats.moments import parse_day
from farmrecords.history.write import Change
from farmrecords.intake.kinds import Summary, Written
from farmrecords.people.access import Seat

BOX_DEG = 0.5  # a farm's land lies within some 35 miles of the land it has


def plain(text: str) -> str:
    """A label as it is compared: lower case, single spaces."""
    return " ".join(str(text).casefold().split())


def box_of(seat: Seat) -> dict[str, Any]:
    """Where the farm's land is expected, from the land it has."""
    versions = FieldVersion.objects.filter(operation=seat.operation, voided=False)
    bounds = [b.bounds for version in versions if (b := boundary_of(version)) is not None]
    if not bounds:
        return {}
    west, south, east, north = zip(*bounds, strict=True)
    return {
        "box": [
            min(west) - BOX_DEG,
            min(south) - BOX_DEG,
            max(east) + BOX_DEG,
            max(north) + BOX_DEG,
        ]
    }


def rounded(text: str, check: Any = check_any_geometry) -> dict[str, Any]:
    """A geometry as it is kept, seven decimals; raises ValidationError when it is none."""
    geometry = to_geojson(shape(json.loads(text)))
    check(geometry)
    return geometry


def refused(item: dict[str, Any], error: ValidationError) -> Rejected:
    """A row whose geometry cannot be kept."""
    return Rejected(item["row_number"], "geometry", item["name"], " ".join(error.messages), "")


def day_answer(answers: dict[str, str], summary: Summary, what: str) -> dt.date | None:
    """From which day what the file draws holds; asked when it is not answered."""
    text = answers.get("from_on", "").strip()
    if text:
        try:
            return parse_day(text)
        except FormatError as error:
            summary.warnings.append(str(error))
    summary.questions.append(
        Question(
            "from_on",
            _("From which day do these %(what)s hold?") % {"what": what},
            examples=("2026-04-01",),
        )
    )
    return None


def put_in_force(
    change: Change, done: Written, new: Any, rows: list[Any], columns: tuple[str, ...]
) -> None:
    """Put a dated row in force from its first day: what it follows ends the day before.

    A row that begins on the same day is corrected instead. `rows` are the dated rows of the same
    thing that count; `columns` are those a correction takes over.
    """
    same = next((row for row in rows if row.from_on == new.from_on), None)
    if same is not None:
        before = {name: _plain_value(getattr(same, name)) for name in columns}
        change.amend(
            same,
            base_rev=same.rev,
            values={name: getattr(new, name) for name in columns},
            reason_code="imported",
        )
        done.amended.append((same, before))
        return
    earlier = [row for row in rows if row.from_on < new.from_on]
    later = [row.from_on for row in rows if row.from_on > new.from_on]
    if later:
        new.to_on = min(later) - dt.timedelta(days=1)
    last = max(earlier, key=lambda row: row.from_on, default=None)
    if last is not None and (last.to_on is None or last.to_on >= new.from_on):
        before = {"to_on": last.to_on.isoformat() if last.to_on else None}
        change.amend(
            last,
            base_rev=last.rev,
            values={"to_on": new.from_on - dt.timedelta(days=1)},
            reason_code="imported",
        )
        done.amended.append((last, before))
    change.create(new)
    done.created.append(new)


def _plain_value(value: Any) -> Any:
    return value if isinstance(value, dict | list | str | int | bool | None) else str(value)
