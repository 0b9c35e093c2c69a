"""The sheet of the PDF: running head, foot with the history mark, page x of y, contents, outline.

Built with fixed metadata and dates, so that equal content gives equal bytes. There are links to
places in the same file and none to anywhere else.
"""

from __future__ import annotations

from typing import Any

import segno
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate, Paragraph, TableStyle
from reportlab.platypus.tableofcontents import TableOfContents

from farmrecords.report.canonical import anchor_text, report_hash
from farmrecords.report.model import AnnualReport
from farmrecords.report.pdf.face import (
    BOLD,
    FONT,
    FOOT,
    HEAD,
    INK,
    MARGIN,
    PAGE,
    RULE,
    SMALL_SIZE,
    SOFT,
    WIDTH,
    register_fonts,
    style,
)
from farmrecords.report.pdf.words import clean, grouped_hash, outline_words, wrapped

DRAFT = "Draft, not signed"
PROVES = (
    "Held by someone else, this mark proves that the entries up to the number shown were not "
    "changed, put in or taken out afterwards. It does not prove that a record is true, nor that "
    "everything was recorded."
)
CAUTION = (
    "Local codes, the permit and licensed practice decide. The report says what was checked and "
    "what was found; what was not checked, or could not be told, is not thereby in order."
)
QR_SIDE = 66.0
FOOT_SIZE = 6.2
TIGHT = [
    ("FONT", (0, 0), (-1, -1), FONT),
    ("TOPPADDING", (0, 0), (-1, -1), 0.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0.5),
]


class Paper(BaseDocTemplate):
    """The document: one frame, and a list of contents filled from the headings."""

    def __init__(self, out: Any, report: AnnualReport) -> None:
        register_fonts()
        super().__init__(
            out,
            pagesize=PAGE,
            leftMargin=MARGIN,
            rightMargin=MARGIN,
            topMargin=MARGIN + HEAD,
            bottomMargin=MARGIN / 2 + FOOT,
            title="Annual report of manure, litter and process wastewater, draft",
            author="the operation named on the cover",
            subject=anchor_text(report),
            creator="farmrecords",
            producer="farmrecords",
            lang="en-US",
            invariant=1,
            initialFontName=FONT,
        )
        frame = Frame(
            MARGIN,
            MARGIN / 2 + FOOT,
            WIDTH,
            PAGE[1] - 1.5 * MARGIN - FOOT - HEAD + MARGIN / 2,
            leftPadding=0,
            rightPadding=0,
            topPadding=10,
            bottomPadding=0,
        )
        self.addPageTemplates(PageTemplate("page", [frame]))
        self.headings = 0

    def handle_documentBegin(self) -> None:
        """Begin a pass: headings are counted anew."""
        self.headings = 0
        super().handle_documentBegin()

    def afterFlowable(self, flowable: Any) -> None:
        """Enter a heading into the outline, and an item into the contents."""
        level = getattr(flowable, "outline_level", None)
        if level is None:
            return
        self.headings += 1
        key = f"part-{self.headings}"
        words = outline_words(flowable.getPlainText())
        self.canv.bookmarkPage(key)
        self.canv.addOutlineEntry(words, key, level, closed=level > 0)
        if flowable.is_listed:
            self.notify("TOCEntry", (level, _escaped(flowable), self.page, key))


def _escaped(flowable: Any) -> str:
    """A heading's own markup, already escaped when it was made."""
    return flowable.heading_markup


def heading(markup: str, kind: str, level: int) -> Paragraph:
    """A heading of `markup`, escaped text: an item enters contents and outline, a part the outline.

    The rules alone would fill pages of contents.
    """
    made = Paragraph(markup, style(kind))
    made.outline_level = level
    made.is_listed = kind == "item"
    made.heading_markup = markup
    return made


def contents() -> TableOfContents:
    """The list of contents with links."""
    made = TableOfContents(dotsMinLevel=0)
    # its rows are set in a table of the library's own, whose first font is not embedded
    made.tableStyle = TableStyle([*made.tableStyle.getCommands(), *TIGHT])
    made.levelStyles = [style("contents"), style("contents_inner")]
    return made


class NumberedCanvas(Canvas):
    """A canvas that knows the number of pages before it draws their heads and feet."""

    def __init__(self, *args: Any, report: AnnualReport, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._report = report
        self._states: list[dict[str, Any]] = []

    def showPage(self) -> None:
        """Keep the page; it is finished when their number is known."""
        self._states.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Finish every page and write the file."""
        edge = Edge(self._report)
        for number, state in enumerate(self._states, start=1):
            self.__dict__.update(state)
            edge.draw(self, number, len(self._states))
            super().showPage()
        super().save()


class Edge:
    """What stands at the edge of every page of one report."""

    def __init__(self, report: AnnualReport) -> None:
        cover, head = report.cover, report.history
        self.operation = clean(cover.operation, 80)
        self.period = f"{cover.first_on} to {cover.last_on}"
        at = f"{head.at:%Y-%m-%d %H:%M:%S} UTC" if head.at else "no moment"
        self.lines = (
            f"History {head.log[:8]}, entry {head.seq}, {at}",
            f"entry hash   {grouped_hash(head.hash)}",
            f"report hash  {grouped_hash(report_hash(report))}",
        )
        width = WIDTH - QR_SIDE - 10
        self.small = [
            line
            for words in (PROVES, CAUTION)
            for line in wrapped(words, width, FONT, FOOT_SIZE, 4).split("\n")
        ]
        self.modules = segno.make(anchor_text(report), error="l", boost_error=False).matrix

    def draw(self, canvas: Canvas, number: int, pages: int) -> None:
        """Draw head and foot of one page."""
        self._head(canvas)
        self._foot(canvas, number, pages)

    def _head(self, canvas: Canvas) -> None:
        top = PAGE[1] - MARGIN + 8
        canvas.setFillColor(INK)
        canvas.setFont(BOLD, SMALL_SIZE)
        canvas.drawString(MARGIN, top, wrapped(self.operation, WIDTH * 0.5, BOLD, SMALL_SIZE, 1))
        canvas.drawRightString(PAGE[0] - MARGIN, top, DRAFT)
        canvas.setFillColor(SOFT)
        canvas.setFont(FONT, SMALL_SIZE)
        canvas.drawString(MARGIN, top - 11, f"Annual report, {self.period}")
        canvas.drawRightString(PAGE[0] - MARGIN, top - 11, "40 CFR 122.42(e)(4)")
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.8)
        canvas.line(MARGIN, top - 17, PAGE[0] - MARGIN, top - 17)

    def _foot(self, canvas: Canvas, number: int, pages: int) -> None:
        bottom, left = MARGIN / 2, MARGIN + QR_SIDE + 10
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.4)
        canvas.line(MARGIN, bottom + QR_SIDE + 10, PAGE[0] - MARGIN, bottom + QR_SIDE + 10)
        self._mark(canvas, MARGIN, bottom)
        canvas.setFillColor(INK)
        canvas.setFont(FONT, FOOT_SIZE)
        y = bottom + QR_SIDE - 4
        canvas.drawRightString(PAGE[0] - MARGIN, y, f"page {number} of {pages}")
        for line in self.lines:
            canvas.drawString(left, y, line)
            y -= FOOT_SIZE * 1.3
        canvas.setFillColor(SOFT)
        y -= 2
        for line in self.small:
            canvas.drawString(left, y, line)
            y -= FOOT_SIZE * 1.25

    def _mark(self, canvas: Canvas, left: float, bottom: float) -> None:
        if canvas.hasForm("history-mark"):
            canvas.doForm("history-mark")
            return
        canvas.beginForm("history-mark")
        canvas.setFillColor(INK)
        side = QR_SIDE / len(self.modules)
        path = canvas.beginPath()
        for row, modules in enumerate(self.modules):
            for column, dark in enumerate(modules):
                if dark:
                    path.rect(left + column * side, bottom + QR_SIDE - (row + 1) * side, side, side)
        canvas.drawPath(path, stroke=0, fill=1)
        canvas.endForm()
        canvas.doForm("history-mark")
