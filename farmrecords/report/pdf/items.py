"""Items (i) to (vii) on paper, each under its paragraph, in the order of the law."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from xml.sax.saxutils import escape

from reportlab.platypus import CondPageBreak

from farmrecords.report.figures import Figure
from farmrecords.report.generated import change_words
from farmrecords.report.model import ITEMS, AnimalRow, AnnualReport, Statement
from farmrecords.report.pdf.face import WIDTH
from farmrecords.report.pdf.paper import heading
from farmrecords.report.pdf.tables import Column, facts, ledger
from farmrecords.report.pdf.words import clean, said

ROOM_FOR_HEADING = 100.0


def item_heading(key: str, room: float = ROOM_FOR_HEADING) -> Iterator[Any]:
    """The heading of one item, kept with what follows it within `room` points."""
    item = ITEMS[key]
    yield CondPageBreak(room)
    yield heading(escape(f"({key}) {item.heading}"), "item", 0)
    yield said(f"40 CFR {item.paragraph}", "soft")


def full(figure: Figure) -> str:
    """A figure with its unit, or what is missing."""
    return figure.words if figure.is_known else f"cannot tell: {figure.missing}"


def items(report: AnnualReport) -> Iterator[Any]:
    """Items (i) to (vii)."""
    yield from _animals(report)
    yield from _generated(report)
    yield from _transferred(report)
    yield from _acres(report)
    yield from _discharges(report)
    yield from _planner(report)


def _animals(report: AnnualReport) -> Iterator[Any]:
    yield from item_heading("i", room=300)
    yield ledger(
        [
            Column("type of animal", 130),
            Column("open confinement, head", 80, right=True),
            Column("under roof, head", 80, right=True),
            Column("groups and their last count", WIDTH - 290),
        ],
        [
            (row.label, heads(row, row.open_head), heads(row, row.roof_head), "; ".join(row.groups))
            for row in report.animals.rows
        ],
    )
    yield said(f"Basis of the count: {report.animals.basis}", "soft")
    for row in report.animals.rows:
        if row.open_head is not None and not row.open_head.is_known:
            yield said(f"{row.label}: {full(row.open_head)}", "soft")


def heads(row: AnimalRow, figure: Figure | None) -> str:
    """A number of animals; a type without a group has none entered."""
    return "none entered" if figure is None else figure.digits


def _generated(report: AnnualReport) -> Iterator[Any]:
    made = report.generated
    yield from item_heading("ii", room=150)
    yield ledger(
        [
            Column("", 214),
            Column("liquid manure and wastewater, gal", 145, right=True),
            Column("solid manure and litter, tons", 145, right=True),
        ],
        [
            ("left the storages in the period", made.liquid_left.digits, made.solid_left.digits),
            (
                "change of what stood in them",
                _signed(made.liquid_change),
                _signed(made.solid_change),
            ),
            (
                "received from others into them, taken off",
                made.liquid_received.digits,
                made.solid_received.digits,
            ),
        ],
        total=("estimated total generated", made.liquid.digits, made.solid.digits),
    )
    yield said(f"Method of the estimate: {made.method}", "soft")
    for words, figure in (("Liquid", made.liquid), ("Solid", made.solid)):
        if not figure.is_known:
            yield said(f"{words}: {full(figure)}.", "soft")


def _signed(figure: Figure) -> str:
    return change_words(figure).removesuffix(figure.unit).strip()


def _transferred(report: AnnualReport) -> Iterator[Any]:
    part = report.transferred
    yield from item_heading("iii")
    yield facts(
        [
            ("Liquid manure and wastewater", full(part.liquid)),
            ("Solid manure and litter", full(part.solid)),
        ],
        WIDTH,
    )
    if part.words:
        yield said(part.words)
    yield from statement(part.statement)
    if not part.rows:
        return
    yield ledger(
        [
            Column("day", 56),
            Column("receiver", 120),
            Column("address", 120),
            Column("gal", 54, right=True),
            Column("tons", 54, right=True),
            Column("analysis handed over", WIDTH - 404),
        ],
        [
            (
                f"{row.moved_on}",
                row.receiver or "not entered",
                row.receiver_address or "not entered",
                row.amount.digits if row.amount.unit == "gal" else "",
                row.amount.digits if row.amount.unit == "tons" else "",
                f"{row.analysis_given_on}" if row.analysis_given_on else "not entered",
            )
            for row in part.rows
        ],
        total=("total", "", "", part.liquid.digits, part.solid.digits, ""),
    )


def statement(made: Statement | None) -> Iterator[Any]:
    """A statement of none: who, when, for which days, how it was looked for."""
    if made is None:
        return
    days = f"{made.from_on or 'the beginning'} to {made.to_on}"
    about = f"{clean(made.about, 80)}: " if made.about else ""
    yield said(
        f"{about}Stated by {clean(made.stated_by, 80)} on {made.stated_on}, for {days}: "
        f"{clean(made.looked_how, 250)}."
    )


def _acres(report: AnnualReport) -> Iterator[Any]:
    plan, used = report.acres_in_plan, report.acres_used
    yield from item_heading("iv", room=130)
    yield facts(
        [
            ("Acres covered by the plan", full(plan.acres)),
            ("Fields", f"{plan.field_count}"),
            ("Plan version", plan.plan or "none in force"),
            ("Acres from", plan.basis or "not known"),
        ],
        WIDTH,
    )
    yield from item_heading("v", room=150)
    reported = "acres covered" if used.reported == "covered" else "acres of the fields"
    yield facts(
        [
            ("Reported here", f"{full(used.acres)} ({reported})"),
            ("Acres of the fields used", full(used.field_acres)),
            ("Acres covered by loads", full(used.covered_acres)),
            ("Fields used, each once", f"{used.field_count}"),
        ],
        WIDTH,
    )
    yield said(used.basis, "soft")
    if used.not_controlled:
        yield said(
            "Used, but not counted here, being neither owned, rented nor leased: "
            f"{'; '.join(used.not_controlled)}. See 122.23(b)(3)."
        )
    if used.outside_plan:
        yield said(
            f"Used, but not in the plan version in force: {'; '.join(used.outside_plan)}. "
            "See 122.42(e)(5) and (e)(6)(iii)(A)."
        )


def _discharges(report: AnnualReport) -> Iterator[Any]:
    part = report.discharges
    yield from item_heading("vi")
    if part.words:
        yield said(part.words)
    yield from statement(part.statement)
    if part.rows:
        yield ledger(
            [
                Column("day", 60),
                Column("time", 50),
                Column("approximate volume, gal", 80, right=True),
                Column("cause", 170),
                Column("where it went", WIDTH - 360),
            ],
            [
                (
                    f"{row.happened_on}",
                    row.time,
                    row.volume_words,
                    row.cause or "not entered",
                    row.receiving_water or "not entered",
                )
                for row in part.rows
            ],
        )


def _planner(report: AnnualReport) -> Iterator[Any]:
    part = report.planner
    yield from item_heading("vii", room=180)
    yield said(part.words)
    yield facts(
        [
            ("Developed or approved by a certified planner", part.answer),
            ("Plan version", part.plan or "none in force"),
            ("In force from", f"{part.in_force_from or 'not known'}"),
            ("Document dated", f"{part.document_dated or 'not entered'}"),
            ("Planner", part.planner or "not entered"),
            ("Certificate number", part.certificate or "not entered"),
        ],
        WIDTH,
    )
