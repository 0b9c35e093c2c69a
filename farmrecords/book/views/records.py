"""One set of pages for every kind of record: register, record, enter, amend, void."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from farmrecords.book import farm_findings, record_cells
from farmrecords.book.correcting import amended, voided
from farmrecords.book.forms import sent
from farmrecords.book.history_lines import lines_of
from farmrecords.book.record_form import RecordForm, form_class
from farmrecords.book.record_kind import Kind
from farmrecords.book.record_kinds import GROUPS, KINDS
from farmrecords.book.revisions import revision_of
from farmrecords.book.sending import Sending, sent_once
from farmrecords.book.views.entry import ReasonForm
from farmrecords.history.recorded import Recorded
from farmrecords.loads.models import Transfer
from farmrecords.people.access import Seat, record, records, seated

PAGE = 100


def _kind(seat: Seat, slug: str, writes: bool = False) -> Kind:
    """The kind, if the seat may see it (or write it); otherwise the same 404 as for none."""
    kind = KINDS.get(slug)
    if kind is None or not seat.may(kind.write if writes else kind.see):
        raise Http404
    return kind


@seated("see_whole_log")
def registers(request: HttpRequest, seat: Seat) -> HttpResponse:
    """The registers that the seat may open, in the order of the work."""
    groups = [
        (words, [kind for kind in KINDS.values() if kind.group == name and seat.may(kind.see)])
        for name, words in GROUPS.items()
    ]
    context = {"groups": [(words, kinds) for words, kinds in groups if kinds]}
    return render(request, "book/registers.html", context)


@seated("see_whole_log")
def register(request: HttpRequest, seat: Seat, kind: str) -> HttpResponse:
    """One register, newest first, void ones struck out; by year where records have a day."""
    what = _kind(seat, kind)
    rows = records(seat, what.model).select_related(*what.links)
    years: list[int] = []
    year = None
    if what.day:
        years = [day.year for day in rows.dates(what.day, "year", order="DESC")]
        asked = request.GET.get("year", "")
        year = int(asked) if asked.isascii() and asked.isdigit() and int(asked) in years else None
        year = year or next(iter(years), None)
        if year:
            rows = rows.filter(**{f"{what.day}__year": year})
    meta: Any = what.model._meta
    order = what.order or ([f"-{what.day}"] if what.day else meta.ordering)
    page = Paginator(rows.order_by(*order, "pk"), PAGE).get_page(request.GET.get("page"))
    context = {
        "kind": what,
        "heads": [record_cells.head(what, column) for column in what.columns],
        "rows": [(row, [record_cells.cell(row, c) for c in what.columns]) for row in page],
        "page": page,
        "years": years if len(years) > 1 else [],
        "year": year,
        "may_enter": seat.may(what.write),
    }
    return render(request, "book/register.html", context)


@seated("see_whole_log")
def one_record(request: HttpRequest, seat: Seat, kind: str, pk: uuid.UUID) -> HttpResponse:
    """One record with all it says and its history."""
    what = _kind(seat, kind)
    found = record(seat, what.model, pk, _rows(seat, what))
    why_not = what.closed(seat, found)
    context = {
        "kind": what,
        "record": found,
        "title": what.title_of(found),
        "facts": record_cells.facts(what, found),
        "history": lines_of(found),
        "why_not": why_not if seat.may(what.write) else "",
        "may_enter": seat.may(what.write) and not found.voided and not why_not,
    }
    if isinstance(found, Transfer):
        context |= farm_findings.of_transfer(seat, found)
    return render(request, "book/record.html", context)


def _rows(seat: Seat, what: Kind) -> Any:
    return records(seat, what.model).select_related(*what.links)


@seated("see_whole_log")
@sent_once
def enter_record(request: HttpRequest, seat: Seat, kind: str) -> HttpResponse:
    """Enter one record of the kind."""
    what = _kind(seat, kind, writes=True)
    model: Any = what.model
    new = model(operation=seat.operation, **what.fill(seat))
    form = form_class(kind)(sent(request), seat=seat, instance=new, initial=what.initial(seat))
    sending = Sending(request, seat, lambda pk: _page_of(seat, what, pk))
    if sending.is_due(form):
        try:
            _create(sending, form)
        except ValidationError as problem:
            form.add_problem(problem)
        else:
            _tell(request, new)
            return redirect(_page_of(seat, what, new.pk))
    context = {"form": form, "kind": what, "sending": sending}
    return render(request, "book/enter_record.html", context)


def _page_of(seat: Seat, what: Kind, pk: uuid.UUID) -> str:
    """The page of a record, or its register where the seat may not see the record itself."""
    if records(seat, what.model).filter(pk=pk).exists():
        return reverse("record_page", args=[seat.operation.slug, what.slug, pk])
    return reverse("register", args=[seat.operation.slug, what.slug])


def _create(sending: Sending, form: RecordForm) -> None:
    with sending.change("web") as change:
        form.before_writing()
        change.create(form.instance, reason_code="entry")
        for row in form.followers():
            change.create(row, reason_code="entry")


def _tell(request: HttpRequest, new: Recorded) -> None:
    if new.voided:
        messages.warning(
            request,
            _("The period of that day is filed: the record is kept and waits for the owner."),
        )
    else:
        messages.success(request, _("It is recorded."))


def _to_change(seat: Seat, slug: str, pk: uuid.UUID) -> tuple[Kind, Any]:
    """The kind and a record of it that the seat may change; otherwise 404."""
    what = _kind(seat, slug, writes=True)
    found = record(seat, what.model, pk, _rows(seat, what))
    if found.voided or what.closed(seat, found):
        raise Http404
    return what, found


@seated("see_whole_log")
def amend_record(request: HttpRequest, seat: Seat, kind: str, pk: uuid.UUID) -> HttpResponse:
    """Correct a record with a reason; who was slower sees both versions."""
    what, found = _to_change(seat, kind, pk)
    context: dict[str, Any] = {
        "kind": what,
        "record": found,
        "title": what.title_of(found),
        "rev": revision_of(request, found),
    }
    form = form_class(kind)(sent(request), seat=seat, instance=record(seat, what.model, pk))
    reason = ReasonForm(sent(request))
    done, shown = amended(request, seat, found, form, reason)
    if done:
        messages.success(request, _("It is amended; both versions stay in its history."))
        return redirect("record_page", op=seat.operation.slug, kind=kind, pk=pk)
    context |= shown
    return render(request, "book/amend_record.html", context | {"form": form, "reason": reason})


@seated("see_whole_log")
def void_record(request: HttpRequest, seat: Seat, kind: str, pk: uuid.UUID) -> HttpResponse:
    """Take a record back with a reason; it stays in the register, struck out."""
    what, found = _to_change(seat, kind, pk)
    reason = ReasonForm(sent(request))
    context: dict[str, Any] = {
        "kind": what,
        "record": found,
        "title": what.title_of(found),
        "reason": reason,
        "rev": revision_of(request, found),
    }
    done, shown = voided(request, seat, found, reason)
    if done:
        messages.success(request, _("It is void and counts no longer. It stays in the list."))
        return redirect("record_page", op=seat.operation.slug, kind=kind, pk=pk)
    context |= shown
    return render(request, "book/void_record.html", context)
