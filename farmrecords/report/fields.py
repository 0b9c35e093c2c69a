"""Item (viii), field by field: crops, yields, amounts, nutrients and the loads behind them."""

from __future__ import annotations

from farmrecords.calculations.nutrients import NOTHING
from farmrecords.farm.models import Field
from farmrecords.loads.available import AvailableN
from farmrecords.loads.models import Load
from farmrecords.loads.year_figures import FieldYear, YearPart
from farmrecords.report.amounts import FORM_WORDS, KINDS, UNITS, amount_figure, per_acre_figure
from farmrecords.report.figures import Address, figure
from farmrecords.report.ground import NO_ACRES, Work, covered_basis
from farmrecords.report.land_map import land_map
from farmrecords.report.maximum import maximum_rows
from farmrecords.report.model import (
    AppliedRow,
    AvailableRow,
    CropRow,
    FieldItem,
    LoadRow,
    LoadTotal,
    Nutrients,
)
from farmrecords.report.rows import Rows
from farmrecords.report.spreadable import spreadable_by_kind
from farmrecords.report.tests_used import phosphorus, test_words

COVERED_FROM = {"track": "track", "noted": "noted", "whole_field": "field"}
# land application area is under control when owned, rented or leased: 40 CFR 122.23(b)(3) (read)
UNDER_CONTROL = ("owned", "rented", "leased")
NO_POUNDS = "a load has no usable manure test"


def field_items(rows: Rows, work: Work) -> tuple[FieldItem, ...]:
    """One section for each field that took manure in the period, by number."""
    return tuple(_field_item(rows, work.on(field)) for field in rows.used_fields)


def _field_item(rows: Rows, year: FieldYear) -> FieldItem:
    field = year.field
    here = Address("field", (("pk", str(field.pk)),))
    days = ("first", rows.first_on.isoformat()), ("last", rows.last_on.isoformat())
    loads = Address("loads", query=(*days, ("field", str(field.pk))))
    return FieldItem(
        number=field.number,
        name=field.name,
        field_ac=figure(year.acres, "ac", 1, missing=NO_ACRES, records=here),
        covered_ac=figure(year.covered_ac, "ac", 1, missing=covered_basis(year), records=loads),
        covered_basis=covered_basis(year),
        control=str(year.version.get_control_display()) if year.version else "not entered",
        is_under_control=year.version.control in UNDER_CONTROL if year.version else None,
        crops=_crops(rows, field),
        applied=_applied(year, loads),
        nutrients=_nutrients(year, loads),
        maximum=maximum_rows(rows, year, spreadable_by_kind(rows, year)),
        loads=tuple(_load_row(i, part) for i, part in enumerate(year.parts, start=1)),
        totals=tuple(_total(year, kind, loads) for kind in KINDS if year.milli(kind)),
        land=land_map(rows, year),
        notes=_notes(rows, year),
        records=here,
    )


def _notes(rows: Rows, year: FieldYear) -> tuple[str, ...]:
    field, notes = year.field, []
    if year.acres_from == "stated":
        notes.append("No boundary is entered; the acres are those the plan states.")
    if year.version and year.version.control not in UNDER_CONTROL:
        notes.append(
            "It is neither owned, rented nor leased; its acres are not counted as used under "
            "control, 122.23(b)(3)."
        )
    if rows.plan and field.pk not in {crop.field_id for crop in rows.plan.crops.all()}:
        notes.append("The field is not in the plan version in force on the last day.")
    if field.ended_on and field.ended_on <= rows.last_on:
        notes.append(
            f"Farmed until {field.ended_on:%Y-%m-%d}; it counts because it was used before."
        )
    if any(load.origin == "received" for load in year.loads):
        notes.append("Some of the manure was received from another farm.")
    whole = sum(row.facts.get("covered_from") == "whole_field" for row in year.parts)
    if whole:
        notes.append(
            f"{whole} loads state no acres; the whole field is taken as what they covered."
        )
    without = sum(row.on_ground.geometry is None for row in year.parts)
    if without and year.acres_from == "boundary":
        notes.append(f"{without} of {len(year.parts)} loads have no track and are not on the map.")
    if year.missing:
        notes.append(f"Pounds are incomplete: {' '.join(year.missing)}")
    return tuple(notes)


def _crops(rows: Rows, field: Field) -> tuple[CropRow, ...]:
    planted = {
        (row.crop_year, row.crop): row.planted_on
        for row in rows.plantings
        if row.field_id == field.pk
    }
    made = [
        CropRow(
            row.crop_year,
            row.crop,
            planted.pop((row.crop_year, row.crop), None),
            row.harvested_on,
            figure(row.yield_amount, _per_acre(row.yield_unit), 1, missing="the yield"),
        )
        for row in rows.harvests
        if row.field_id == field.pk
    ]
    none_yet = figure(None, "", 1, missing="no harvest is entered in the period")
    made += [CropRow(year, crop, on, None, none_yet) for (year, crop), on in planted.items()]
    return tuple(sorted(made, key=lambda c: (c.crop_year, c.planted_on or c.harvested_on, c.crop)))


def _per_acre(unit: str) -> str:
    return f"{unit}/ac" if unit else ""


def _applied(year: FieldYear, loads: Address) -> tuple[AppliedRow, ...]:
    return tuple(
        AppliedRow(
            FORM_WORDS[kind],
            len([load for load in year.loads if load.amount_kind == kind]),
            amount_figure(year.milli(kind), kind, loads),
            per_acre_figure(year.milli(kind), kind, year.acres),
        )
        for kind in KINDS
        if year.milli(kind)
    )


def _total(year: FieldYear, kind: str, loads: Address) -> LoadTotal:
    pounds = sum((row.pounds for row in year.parts if row.load.amount_kind == kind), NOTHING)
    return LoadTotal(
        amount_figure(year.milli(kind), kind, loads),
        figure(pounds.n_lb, "lb", 1, missing=NO_POUNDS),
        figure(pounds.p2o5_lb, "lb", 1, missing=NO_POUNDS),
    )


def _nutrients(year: FieldYear, loads: Address) -> Nutrients:
    total, each = year.manure, year.per_ac
    lacking = NO_POUNDS if year.acres else NO_ACRES
    no_available = " ".join(year.available_missing)
    return Nutrients(
        figure(total.n_lb, "lb", 1, missing=NO_POUNDS, records=loads),
        figure(total.p2o5_lb, "lb", 1, missing=NO_POUNDS, records=loads),
        figure(each.n_lb, "lb/ac", 2, missing=lacking),
        figure(each.p2o5_lb, "lb/ac", 2, missing=lacking),
        phosphorus(each.p2o5_lb, "lb/ac", 2, lacking),
        figure(year.available_n_lb, "lb", 1, missing=no_available),
        figure(year.available_n_lb_per_ac, "lb/ac", 2, missing=no_available or lacking),
        tuple(year.available_by),
    )


def _load_row(number: int, row: YearPart) -> LoadRow:
    load, part, kind = row.load, row.part, row.load.amount_kind
    rate = row.facts.get("rate_per_ac")
    return LoadRow(
        number=number,
        local_day=load.local_day,
        start=f"{load.started_local:%H:%M}",
        amount=amount_figure(part.amount_milli, kind),
        covered_ac=figure(row.facts.get("covered_ac"), "ac", 2, missing="acres not noted"),
        covered_from=COVERED_FROM.get(row.facts.get("covered_from") or "", ""),
        per_ac=figure(
            None if rate is None else float(rate),
            f"{UNITS[kind]}/ac",
            0 if kind == "gal" else 1,
            missing="acres not noted",
        ),
        method=str(load.get_method_display()),
        source=_source(load),
        test=test_words(load.content_test),
        n_lb=figure(row.pounds.n_lb, "lb", 1, missing=row.missing),
        p2o5_lb=figure(row.pounds.p2o5_lb, "lb", 1, missing=row.missing),
        available=_available(row.available),
        records=Address("load", (("pk", str(load.pk)),)),
    )


def _available(share: AvailableN) -> AvailableRow:
    """First-year available N of a load's part, with everything it rests on."""
    pounds = figure(share.n_lb, "lb", 1, missing=share.why)
    found = share.found
    if share.choice is None or found is None or share.words is None:
        return AvailableRow(pounds)
    return AvailableRow(
        pounds,
        system=found.system,
        version=found.version,
        material=share.words.material,
        application=share.words.application,
        reading=share.choice.reading,
        factors=tuple((name, f"{value:g}") for name, value in sorted(found.factors.items())),
        evidence=found.evidence,
        assumed=share.words.assumed,
    )


def _source(load: Load) -> str:
    names = [draw.storage.name for draw in load.draws.all()]
    return ", ".join(names) or load.origin_name or str(load.get_origin_display())
