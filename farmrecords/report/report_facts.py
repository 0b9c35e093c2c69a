"""What the rules may look at for the annual report of a whole period: its items, its filing."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from farmrecords.findings.doors import open_door
from farmrecords.findings.load_facts import operation_facts
from farmrecords.people.models import ClosedPeriod
from farmrecords.report.amounts import amount_figure, totals_by_kind
from farmrecords.report.model import AnnualReport, FieldItem
from farmrecords.report.rows import Rows
from farmrecords.rules.facts import Facts

open_door("report", _("each year's report"))


def report_facts(rows: Rows, report: AnnualReport, today: Any) -> Facts:
    """The facts of the report: what its items hold, when it is due and whether it is filed.

    An item that lacks something is unknown, not absent: what is missing may stand on paper.
    """
    values: dict[str, Any] = operation_facts(rows.permit)
    values |= {
        "report.animals": _kept(_has_animals(report)),
        "report.generated": _kept(
            report.generated.liquid.is_known, report.generated.solid.is_known
        ),
        "report.discharges": _kept(report.discharges.rows or report.discharges.statement),
        "report.planner_statement": _kept(report.planner.answer in ("yes", "no")),
        "report.field_rows": _kept(report.fields, *map(_is_whole, report.fields)),
        "report.acres_plan": report.acres_in_plan.acres.value,
        "report.acres_used": report.acres_used.acres.value,
        # Both are added up by the report from its fields, each once; nobody types them.
        "report.acres_plan_sum": report.acres_in_plan.acres.value,
        "report.acres_used_sum": report.acres_used.acres.value,
        "report.period_end_on": rows.last_on,
        "report.due_on": report.cover.due_on,
        "report.filed_on": filed_on(rows),
        "asked.on": today,
    }
    values |= _transferred(rows, report)
    return Facts({name: value for name, value in values.items() if value is not None})


def filed_on(rows: Rows) -> Any:
    """The day on which exactly this period was filed; None while it is not, or reopened."""
    closed = ClosedPeriod.objects.filter(
        operation=rows.operation,
        voided=False,
        reopened_at__isnull=True,
        from_on=rows.first_on,
        to_on=rows.last_on,
    ).first()
    if closed is None or closed.recorded_at is None:
        return None
    return closed.recorded_at.astimezone(rows.operation.zone).date()


def _kept(*held: object) -> str | None:
    return "recorded" if all(held) else None


def _has_animals(report: AnnualReport) -> bool:
    """Whether some type is counted and none is entered without a count."""
    heads = [head for row in report.animals.rows for head in (row.open_head, row.roof_head) if head]
    return bool(heads) and all(head.is_known for head in heads)


def _is_whole(item: FieldItem) -> bool:
    """Whether a field's row has crops with their yields, N and P, the maximum and the amounts."""
    return (
        bool(item.crops and item.maximum and item.applied)
        and all(crop.yields.is_known for crop in item.crops)
        and all(row.amount.is_known for row in item.maximum)
        and all(row.amount.is_known for row in item.applied)
        and item.nutrients.n_lb.is_known
        and item.nutrients.p2o5_lb.is_known
    )


def _transferred(rows: Rows, report: AnnualReport) -> dict[str, Any]:
    """The reported amount and the sum of the records, of the one form that was handed over.

    Gallons and tons are never added; where both were handed over no single amount stands.
    """
    totals = totals_by_kind((row.amount_milli, row.amount_kind) for row in rows.transfers)
    kinds = [kind for kind in ("gal", "lb") if totals[kind]] or ["gal"]
    if len(kinds) > 1:
        return {}
    shown = report.transferred.liquid if kinds[0] == "gal" else report.transferred.solid
    return {
        "report.transferred_amount": shown.value,
        "report.transfer_sum": amount_figure(totals[kinds[0]], kinds[0]).value,
    }
