"""Soil surveys as they come in: facts of each field proposed, with the rule each rests on.

The soil is the dominant one of the unit with the most acres, the slope is weighted by area, classes
are those that cover most of the field. What a survey does not tell stays as it is.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.soil_shares import (
    SoilError,
    SoilShares,
    dominant_component,
    dominant_condition,
    predominant_unit,
    soil_shares,
    weighted_number,
)
from farmrecords.farm.acres import boundary_of
from farmrecords.farm.import_shapes import box_of, day_answer, put_in_force
from farmrecords.farm.importing import SAME
from farmrecords.farm.kinds import DRAINAGE_CLASSES, HYDROLOGIC_GROUPS
from farmrecords.farm.models import Field, FieldVersion
from farmrecords.formats.common import Choice, Question, Rejected
from farmrecords.formats.ssurgo import Component, Horizon, MapUnit
from farmrecords.history import write
from farmrecords.intake.kinds import Summary, Written, register_kind
from farmrecords.intake.models import IncomingFile
from farmrecords.people.access import Seat

FACTS = ("soil", "slope_pct", "drainage_class", "hydrologic_group")
NAMES = {
    "soil": gettext_lazy("soil"),
    "slope_pct": gettext_lazy("slope, %"),
    "drainage_class": gettext_lazy("drainage class"),
    "hydrologic_group": gettext_lazy("hydrologic group"),
}


@dataclass
class Survey:
    """Map units by key and their ground."""

    saved: str
    units: dict[str, MapUnit]
    ground: list[tuple[str, BaseGeometry]]


def summarise(seat: Seat, items: list[dict[str, Any]], answers: dict[str, str]) -> Summary:
    """Which facts of which fields the survey would fill or change."""
    survey = survey_of(items)
    summary = Summary(figures=[(_("map units near the farm"), len(survey.units))])
    if survey.saved:
        summary.warnings.append(_("Data of the survey: %(day)s.") % {"day": survey.saved[:20]})
    on = day_answer(answers, summary, _("soils"))
    if on is None:
        return summary
    proposals: list[tuple[FieldVersion, dict[str, Any]]] = []
    differing = 0
    for field in Field.objects.filter(operation=seat.operation, voided=False):
        version = field.version_on(on)
        boundary = boundary_of(version)
        if version is None or boundary is None:
            continue
        try:
            told, words = _facts(survey, version, boundary)
        except SoilError as trouble:
            summary.rejected.append(Rejected(None, "boundary", str(field), str(trouble), ""))
            continue
        missing = {name: told[name] for name in told if getattr(version, name) in ("", None)}
        other = {n: told[n] for n in told if n not in missing and getattr(version, n) != told[n]}
        differing += bool(other)
        wanted = missing | (other if answers.get("existing_soil") == "replace" else {})
        if wanted:
            proposals.append((version, wanted))
            summary.lines.append((len(summary.lines) + 1, _words(field, version, wanted, words)))
    if differing and answers.get("existing_soil") not in ("replace", "keep"):
        summary.questions.append(_existing(differing))
    summary.new = len(proposals)
    summary.payload = (on, proposals)
    summary.figures.append((_("fields whose facts are filled or changed"), len(proposals)))
    return summary


def survey_of(items: list[dict[str, Any]]) -> Survey:
    """The survey from its plain values."""
    head, *rest = items
    units = {key: _unit(told) for key, told in head["units"].items()}
    return Survey(
        head["saved"], units, [(row["mukey"], shape(json.loads(row["geometry"]))) for row in rest]
    )


def _unit(told: dict[str, Any]) -> MapUnit:
    components = tuple(
        Component(
            **(
                one
                | {
                    "horizons": tuple(Horizon(**layer) for layer in one["horizons"]),
                    "flooding": tuple(one["flooding"]),
                }
            )
        )
        for one in told["components"]
    )
    return MapUnit(told["mukey"], told["symbol"], told["name"], components)


def _facts(
    survey: Survey, version: FieldVersion, boundary: BaseGeometry
) -> tuple[dict[str, Any], dict[str, str]]:
    """What the survey says of a field, and in words what each figure rests on."""
    shares = soil_shares(boundary, survey.ground)
    told: dict[str, Any] = {}
    words: dict[str, str] = {}
    unit = predominant_unit(shares, survey.units)
    soil = dominant_component(unit) if unit else None
    if unit is not None and soil is not None:
        told["soil"] = soil.text("compname")[:80]
        words["soil"] = _("dominant in %(unit)s, the unit with the most acres") % {
            "unit": getattr(unit, "symbol", "")
        }
    slope = weighted_number(shares, survey.units, "slope_r")
    if slope.value is not None:
        told["slope_pct"] = Decimal(str(slope.value)).quantize(Decimal("0.1"))
        words["slope_pct"] = _share(_("weighted by area"), slope.share)
    _classes(shares, survey, version, told, words)
    if not shares.is_whole and told:
        words["gap"] = _("%(acres).1f ac without a map unit") % {"acres": shares.gap_ac}
    return told, words


def _classes(
    shares: SoilShares,
    survey: Survey,
    version: FieldVersion,
    told: dict[str, Any],
    words: dict[str, str],
) -> None:
    drained = {"none": False, "patterned": True}.get(version.tile)
    for column, name, known in (
        ("drainagecl", "drainage_class", dict(DRAINAGE_CLASSES)),
        ("hydgrp", "hydrologic_group", dict(HYDROLOGIC_GROUPS)),
    ):
        found = dominant_condition(shares, survey.units, column, drained)
        value = found.value.lower() if name == "drainage_class" else found.value
        if value in known:
            told[name] = value
            words[name] = _share(_("covers most of the field"), found.share)


def _share(rule: str, share: float) -> str:
    return _("%(rule)s, known for %(share)s of it") % {"rule": rule, "share": f"{share:.0%}"}


def _words(
    field: Field, version: FieldVersion, wanted: dict[str, Any], words: dict[str, str]
) -> str:
    told = []
    for name, value in wanted.items():
        now = getattr(version, name)
        until = _(", until now %(now)s") % {"now": now} if now not in ("", None) else ""
        told.append(f"{NAMES[name]} {value} ({words[name]}){until}")
    if "gap" in words:
        told.append(words["gap"])
    return f"{field}: " + "; ".join(told)


def _existing(count: int) -> Question:
    return Question(
        "existing_soil",
        _("%(n)d field(s) have other facts here than the survey says. What shall hold?")
        % {"n": count},
        (
            Choice("keep", _("what is here; fill in only what is missing")),
            Choice("replace", _("what the survey says")),
        ),
    )


def take_over(
    _seat: Seat, change: write.Change, _incoming: IncomingFile, summary: Summary
) -> Written:
    """Put a version with the new facts in force from the day on."""
    on, proposals = summary.payload
    done = Written()
    for version, wanted in proposals:
        _put(change, done, version, wanted, on)
    return done


def _put(
    change: write.Change,
    done: Written,
    version: FieldVersion,
    wanted: dict[str, Any],
    on: dt.date,
) -> None:
    rows = list(FieldVersion.objects.filter(field=version.field_id, voided=False))
    same = {name: getattr(version, name) for name in (*SAME, "boundary", "line_source", "further")}
    new = FieldVersion(
        operation_id=version.operation_id,
        field_id=version.field_id,
        from_on=on,
        **(same | wanted),
    )
    put_in_force(change, done, new, rows, tuple(wanted))


register_kind(
    "soils",
    gettext_lazy("soil survey (SSURGO)"),
    "soils",
    summarise,
    take_over,
    endings=(".zip",),
    help=gettext_lazy(
        "The ZIP file of a survey area, unchanged. Facts of each field are proposed."
    ),
    context=box_of,
)
