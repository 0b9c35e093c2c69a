"""Items (iv) and (v): acres in the plan, and acres used, each field once."""

from __future__ import annotations

from collections.abc import Sequence

from farmrecords.report.figures import Address, Figure, figure
from farmrecords.report.ground import field_acres
from farmrecords.report.items import plan_words
from farmrecords.report.model import AcresInPlan, AcresUsed, FieldItem
from farmrecords.report.rows import Rows


def acres_in_plan(rows: Rows) -> AcresInPlan:
    """Item (iv): the acres of the fields of the plan version in force on the last day."""
    fields = Address("fields")
    if rows.plan is None:
        return AcresInPlan(
            figure(None, "ac", 1, missing="no plan version is in force", records=fields), 0, "", ""
        )
    planned = {crop.field_id for crop in rows.plan.crops.all()}
    acres = [field_acres(f, rows.last_on) for f in rows.fields if f.pk in planned]
    known = [item.acres for item in acres if item.acres is not None]
    unknown = len(acres) - len(known)
    if unknown or not acres:
        missing = f"acres of {unknown} fields of the plan" if acres else "no field is in the plan"
        total = figure(None, "ac", 1, missing=missing, records=fields)
    else:
        total = figure(sum(known), "ac", 1, records=fields)
    measured = sum(item.source == "boundary" for item in acres)
    basis = f"{measured} fields inside their boundary, {len(acres) - measured} as the plan states"
    return AcresInPlan(total, len(acres), plan_words(rows), basis)


def acres_used(rows: Rows, fields: Sequence[FieldItem]) -> AcresUsed:
    """Item (v): fields that took manure in the period, each once, under control on that day.

    A field given up later counts all the same: it was used while it was under control. Land that
    is neither owned, rented nor leased is not under control and is named apart.
    """
    counted = [item for item in fields if item.is_under_control is not False]
    planned = {crop.field_id for crop in rows.plan.crops.all()} if rows.plan else set()
    outside = [str(field) for field in rows.used_fields if field.pk not in planned]
    loads = Address(
        "loads", query=(("first", rows.first_on.isoformat()), ("last", rows.last_on.isoformat()))
    )
    return AcresUsed(
        reported=rows.operation.area_reported,
        field_acres=_sum([_ac_of(item, item.field_ac) for item in counted], loads),
        covered_acres=_sum([_ac_of(item, item.covered_ac) for item in counted], loads),
        field_count=len(counted),
        basis=(
            "Fields owned, rented or leased that took at least one load of the operation's own in "
            "the period, each once. "
            "Field acres are whole fields; covered acres are the ground the loads reached."
        ),
        outside_plan=tuple(outside),
        not_controlled=tuple(
            f"{item.number} {item.name}" for item in fields if item.is_under_control is False
        ),
    )


def _ac_of(item: FieldItem, acres: Figure) -> Figure:
    """The acres, unknown while the field's control is not entered."""
    return acres if item.is_under_control else figure(None, "ac", 1, missing="its control")


def _sum(figures: Sequence[Figure], records: Address) -> Figure:
    values = [item.value for item in figures if item.value is not None]
    if len(values) < len(figures):
        missing = f"acres of {len(figures) - len(values)} fields"
        return figure(None, "ac", 1, missing=missing, records=records)
    return figure(sum(values), "ac", 1, records=records)
