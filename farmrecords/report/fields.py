"""Item (viii), field by field: crops, yields, amounts, nutrients and the loads behind them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from farmrecords.calculations.nutrients import NOTHING, Applied, per_acre
from farmrecords.farm.models import Field
from farmrecords.loads.facts import facts_of
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.nutrients import of_load
from farmrecords.report.amounts import (
    FORM_WORDS,
    amount_figure,
    per_acre_figure,
    totals_by_kind,
)
from farmrecords.report.figures import Address, Figure, figure
from farmrecords.report.ground import FieldAcres, coverage, field_acres
from farmrecords.report.items import local_clock
from farmrecords.report.land_map import land_map
from farmrecords.report.maximum import maximum_rows
from farmrecords.report.model import AppliedRow, CropRow, FieldItem, LoadRow, Nutrients
from farmrecords.report.rows import Rows, version_of
from farmrecords.report.tests_used import phosphorus, test_words

NO_POUNDS = "a load has no usable manure test"


class Work:
    """What the loads of the period brought, worked out once per load."""

    def __init__(self, rows: Rows) -> None:
        self.rows = rows
        self._facts: dict[Any, dict[int, dict[str, Any]]] = {}
        self.pounds: dict[Any, tuple[Applied, str]] = {}
        for load in rows.loads:
            self._facts[load.pk] = {row["part"]: row for row in facts_of(load).parts}
            for part in of_load(load):
                self.pounds[part.part.pk] = part.applied, part.missing

    def facts(self, part: LoadPart) -> dict[str, Any]:
        """The kept facts of a part."""
        return self._facts[part.load_id].get(part.number, {})


def field_items(rows: Rows, work: Work) -> tuple[FieldItem, ...]:
    """One section for each field that took manure in the period, by number."""
    return tuple(_field_item(rows, work, field) for field in rows.used_fields)


def _field_item(rows: Rows, work: Work, field: Field) -> FieldItem:
    parts = rows.parts_by_field[field.pk]
    last_day = parts[-1].load.local_day
    acres = field_acres(field, last_day)
    with_facts = [(part, work.facts(part)) for part in parts]
    covered = coverage(with_facts, acres.acres)
    version = version_of(field, last_day)
    nutrients = _nutrients([work.pounds[part.pk][0] for part in parts], acres)
    return FieldItem(
        number=field.number,
        name=field.name,
        field_ac=acres.figure,
        covered_ac=covered.figure,
        covered_basis=covered.basis,
        control=str(version.get_control_display()) if version else "not entered",
        crops=_crops(rows, field),
        applied=_applied(parts, acres),
        nutrients=nutrients,
        maximum=maximum_rows(rows, field, parts, acres),
        loads=tuple(_load_row(i, part, work) for i, part in enumerate(parts, start=1)),
        totals=_totals(parts),
        land=land_map(field, last_day, with_facts, rows.features),
        notes=_notes(rows, field, acres, parts),
        records=Address("field", (("pk", str(field.pk)),)),
    )


def _notes(
    rows: Rows, field: Field, acres: FieldAcres, parts: Sequence[LoadPart]
) -> tuple[str, ...]:
    notes = []
    if acres.source == "measured":
        notes.append("The acres are those inside the boundary; the plan states none.")
    if rows.plan and field.pk not in {crop.field_id for crop in rows.plan.crops.all()}:
        notes.append("The field is not in the plan version in force on the last day.")
    if field.ended_on and field.ended_on <= rows.last_on:
        notes.append(
            f"Farmed until {field.ended_on:%Y-%m-%d}; it counts because it was used before."
        )
    if any(part.load.origin == "received" for part in parts):
        notes.append("Some of the manure was received from another farm.")
    return tuple(notes)


def _crops(rows: Rows, field: Field) -> tuple[CropRow, ...]:
    found: dict[tuple[int, str], dict[str, Any]] = {}
    for row in rows.plantings:
        if row.field_id == field.pk:
            found.setdefault((row.crop_year, row.crop), {})["planted"] = row.planted_on
    made = []
    for row in rows.harvests:
        if row.field_id != field.pk:
            continue
        planted = found.pop((row.crop_year, row.crop), {}).get("planted")
        unit = f"{row.yield_unit}/ac" if row.yield_unit else ""
        made.append(
            CropRow(
                row.crop_year,
                row.crop,
                planted,
                row.harvested_on,
                figure(row.yield_amount, unit, 1, missing="the yield"),
            )
        )
    for (crop_year, crop), seen in found.items():
        none_yet = figure(None, "", 1, missing="no harvest is entered in the period")
        made.append(CropRow(crop_year, crop, seen["planted"], None, none_yet))
    return tuple(sorted(made, key=lambda c: (c.crop_year, c.planted_on or c.harvested_on, c.crop)))


def _applied(parts: Sequence[LoadPart], acres: FieldAcres) -> tuple[AppliedRow, ...]:
    totals = totals_by_kind((part.amount_milli, part.load.amount_kind) for part in parts)
    return tuple(
        AppliedRow(
            FORM_WORDS[kind],
            len({part.load_id for part in parts if part.load.amount_kind == kind}),
            amount_figure(milli, kind),
            per_acre_figure(milli, kind, acres.acres),
        )
        for kind, milli in totals.items()
        if milli
    )


def _totals(parts: Sequence[LoadPart]) -> tuple[Figure, ...]:
    totals = totals_by_kind((part.amount_milli, part.load.amount_kind) for part in parts)
    return tuple(amount_figure(milli, kind) for kind, milli in totals.items() if milli)


def _nutrients(pounds: Sequence[Applied], acres: FieldAcres) -> Nutrients:
    total = NOTHING
    for applied in pounds:
        total = total + applied
    no_acres = "acres of the field" if not acres.acres else NO_POUNDS
    each = per_acre(total, float(acres.acres)) if acres.acres else Applied(None, None, None)
    return Nutrients(
        figure(total.n_lb, "lb", 0, missing=NO_POUNDS),
        figure(total.p2o5_lb, "lb", 0, missing=NO_POUNDS),
        figure(each.n_lb, "lb/ac", 2, missing=no_acres),
        figure(each.p2o5_lb, "lb/ac", 2, missing=no_acres),
        phosphorus(each.p2o5_lb, "lb/ac", 2, no_acres),
    )


def _load_row(number: int, part: LoadPart, work: Work) -> LoadRow:
    load, facts = part.load, work.facts(part)
    pounds, missing = work.pounds[part.pk]
    rate = facts.get("rate_per_ac")
    kind = load.amount_kind
    return LoadRow(
        number=number,
        local_day=load.local_day,
        start=local_clock(load.started_local),
        amount=amount_figure(part.amount_milli, kind),
        covered_ac=figure(facts.get("covered_ac"), "ac", 2, missing="acres not noted"),
        per_ac=figure(
            None if rate is None else float(rate),
            "gal/ac" if kind == "gal" else "tons/ac",
            0 if kind == "gal" else 1,
            missing="acres not noted",
        ),
        method=str(load.get_method_display()),
        source=_source(load),
        test=test_words(load.content_test),
        n_lb=figure(pounds.n_lb, "lb", 1, missing=missing),
        p2o5_lb=figure(pounds.p2o5_lb, "lb", 1, missing=missing),
        records=Address("load", (("pk", str(load.pk)),)),
    )


def _source(load: Load) -> str:
    names = [draw.storage.name for draw in load.draws.all()]
    return ", ".join(names) or load.origin_name or str(load.get_origin_display())
