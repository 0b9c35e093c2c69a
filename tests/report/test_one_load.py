"""One load followed from the entry form to the PDF: the same numbers everywhere, for each role.

6,500 gal on 2.5 ac with 25 lb N and 12 lb P2O5 per 1,000 gal: 2,600 gal/ac, 162.5 lb N, 78.0 lb
P2O5 (arithmetic: 6.5 x 25, 6.5 x 12, 6,500 / 2.5).
"""

from __future__ import annotations

import datetime as dt
import html
import io
import re
from decimal import Decimal
from typing import Any

import pdfplumber
import pytest
from django.test import Client
from django.urls import reverse

from farmrecords.history import clock
from farmrecords.history.read import history_of
from farmrecords.loads.models import Load
from farmrecords.plan.models import Job
from tests import builders as make

pytestmark = pytest.mark.django_db

NOON = dt.datetime(2026, 4, 22, 16, tzinfo=dt.UTC)
PERIOD = ("2026-01-01", "2026-12-31")
READERS = ("office", "owner", "planner", "inspector")


class Farm:
    """A farm with one person of each role, signed in."""

    def __init__(self) -> None:
        self.operation = make.make_operation("one-load")
        self.storage = make.make_storage(self.operation, "Round tank")
        self.field = make.make_field(self.operation, "7")
        self.test = make.make_manure_test(self.storage, dt.date(2026, 3, 1))
        plan = make.make_plan(self.operation)
        make.make_planned_crop(plan, self.field, 2026)
        self.people = {role: make.make_member(self.operation, role) for role in READERS}
        for role in ("planner", "inspector"):
            make.make_grant(self.people[role], dt.date(2026, 1, 1), dt.date(2026, 12, 31))
        self.people["crew"] = make.make_member(self.operation, "crew")
        make.save(
            Job(
                operation=self.operation,
                membership=self.people["crew"],
                first_on=dt.date(2026, 4, 20),
                last_on=dt.date(2026, 4, 24),
                field_ids=[str(self.field.pk)],
            )
        )

    def client(self, role: str) -> Client:
        client = Client()
        client.force_login(self.people[role].person)
        return client

    def url(self, name: str, *args: Any) -> str:
        return reverse(name, args=(self.operation.slug, *args))

    def words(self, role: str, name: str, *args: Any) -> str:
        page = self.client(role).get(self.url(name, *args))
        assert page.status_code == 200, (role, name)
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page.content.decode())).split())

    def pdf_words(self) -> str:
        page = self.client("owner").get(self.url("report_pdf", *PERIOD))
        with pdfplumber.open(io.BytesIO(page.content)) as pdf:
            return " ".join(" ".join((sheet.extract_text() or "").split()) for sheet in pdf.pages)

    def report(self) -> dict[str, Any]:
        return self.client("owner").get(self.url("report_json", *PERIOD)).json()

    def enter(self) -> Load:
        form = {
            "started": "2026-04-22T09:30",
            "ended": "2026-04-22T09:44",
            "amount_text": "6,500",
            "amount_unit": "gal",
            "measured_by": "rated",
            "field_1": str(self.field.pk),
            "field_ac_1": "2.5",
            "storage_1": str(self.storage.pk),
            "method": "surface",
            "ground": "dry",
        }
        page = self.client("crew").post(self.url("enter_load"), form)
        assert page.status_code == 302, page.content.decode()[:3000]
        return Load.objects.get()


@pytest.fixture(autouse=True)
def _spring() -> Any:
    with clock.standing_at(NOON):
        yield


@pytest.fixture
def farm() -> Farm:
    return Farm()


def test_every_role_reads_the_same_numbers_of_the_load_the_crew_entered(farm: Farm) -> None:
    load = farm.enter()
    assert (load.amount_milli, load.local_day) == (6_500_000, dt.date(2026, 4, 22))
    for role in (*READERS, "crew"):
        words = farm.words(role, "load", load.pk)
        for number in ("6,500 gal", "2.50", "2,600 gal/ac", "162.5", "78.0"):
            assert number in words, (role, number)


def test_the_fields_year_holds_what_the_load_put_there(farm: Farm) -> None:
    farm.enter()
    per_ac = 162.5 / 40.290596  # acres of the square, data formats reference 3.1
    for role in READERS:
        words = farm.words(role, "field_year", farm.field.pk, 2026)
        assert "6,500 gal in 1 load" in words, role
        assert f"{per_ac:.1f}" in words, role
        assert "65.0" in words, role  # 162.5 lb N on 2.5 ac, the most heavily covered ground


def test_the_report_line_the_page_and_the_pdf_say_the_same_amount(farm: Farm) -> None:
    farm.enter()
    assert "6,500" in farm.words("owner", "report_period", *PERIOD)
    assert "6,500" in farm.pdf_words()
    assert "6500" in str(farm.report()).replace(",", "")


def test_voiding_changes_every_total_and_leaves_both_in_the_history(farm: Farm) -> None:
    load = farm.enter()
    page = farm.client("office").post(
        farm.url("void_load", load.pk), {"reason_text": "Tapped twice", "revision": "1"}
    )
    assert page.status_code == 302
    assert "This load is void" in farm.words("office", "load", load.pk)
    year = farm.words("planner", "field_year", farm.field.pk, 2026)
    assert "6,500 gal in 1 load" not in year
    assert "nothing yet" in year
    assert "6,500" not in farm.words("owner", "report_period", *PERIOD)
    assert "6,500" not in farm.pdf_words()
    assert "6500" not in str(farm.report()).replace(",", "")
    load.refresh_from_db()
    assert [entry.act for entry in history_of(load)] == ["create", "void"]
    words = farm.words("inspector", "load", load.pk)
    assert "made void" in words
    assert "Tapped twice" in words


def test_amending_shows_before_and_after_and_the_new_number_everywhere(farm: Farm) -> None:
    load = farm.enter()
    form = {
        "started": "2026-04-22T09:30",
        "ended": "2026-04-22T09:44",
        "amount_text": "5,850",
        "amount_unit": "gal",
        "measured_by": "rated",
        "field_1": str(farm.field.pk),
        "field_ac_1": "2.5",
        "storage_1": str(farm.storage.pk),
        "method": "surface",
        "ground": "dry",
        "crop_year": "2026",
        "revision": "1",
        "reason_text": "Tank was 90 % full",
    }
    page = farm.client("office").post(farm.url("amend_load", load.pk), form)
    assert page.status_code == 302, page.content.decode()[:3000]
    words = farm.words("inspector", "load", load.pk)
    assert "5,850 gal" in words
    assert "Tank was 90 % full" in words
    assert "before 6,500" in words
    assert "5,850" in farm.pdf_words()
    assert "6,500 gal" not in farm.words("owner", "field_year", farm.field.pk, 2026)
    load.refresh_from_db()
    assert load.parts.get().amount_milli == 5_850_000
    assert load.parts.get().area_ac == Decimal("2.500")
