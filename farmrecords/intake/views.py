"""Pages of the intake: bring a file, see what it would do, answer, confirm, undo."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from farmrecords.formats.common import FormatError
from farmrecords.history.errors import FileChanged, NothingChanged, StaleRevision
from farmrecords.intake import service
from farmrecords.intake.forms import AnswerForm, ReasonForm, UploadForm
from farmrecords.intake.kinds import kind_named, kinds
from farmrecords.intake.models import IncomingFile, Work
from farmrecords.intake.service import NotTakenOver
from farmrecords.intake.tasks import has_many_rows, is_large, read_later, take_over_later
from farmrecords.people.access import Seat, record, records, seated

SHOWN_FILES = 50


@require_http_methods(["GET", "HEAD", "POST"])
@seated("import")
def bring(request: HttpRequest, seat: Seat) -> HttpResponse:
    """Choose a file; below, the files that came in before."""
    form = UploadForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        kind = kind_named(form.cleaned_data["kind"])
        file = form.cleaned_data["file"]
        assert kind is not None  # the form offers registered kinds alone
        if is_large(file.size):
            waiting = read_later(seat, kind, file.name, file.read())
            return redirect("work", op=seat.operation.slug, pk=waiting.pk)
        try:
            incoming = service.take_in(seat, kind, file.name, file.read())
        except FormatError as error:
            form.add_error("file", str(error))
        else:
            return redirect("incoming_file", op=seat.operation.slug, pk=incoming.pk)
    files = list(records(seat, IncomingFile).select_related("person")[:SHOWN_FILES])
    for incoming in files:
        known = kind_named(incoming.kind)
        incoming.kind_words = known.title if known else incoming.kind  # type: ignore[attr-defined]
    works = Work.objects.filter(operation=seat.operation, state__in=("waiting", "running"))
    context = {"form": form, "files": files, "kinds": kinds(), "works": works}
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "intake/bring.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@seated("import")
def incoming_file(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """What is in the file, what it asks, and what may be done with it."""
    incoming = record(seat, IncomingFile, pk)
    questions = service.questions_of(incoming) if incoming.state == "read" else []
    forms: dict[str, Any] = {
        "answer": AnswerForm(questions) if questions else None,
        "undo": ReasonForm() if incoming.state == "confirmed" else None,
    }
    status = 200
    if request.method == "POST":
        if _is_long(request, incoming):
            waiting = take_over_later(seat, incoming, _revision(request))
            return redirect("work", op=seat.operation.slug, pk=waiting.pk)
        done, forms = _done(request, seat, incoming, questions, forms)
        if done:
            return redirect("incoming_file", op=seat.operation.slug, pk=pk)
        status = 422
        incoming = record(seat, IncomingFile, pk)
    context = {
        "incoming": incoming,
        "kind": kind_named(incoming.kind),
        "report": incoming.report,
        "result": incoming.result,
        "answer_form": forms["answer"],
        "undo_form": forms["undo"],
        "is_ready": service.is_ready(incoming),
    }
    return render(request, "intake/incoming_file.html", context, status=status)


def _is_long(request: HttpRequest, incoming: IncomingFile) -> bool:
    """Whether the button asks for something that is done beside the pages."""
    return (
        request.POST.get("do") == "confirm"
        and request.POST.get("revision", "") == str(incoming.rev)
        and service.is_ready(incoming)
        and has_many_rows(incoming)
    )


@seated("import")
def work(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """How far long work is; the page asks again by itself until it is over."""
    found = Work.objects.filter(operation=seat.operation, pk=pk).select_related("file").first()
    if found is None:
        raise Http404
    return render(request, "intake/work.html", {"work": found})


def _done(
    request: HttpRequest,
    seat: Seat,
    incoming: IncomingFile,
    questions: list[Any],
    forms: dict[str, Any],
) -> tuple[bool, dict[str, Any]]:
    """Do what the button says; refusals become messages on the page."""
    try:
        return _acted(request, seat, incoming, questions, forms)
    except (NotTakenOver, FormatError, FileChanged) as refused:
        words = getattr(refused, "messages", None) or [str(refused)]
        for text in words:
            messages.error(request, text)
    except StaleRevision:
        messages.error(request, _("Somebody else worked on this file meanwhile. Look again."))
    except NothingChanged:
        messages.info(request, _("The answers are the same as before."))
    return False, forms


def _acted(
    request: HttpRequest,
    seat: Seat,
    incoming: IncomingFile,
    questions: list[Any],
    forms: dict[str, Any],
) -> tuple[bool, dict[str, Any]]:
    base_rev = _revision(request)
    act = request.POST.get("do", "")
    if act == "answer":
        form = AnswerForm(questions, request.POST)
        forms = forms | {"answer": form}
        if not form.is_valid():
            return False, forms
        service.answer(seat, incoming, form.answers, base_rev)
        return True, forms
    if act == "confirm":
        service.confirm(seat, incoming, base_rev)
        messages.success(request, _("The file is taken over."))
        return True, forms
    if act == "undo":
        why = ReasonForm(request.POST)
        forms = forms | {"undo": why}
        if not why.is_valid():
            return False, forms
        for words in service.undo(seat, incoming, base_rev, why.cleaned_data["reason"]):
            messages.warning(request, words)
        messages.success(request, _("The import is undone."))
        return True, forms
    raise NotTakenOver(_("Choose one of the buttons of the page."))


def _revision(request: HttpRequest) -> int:
    text = request.POST.get("revision", "")
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise NotTakenOver(_("The page is out of date. Open the file again."))
    return int(text)
