"""The annual report: choose a period, read it, take it along as PDF or JSON."""

from __future__ import annotations

import datetime as dt

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _

from farmrecords.people.access import Seat, seated
from farmrecords.report.canonical import report_hash, to_json
from farmrecords.report.content import NothingToSee, build
from farmrecords.report.model import ITEMS, AnnualReport
from farmrecords.report.page import field_pictures
from farmrecords.report.pdf import render as render_pdf
from farmrecords.report.pdf.words import grouped_hash
from farmrecords.report.periods import LONGEST_DAYS, periods_of, trouble_with


@seated("see_report")
def report(request: HttpRequest, seat: Seat) -> HttpResponse:
    """Choose a period: one of the permit's, or any two days."""
    given = request.GET.get("first", ""), request.GET.get("last", "")
    trouble = ""
    if any(given):
        first, last = _day(given[0]), _day(given[1])
        trouble = _trouble(given, first, last)
        if first and last and not trouble:
            return redirect("report_period", seat.operation.slug, first, last)
    context = {"periods": periods_of(seat), "given": given, "trouble": trouble}
    return render(request, "report/choose.html", context, status=422 if trouble else 200)


@seated("see_report")
def report_period(request: HttpRequest, seat: Seat, first: str, last: str) -> HttpResponse:
    """The report of a period as a page."""
    made = _built(seat, first, last)
    context = {
        "report": made,
        "items": ITEMS,
        "pictures": field_pictures(made),
        "report_hash": grouped_hash(report_hash(made)),
        "history_hash": grouped_hash(made.history.hash),
        "asked": (_day(first), _day(last)),
    }
    return render(request, "report/report.html", context)


@seated("see_report")
def report_pdf(request: HttpRequest, seat: Seat, first: str, last: str) -> HttpResponse:
    """The same report on paper."""
    made = _built(seat, first, last)
    return _file(render_pdf(made), "application/pdf", f"{_file_name(seat, made)}.pdf")


@seated("see_report")
def report_json(request: HttpRequest, seat: Seat, first: str, last: str) -> HttpResponse:
    """The same report as canonical JSON, with its fingerprint."""
    made = _built(seat, first, last)
    return _file(to_json(made), "application/json", f"{_file_name(seat, made)}.json")


def _built(seat: Seat, first: str, last: str) -> AnnualReport:
    days = _day(first), _day(last)
    if days[0] is None or days[1] is None or trouble_with(days[0], days[1]):
        raise Http404
    try:
        return build(seat.operation, days[0], days[1], seat=seat)
    except NothingToSee as error:
        raise Http404 from error


def _day(text: str) -> dt.date | None:
    try:
        return parse_date(text.strip())
    except ValueError:
        return None


def _trouble(given: tuple[str, str], first: dt.date | None, last: dt.date | None) -> str:
    for text, day in zip(given, (first, last), strict=True):
        if day is None:
            return _("“%(text)s” is not a day. Enter it as year-month-day, e.g. 2026-04-22.") % {
                "text": text
            }
    what = trouble_with(first, last) if first and last else ""
    return {
        "": "",
        "last_before_first": _("The last day %(last)s is before the first day %(first)s.")
        % {"first": first, "last": last},
        "too_long": _("The period is longer than %(days)d days. Report it in parts.")
        % {"days": LONGEST_DAYS - 1},
    }[what]


def _file_name(seat: Seat, made: AnnualReport) -> str:
    return f"annual-report-{seat.operation.slug}-{made.cover.first_on}-{made.cover.last_on}-draft"


def _file(content: bytes, media_type: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=media_type)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, no-store"
    return response
