"""The report on paper, made from its content alone. Equal content gives equal bytes."""

from __future__ import annotations

import functools
import io

from django.utils import translation

from farmrecords.report.model import AnnualReport
from farmrecords.report.pdf.closing import certification_pages, findings_pages, narrative_pages
from farmrecords.report.pdf.fields import field_pages
from farmrecords.report.pdf.items import items
from farmrecords.report.pdf.opening import opening
from farmrecords.report.pdf.paper import NumberedCanvas, Paper


def render(report: AnnualReport) -> bytes:
    """The PDF of a report: a draft, without signature."""
    out = io.BytesIO()
    with translation.override("en"):
        story = [
            *opening(report),
            *items(report),
            *field_pages(report),
            *narrative_pages(report.narrative, report.cover.is_narrative),
            *certification_pages(report.certification),
            *findings_pages(report),
        ]
        Paper(out, report).multiBuild(
            story, canvasmaker=functools.partial(NumberedCanvas, report=report)
        )
    return out.getvalue()
