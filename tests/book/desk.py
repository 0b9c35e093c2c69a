"""An office at its desk: one farm, and a browser signed in, for the tests of the book's pages."""

from __future__ import annotations

import datetime as dt
import html
import re
from typing import Any

from django.forms import MultipleChoiceField
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from farmrecords.history.models import Log
from farmrecords.loads.models import Load
from tests import builders

NOW = dt.datetime(2026, 4, 22, 16, tzinfo=dt.UTC)  # 12:00 at the farm
TODAY = dt.date(2026, 4, 22)


class Desk:
    """The farm with two fields, a pit with a test and a spreader; pages as its office sees them."""

    def __init__(self, role: str = "office") -> None:
        self.operation = builders.make_operation("here")
        self.person = builders.make_person("ana")
        builders.make_member(self.operation, role, self.person)
        self.field = builders.make_field(self.operation)
        self.other = builders.make_field(self.operation)
        self.pit = builders.make_storage(self.operation)
        self.test = builders.make_manure_test(self.pit, dt.date(2026, 3, 1))
        self.spreader = builders.make_spreader(
            self.operation, rated_load_text="6000", rated_load_unit="gal"
        )
        self.client = Client()
        self.client.force_login(self.person)

    def url(self, name: str, *rest: Any) -> str:
        return reverse(name, args=[self.operation.slug, *rest])

    def get(self, name: str, *rest: Any, **query: Any) -> str:
        """A page as text, entities resolved, runs of white space made one."""
        answer = self.client.get(self.url(name, *rest), query)
        assert answer.status_code == 200, (name, answer.status_code)
        return words_of(answer)

    def post(self, name: str, *rest: Any, **data: Any) -> Any:
        return self.client.post(self.url(name, *rest), data)

    def form(self, **values: Any) -> dict[str, Any]:
        return {
            "started": "2026-04-22T09:30",
            "ended": "2026-04-22T09:42",
            "amount_text": "6,500",
            "amount_unit": "gal",
            "measured_by": "rated",
            "field_1": str(self.field.pk),
            "storage_1": str(self.pit.pk),
            "spreader": str(self.spreader.pk),
            "method": "surface",
            "ground": "dry",
            "origin": "own",
        } | values

    def enter(self, **values: Any) -> Load:
        """Enter a load through the page and return it."""
        known = set(Load.objects.values_list("pk", flat=True))
        answer = self.post("enter_load", **self.form(**values))
        assert answer.status_code == 302, dict(answer.context["form"].errors)
        load = Load.objects.exclude(pk__in=known).get()
        assert answer["Location"] == self.url("load", load.pk)
        return load

    def head(self) -> tuple[int, str]:
        log = Log.objects.get(pk=self.operation.log_id)
        return log.head_seq, log.head_hash

    def form_as_shown(self, name: str, *rest: Any) -> dict[str, Any]:
        """What the browser would send back if nothing were touched."""
        answer = self.client.get(self.url(name, *rest))
        found: dict[str, Any] = {}
        for form in (answer.context[key] for key in ("form", "reason") if key in answer.context):
            for field in form:
                with timezone.override(self.operation.zone):
                    value = field.value()
                if isinstance(field.field, MultipleChoiceField):
                    if value:
                        found[field.html_name] = list(value)
                    continue
                shown = field.field.widget.format_value(value) if value is not None else ""
                shown = shown[0] if isinstance(shown, list) and shown else shown
                if value not in (None, "") and value is not False:
                    found[field.html_name] = str(shown)
        if "rev" in answer.context:
            found["revision"] = str(answer.context["rev"])
        return found


def words_of(answer: Any) -> str:
    """A page as text, entities resolved, runs of white space made one."""
    return re.sub(r"\s+", " ", html.unescape(answer.content.decode()))
