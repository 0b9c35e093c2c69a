"""What the crew reads: its pages, the words they are made of, and a farm to read about."""

from __future__ import annotations

import datetime as dt
import html
import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django.test import Client
from django.urls import reverse

from farmrecords.people.models import Person
from farmrecords.plan.models import Job
from tests import builders
from tests.house.rooms import ROOT

TODAY = dt.date(2026, 4, 22)
NOW = dt.datetime(2026, 4, 22, 16, tzinfo=dt.UTC)

# Templates that the crew and haulers never open (the table of roles).
OFFICE = {"tests", "manure_test", "enter_manure_test", "decide"}
ROOMS = ("people", "loads", "farm", "findings", "book", "templatetags")


def is_for_the_crew(source: str) -> bool:
    """Whether a source file holds words that the crew may read."""
    room, _, rest = source.removeprefix("templates/").partition("/")
    if source.startswith("templates/"):
        return room in ("base.html", "shared", "people") or (
            room == "book" and rest.removesuffix(".html") not in OFFICE
        )
    return source.split("/")[1] in ROOMS


def crew_templates() -> Iterator[str]:
    """The text of every template the crew may open."""
    for path in sorted((ROOT / "templates").rglob("*.html")):
        if is_for_the_crew(str(path.relative_to(ROOT))):
            yield path.read_text(encoding="utf-8")


class Farm:
    """A farm with one person of the crew, whose names are in no language of the pages."""

    def __init__(self) -> None:
        self.operation = builders.make_operation("xyz", name="Qqq")
        self.person: Person = builders.make_person("zuzu", language="es")
        self.member = builders.make_member(self.operation, "crew", self.person)
        self.field = builders.make_field(self.operation)
        self.pit = builders.make_storage(self.operation, "Vvv", depth_ft=Decimal(12))
        self.spreader = builders.make_spreader(self.operation)
        stream = {"type": "LineString", "coordinates": [[-89.5005, 42.999], [-89.5005, 43.005]]}
        builders.make_feature(self.operation, "stream_perennial", stream)
        builders.save(
            Job(
                operation=self.operation,
                membership=self.member,
                storage=self.pit,
                first_on=TODAY,
                last_on=TODAY,
                field_ids=[str(self.field.pk)],
            )
        )
        self.load = builders.make_load(
            self.field, self.pit, TODAY, person=self.person, area_ac=Decimal(4), ground="wet"
        )

    def client(self) -> Client:
        """The browser of the person, as after signing in."""
        client = Client()
        client.force_login(self.person)
        client.cookies["django_language"] = "es"
        return client

    def pages(self) -> dict[str, str]:
        """Every page of the crew with its address."""
        op, load, pit = self.operation.slug, self.load.pk, self.pit.pk
        named: dict[str, list[Any]] = {
            "start": [op], "fields": [op], "field_year": [op, self.field.pk, 2026],
            "loads": [op], "load": [op, load], "enter_load": [op], "amend_load": [op, load],
            "storages": [op], "storage": [op, pit], "enter_level": [op, pit],
            "ground": [op, self.field.pk], "coverage": [op], "rule": [op, "VT-W-2"],
        }  # fmt: skip
        found = {name: reverse(name, args=args) for name, args in named.items()}
        asked = f"storage={self.pit.pk}&method=surface&amount_text=6500&amount_unit=gal"
        found["may_i_spread"] = (
            reverse("may_i_spread", args=[self.operation.slug])
            + f"?{asked}&on=2026-04-22&ground=frozen"
        )
        return found


def visible(page: str) -> str:
    """The words of a page: text, and the attributes that are read out or shown."""
    page = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.S)
    page = re.sub(r'<button name="language".*?</button>', " ", page, flags=re.S)
    page = re.sub(
        r'<(pre|span|dd|td)\b[^>]* lang="en".*?</\1>', " ", page, flags=re.S
    )  # says so itself
    shown = re.findall(
        r'(?:aria-label|title|placeholder|data-zoom-\w+|data-failed)="([^"]*)"', page
    )
    text = re.sub(r"<[^>]+>", "\n", page)
    return html.unescape("\n".join([text, *shown]))
