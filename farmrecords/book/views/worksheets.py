"""Hand calculators: every worksheet with its inputs, its steps, and a sheet to print."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from farmrecords.book.worksheet_form import WorksheetForm
from farmrecords.book.worksheet_pictures import picture_of
from farmrecords.calculations.worksheet import (
    WorksheetError,
    WorksheetKind,
    list_worksheets,
    plain,
    worksheet_named,
)
from farmrecords.people.access import Seat, seated
from farmrecords.templatetags.figures import measure


@seated("see_measurements")
def worksheets(request: HttpRequest, seat: Seat) -> HttpResponse:
    """All worksheets by title."""
    kinds = sorted(list_worksheets(), key=lambda kind: kind.title)
    return render(request, "book/worksheets.html", {"kinds": kinds})


@seated("see_measurements")
def worksheet_page(request: HttpRequest, seat: Seat, name: str) -> HttpResponse:
    """One worksheet filled by hand: the steps with sources, or why it refuses."""
    try:
        kind = worksheet_named(name)
    except WorksheetError as error:
        raise Http404 from error
    asked = bool(request.GET)
    form = WorksheetForm(kind, request.GET if asked else None)
    context: dict[str, Any] = {"kind": kind, "form": form}
    if asked and form.is_valid():
        try:
            sheet = kind.run(form.inputs())
        except WorksheetError as refused:
            form.add_error(None, str(refused))
        else:
            context |= {
                "worksheet": sheet,
                "results": _results(kind, sheet.outputs),
                "picture": picture_of(sheet),
            }
    status = 422 if asked and "worksheet" not in context else 200
    return render(request, "book/worksheet.html", context, status=status)


def _results(kind: WorksheetKind, outputs: Any) -> list[tuple[str, Any, str]]:
    """Meaning, value and unit of each result; groups of figures as one line each."""
    rows: list[tuple[str, Any, str]] = []
    for one in kind.outputs:
        value, unit = plain(outputs.get(one.name)), measure(one.unit)
        if isinstance(value, dict):
            rows += [(f"{one.meaning}: {key}", item, unit) for key, item in value.items()]
        else:
            rows.append((one.meaning or one.name.replace("_", " "), value, unit))
    return rows
