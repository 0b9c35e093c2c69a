"""Tables as in a ledger: units in the heading, figures right, one line of ink, a double under it.

Every cell is a plain string broken to its column, so nothing typed is read as markup and nothing
is clipped.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus import CondPageBreak, Table

from farmrecords.report.pdf.face import BOLD, FONT, INK, PAGE, RULE, SOFT
from farmrecords.report.pdf.words import wrapped

CELL_SIZE = 8.0
HEADING_SIZE = 7.2
GUTTER = 8.0
MOST_LINES = 14
SHORT_TABLE = 200.0


@dataclass(frozen=True)
class Column:
    """A column: its heading with the unit, its width in points, and where its text stands."""

    heading: str
    width: float
    right: bool = False


def ledger(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    *,
    total: Sequence[str] | None = None,
    repeat: bool = True,
) -> Table:
    """A table; the heading is repeated on each page, a total stands above a double line."""
    widths = [column.width - GUTTER for column in columns]
    head = [
        wrapped(c.heading, w, FONT, HEADING_SIZE, 4) for c, w in zip(columns, widths, strict=True)
    ]
    cells = [[_cell(text, w) for text, w in zip(row, widths, strict=True)] for row in rows]
    if total is not None:
        cells.append([_cell(t, w, BOLD) for t, w in zip(total, widths, strict=True)])
    table = Table(
        [head, *cells],
        colWidths=[column.width for column in columns],
        repeatRows=1 if repeat else 0,
        spaceBefore=3,
        spaceAfter=8,
        hAlign="LEFT",
    )
    table.setStyle(_style(columns, total is not None))
    return table


def _cell(text: str, width: float, font: str = FONT) -> str:
    return wrapped(text, width, font, CELL_SIZE, MOST_LINES)


def _style(columns: Sequence[Column], has_total: bool) -> list[tuple]:
    commands: list[tuple] = [
        ("FONT", (0, 0), (-1, -1), FONT, CELL_SIZE, CELL_SIZE * 1.25),
        ("FONT", (0, 0), (-1, 0), FONT, HEADING_SIZE, HEADING_SIZE * 1.2),
        ("TEXTCOLOR", (0, 0), (-1, -1), INK),
        ("TEXTCOLOR", (0, 0), (-1, 0), SOFT),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), GUTTER),
        ("TOPPADDING", (0, 0), (-1, -1), 2.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.8),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, INK),
        ("LINEBELOW", (0, 1), (-1, -1), 0.3, RULE),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
    ]
    for i, column in enumerate(columns):
        if column.right:
            commands.append(("ALIGN", (i, 0), (i, -1), "RIGHT"))
    if has_total:
        commands += [
            ("FONT", (0, -1), (-1, -1), BOLD, CELL_SIZE, CELL_SIZE * 1.25),
            ("LINEABOVE", (0, -1), (-1, -1), 0.8, INK),
            ("LINEBELOW", (0, -1), (-1, -1), 0.6, INK, None, None, None, 2, 1.6),
        ]
    return commands


def room_for(table: Table, above: float) -> CondPageBreak:
    """A page break unless heading and the beginning of the table fit; a short table stays whole."""
    table.wrap(PAGE[0], PAGE[1])
    heights = [height or 0.0 for height in table._rowHeights]
    whole = sum(heights)
    return CondPageBreak(above + (whole if whole <= SHORT_TABLE else sum(heights[:3])))


def facts(
    pairs: Sequence[tuple[str, str]],
    width: float,
    label_width: float = 150.0,
    row_height: float | None = None,
) -> Table:
    """Names beside their values, a fine rule between; a height leaves room to write by hand."""
    value_width = width - label_width
    rows = [
        [
            wrapped(name, label_width - GUTTER, FONT, CELL_SIZE, MOST_LINES),
            wrapped(value, value_width - GUTTER, FONT, CELL_SIZE, 6),
        ]
        for name, value in pairs
    ]
    table = Table(
        rows,
        colWidths=[label_width, value_width],
        rowHeights=row_height,
        hAlign="LEFT",
        spaceBefore=3,
        spaceAfter=6,
    )
    table.setStyle(
        [
            ("FONT", (0, 0), (-1, -1), FONT, CELL_SIZE, CELL_SIZE * 1.3),
            ("TEXTCOLOR", (0, 0), (0, -1), SOFT),
            ("TEXTCOLOR", (1, 0), (1, -1), INK),
            ("VALIGN", (0, 0), (-1, -1), "BOTTOM" if row_height else "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), GUTTER),
            ("TOPPADDING", (0, 0), (-1, -1), 2.2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.8),
            ("LINEBELOW", (0, 0), (-1, -1), 0.3, INK if row_height else RULE),
        ]
    )
    return table
