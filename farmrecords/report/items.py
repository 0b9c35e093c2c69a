"""Items (i), (iii), (vi) and (vii): animals, transfers, discharges and the planner statement."""

from __future__ import annotations

from farmrecords.farm.kinds import ANIMAL_KINDS
from farmrecords.farm.models import AnimalCount, AnimalGroup, StatementOfNone
from farmrecords.loads.models import Transfer
from farmrecords.measurements.models import Discharge
from farmrecords.report.amounts import amount_figure, totals_by_kind
from farmrecords.report.figures import Figure, figure
from farmrecords.report.model import (
    AnimalRow,
    Animals,
    DischargeRow,
    Discharges,
    PlannerStatement,
    Statement,
    Transferred,
    TransferRow,
)
from farmrecords.report.rows import Rows

COUNT_BASIS = (
    "The latest count of each group on or before the last day of the period, added up by type."
)
NOTHING_ENTERED = "cannot tell: nothing is entered, and nobody stated that there was none"


def animals_of(rows: Rows) -> Animals:
    """Item (i): the thirteen types of the rule in its order, open confinement and under roof."""
    latest: dict[object, AnimalCount] = {row.group_id: row for row in rows.counts}
    return Animals(
        COUNT_BASIS,
        tuple(
            _animal_row(kind, str(label), [g for g in rows.groups if g.kind == kind], latest)
            for kind, label in ANIMAL_KINDS
        ),
    )


def _animal_row(
    kind: str, label: str, groups: list[AnimalGroup], latest: dict[object, AnimalCount]
) -> AnimalRow:
    if not groups:
        return AnimalRow(kind, label, None, None)
    counts = [latest.get(group.pk) for group in groups]
    uncounted = [g.name for g, count in zip(groups, counts, strict=True) if count is None]
    if others := [group.other_kind for group in groups if group.other_kind]:
        label = f"{label}: {', '.join(others)}"

    def heads(name: str) -> Figure:
        if uncounted:
            return figure(None, "head", 0, missing=f"no count of {', '.join(uncounted)}")
        return figure(sum(getattr(count, name) for count in counts), "head", 0)

    return AnimalRow(
        kind,
        label,
        heads("open_head"),
        heads("roof_head"),
        tuple(
            f"{group.name}, counted {count.counted_on:%Y-%m-%d}" if count else group.name
            for group, count in zip(groups, counts, strict=True)
        ),
    )


def statement_of(row: StatementOfNone | None) -> Statement | None:
    """A statement of none in plain words."""
    if row is None:
        return None
    return Statement(
        str(row.stated_by),
        row.stated_on,
        row.from_on,
        row.to_on or row.stated_on,
        row.looked_how,
        str(row.field) if row.field else "",
    )


def transferred_of(rows: Rows) -> Transferred:
    """Item (iii): what was handed to receivers, solid and liquid apart, and each hand-over."""
    totals = totals_by_kind((row.amount_milli, row.amount_kind) for row in rows.transfers)
    statement = rows.statement_about("transfers")
    if not rows.transfers and statement is None:
        missing = "no transfer is entered and no statement of none"
        return Transferred(
            figure(None, "gal", 0, missing=missing),
            figure(None, "tons", 2, missing=missing),
            (),
            None,
            NOTHING_ENTERED,
        )
    return Transferred(
        amount_figure(totals["gal"], "gal"),
        amount_figure(totals["lb"], "lb"),
        tuple(_transfer_row(row) for row in rows.transfers),
        statement_of(statement),
        contradiction(bool(rows.transfers), statement, "a transfer"),
    )


def _transfer_row(row: Transfer) -> TransferRow:
    return TransferRow(
        row.moved_on,
        row.receiver_name,
        row.receiver_address,
        amount_figure(row.amount_milli, row.amount_kind),
        row.analysis_given_on,
        row.storage.name if row.storage else "",
    )


def contradiction(has_rows: bool, statement: StatementOfNone | None, what: str) -> str:
    """Words for a statement of none beside a record of the same thing; empty without both."""
    if has_rows and statement:
        return (
            f"A statement of none covers the period, yet {what} is entered. One of the two is "
            "wrong; both are shown."
        )
    return ""


def discharges_of(rows: Rows) -> Discharges:
    """Item (vi): every discharge from the production area, or the statement of none."""
    statement = rows.statement_about("discharges")
    found = tuple(_discharge_row(row, rows) for row in rows.discharges)
    if found:
        words = contradiction(True, statement, "a discharge")
    elif statement:
        words = "None, as stated below."
    else:
        words = NOTHING_ENTERED.capitalize() + "."
    return Discharges(found, statement_of(statement), words)


def _discharge_row(row: Discharge, rows: Rows) -> DischargeRow:
    local = row.happened_at.astimezone(rows.operation.zone) if row.happened_at else None
    typed = row.volume_text.strip()
    digits = typed.replace(",", "")
    gallons = int(digits) if digits.isascii() and digits.isdecimal() else None
    volume = figure(gallons, "gal", 0, missing="the approximate volume")
    return DischargeRow(
        row.happened_on,
        f"{local:%H:%M}" if local else "not noted",
        volume,
        typed if typed and not volume.is_known else volume.digits,
        row.cause,
        row.receiving_water,
    )


def planner_of(rows: Rows) -> PlannerStatement:
    """Item (vii): whether a certified planner developed or approved the current plan version."""
    plan = rows.plan
    if plan is None:
        return PlannerStatement(
            "cannot tell",
            "",
            None,
            None,
            "",
            "",
            "No version of the nutrient management plan is in force on the last day of the period.",
        )
    answer = {True: "yes", False: "no", None: "cannot tell"}[plan.by_certified_planner]
    words = {
        "yes": "The current version of the nutrient management plan was developed or approved by a "
        "certified nutrient management planner.",
        "no": "The current version of the nutrient management plan was neither developed nor "
        "approved by a certified nutrient management planner.",
        "cannot tell": "Whether a certified nutrient management planner developed or approved the "
        "current version of the plan is not entered.",
    }[answer]
    return PlannerStatement(
        answer,
        plan.label,
        plan.from_on,
        plan.document_dated,
        plan.planner_name,
        plan.planner_certificate,
        words,
    )


def plan_words(rows: Rows) -> str:
    """The current plan version and the day it began."""
    return f"{rows.plan.label}, in force from {rows.plan.from_on:%Y-%m-%d}" if rows.plan else ""
