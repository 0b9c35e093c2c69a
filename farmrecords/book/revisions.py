"""The revision a form was opened at, and both versions when somebody else was faster.

A refused form goes back with the revision it was sent with. Only where the page shows what the
other person wrote does the form take the newer revision.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext as _

from farmrecords.book.history_lines import lines_of
from farmrecords.history.recorded import Recorded


def opened_at(request: HttpRequest) -> int:
    """The revision the form was opened at; a form without one counts as opened long ago."""
    text = request.POST.get("revision", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def revision_of(request: HttpRequest, obj: Recorded) -> int:
    """The revision the page's form carries: as posted, and the record's own on first opening."""
    return opened_at(request) if request.method == "POST" else obj.rev


def changed_since(request: HttpRequest, obj: Recorded) -> dict[str, Any]:
    """What others wrote after the form was opened, for the page; the form then stands on it."""
    return {"later": lines_of(obj, after=opened_at(request)), "rev": obj.rev}


def both_versions(form: forms.BaseForm, theirs: dict[str, Any]) -> list[tuple[Any, str, str]]:
    """(label, recorded now, yours) for every entry of the form in which they differ."""
    rows = []
    for name, field in form.fields.items():
        other, mine = _said(field, theirs.get(name)), _said(field, form.cleaned_data.get(name))
        if mine != other:
            rows.append((field.label, other, mine))
    return rows


def _said(field: forms.Field, value: Any) -> str:
    """A value of the form as a person reads it; nothing entered is a dash."""
    if value is None or value in ("", []):
        return "—"
    for kind, words in WORDS:
        if isinstance(field, kind):
            return words(field, value)
    if isinstance(value, dt.datetime):
        local = timezone.localtime(value) if timezone.is_aware(value) else value
        return f"{local:%Y-%m-%d %H:%M}"
    return str(value)


def _record(field: Any, value: Any) -> str:
    found = field.queryset.filter(pk=getattr(value, "pk", value)).first()
    return str(found) if found else "—"


def _choice(field: Any, value: Any) -> str:
    return str(dict(field.choices).get(value, value))


def _choices(field: Any, value: Any) -> str:
    return ", ".join(_choice(field, one) for one in value)


def _number(_field: Any, value: Any) -> str:
    return f"{value.normalize():f}"


def _yes_no(_field: Any, value: Any) -> str:
    return _("yes") if value else _("no")


WORDS: list[tuple[type[forms.Field], Callable[[Any, Any], str]]] = [
    (forms.ModelChoiceField, _record),
    (forms.MultipleChoiceField, _choices),
    (forms.ChoiceField, _choice),
    (forms.BooleanField, _yes_no),
    (forms.DecimalField, _number),
]
