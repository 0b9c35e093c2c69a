"""One form is recorded once, however often its button is pressed.

The page that opens a form gives it a number, which goes back with it as `client_op`, through every
refusal::

    @seated("enter_level")
    @sent_once
    def enter_level(request, seat, pk):
        form = LevelForm(sent(request))
        sending = Sending(request, seat, lambda _pk: page_of_the_storage)
        if sending.is_due(form):
            try:
                with sending.change("web") as change:
                    change.create(level, reason_code="entry")
            ...
        return render(request, page, {"form": form, "sending": sending})

The same form again leads to the page of what it recorded first; other content under its number is
refused, and the form then has a new one. A form without a number counts as a new one.
"""

from __future__ import annotations

import functools
import hashlib
import json
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from farmrecords.history import write
from farmrecords.history.errors import RepeatedDifferently
from farmrecords.history.models import Entry
from farmrecords.people.access import Seat

# No content; a password leaves no trace, not even in a hash.
OUTSIDE = ("client_op", "csrfmiddlewaretoken", "password")


class SentBefore(Exception):
    """The form came before; `url` shows what it recorded."""

    def __init__(self, url: str) -> None:
        self.url = url
        super().__init__(f"This form came before; see {url}.")


class Sending:
    """The number of one opened form; `leads_to` is the address of a record it made.

    `first_url` is set when the number stands for other content.
    """

    def __init__(
        self, request: HttpRequest, seat: Seat, leads_to: Callable[[uuid.UUID], str]
    ) -> None:
        self.request, self.seat, self.leads_to = request, seat, leads_to
        self.client_op = _number(request.POST.get("client_op", "")) or uuid.uuid4()
        self.first_url = ""

    def is_due(self, form: forms.BaseForm) -> bool:
        """Whether the form was sent, for the first time, and can be taken; else it says why not.

        Raises SentBefore for the same form again.
        """
        if self.request.method != "POST":
            return False
        first = self._first()
        if first is None:
            return form.is_valid()
        try:
            with self.change("web"):
                pass
        except RepeatedDifferently:
            form.full_clean()
            form.add_error(None, _other_content())
            if first.actor == f"u:{self.seat.actor.id}":
                self.first_url = self.leads_to(first.obj_id)
            self.client_op = uuid.uuid4()
        return False

    @contextmanager
    def change(self, channel: str) -> Iterator[write.Change]:
        """A change under this number. Raises SentBefore when it was written in the meantime."""
        with write.change(
            by=self.seat.actor, channel=channel, client_op=self.client_op, payload=self._content()
        ) as change:
            if change.sent_before(self.seat.operation.log_id):
                first = self._first()
                raise SentBefore(self.leads_to(first.obj_id) if first else self.request.path)
            yield change

    def _first(self) -> Entry | None:
        log = self.seat.operation.log_id
        return Entry.objects.filter(log=log, client_op=self.client_op).first()

    def _content(self) -> str:
        """SHA-256 of what was sent, and to which page."""
        posted = {name: value for name, value in self.request.POST.lists() if name not in OUTSIDE}
        text = json.dumps([self.request.path, posted], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()


def sent_once(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Lead the same form sent again to what it recorded first. Stands below `seated`."""

    @functools.wraps(view)
    def once(request: HttpRequest, seat: Seat, **kwargs: object) -> HttpResponse:
        try:
            return _in_turn(view, request, seat, **kwargs)
        except SentBefore as told:
            messages.info(
                request, _("This form was sent before. It is recorded once; here is the record.")
            )
            return redirect(told.url)

    return once


def _in_turn(
    view: Callable[..., HttpResponse], request: HttpRequest, seat: Seat, **kwargs: object
) -> HttpResponse:
    """The view; once more when another sending under the number was faster by a moment."""
    try:
        return view(request, seat, **kwargs)
    except RepeatedDifferently:
        return view(request, seat, **kwargs)


def _other_content() -> str:
    return _(
        "This form was sent before with other content, and what it said then is recorded. To "
        "correct that record, amend it there. If this is one more, check it and send it again."
    )


def _number(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None
