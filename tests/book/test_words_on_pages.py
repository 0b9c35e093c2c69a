"""What people write stays text on every page; the crew's pages stand in Spanish too."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from farmrecords.findings import index
from farmrecords.history import write
from farmrecords.measurements.models import Deficiency, StorageLevel
from farmrecords.plan.models import Job
from tests import builders
from tests.book.desk import TODAY, Desk

pytestmark = pytest.mark.django_db

VECTORS = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'><svg onload=alert(1)>",
    "</title><script>alert(2)</script>",
    "</textarea><script>alert(3)</script>",
    "</script><script>alert(4)</script>",
    "<!--<script>alert(5)//-->",
    "javascript:alert(6)",
    "{{ 7|add:7 }}{% debug %}",
    "&lt;b&gt;&amp;amp;",
    "<iframe src=//evil.example>",
    "\" autofocus onfocus=alert(7) x=\"",
    "<math><mtext></table><img src onerror=alert(8)>",
)  # fmt: skip


def _everywhere(desk: Desk, words: str) -> None:
    """Put the words into whatever a person can write."""
    with write.change(by=builders.actor(), channel="web") as change:
        for obj, values in (
            (desk.operation, {"name": words, "address": words}),
            (desk.field, {"name": words}),
            (desk.pit, {"name": words}),
            (desk.spreader, {"name": words}),
        ):
            change.amend(
                obj, base_rev=1, values=values, reason_code="correction", reason_text=words
            )
    desk.person.display_name = words
    desk.person.save()
    line = {"type": "LineString", "coordinates": [[-89.5, 43], [-89.49, 43]]}
    builders.make_feature(desk.operation, "stream_perennial", line, name=words)
    builders.save(Deficiency(operation=desk.operation, found_on=TODAY, description=words))
    builders.save(
        StorageLevel(
            operation=desk.operation, storage=desk.pit, read_on=TODAY, missed=True, note=words
        )
    )


def _pages(desk: Desk) -> list[str]:
    load = desk.enter(note="x", driver_name="y")
    return [
        desk.url("start"), desk.url("fields"), desk.url("field_year", desk.field.pk, 2026),
        desk.url("loads"), desk.url("loads") + "?state=counted", desk.url("load", load.pk),
        desk.url("load", load.pk) + "?as_of=2026-04-22T16:00Z",
        desk.url("enter_load"), desk.url("amend_load", load.pk), desk.url("void_load", load.pk),
        desk.url("storages"), desk.url("storage", desk.pit.pk),
        desk.url("enter_level", desk.pit.pk), desk.url("tests"), desk.url("enter_manure_test"),
        desk.url("manure_test", desk.test.pk), desk.url("coverage"), desk.url("import"),
        desk.url("report"), desk.url("report_period", "2026-01-01", "2026-12-31"), "/",
    ]  # fmt: skip


class Markup(HTMLParser):
    """What a browser would take for markup that runs something."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        kept = given.get("type") == "application/json" or "src" in given
        if tag in ("iframe", "math", "img", "object", "embed") or (tag == "script" and not kept):
            self.found.append(tag)
        for name, value in attrs:
            runs = (value or "").strip().lower().startswith("javascript:")
            if name.startswith("on") or name == "style" or (name in ("href", "src") and runs):
                self.found.append(f"{tag} {name}={value}")

    def handle_data(self, data: str) -> None:
        self.words.append(data)


@pytest.mark.parametrize("words", VECTORS)
def test_what_a_person_writes_is_shown_as_text_on_every_page(desk, words):
    _everywhere(desk, words)
    desk.enter(started="2026-04-22T08:00", ended="", note=words, driver_name=words)
    seen = 0
    for url in _pages(desk):
        answer = desk.client.get(url, follow=True)
        assert answer.status_code == 200, url
        page = Markup(answer.content.decode())
        assert page.found == [], url
        seen += words in "".join(page.words)
    assert seen > 15


def test_words_that_look_like_a_template_are_not_run(desk):
    load = desk.enter(note="{{ 7|add:7 }}")
    assert "{{ 7|add:7 }}" in desk.get("load", load.pk)


def test_a_search_is_not_echoed_as_markup(desk):
    answer = desk.client.get(desk.url("loads"), {"rule": '"><script>alert(1)</script>'})
    assert "<script>alert" not in answer.content.decode()


@pytest.fixture
def luz(db):
    """A crew member who reads Spanish, with a job and a load of today."""
    desk = Desk("crew")
    desk.person.language = "es"
    desk.person.save()
    builders.save(
        Job(
            operation=desk.operation, membership=desk.person.memberships.get(), storage=desk.pit,
            first_on=TODAY, last_on=TODAY, field_ids=[str(desk.field.pk)],
        )
    )  # fmt: skip
    desk.client.logout()
    desk.client.post("/sign-in/", {"username": "ana", "password": "a long password"})
    return desk


CAUTION = "Deciden las normas locales, el permiso y el profesional con licencia."


def test_the_pages_of_the_crew_stand_in_spanish(luz):
    load = luz.enter()
    index.refresh(luz.operation)
    for name, *rest in (
        ("start",), ("fields",), ("field_year", luz.field.pk, 2026), ("loads",), ("enter_load",),
        ("load", load.pk), ("amend_load", load.pk), ("storages",), ("storage", luz.pit.pk),
        ("enter_level", luz.pit.pk), ("coverage",),
    ):  # fmt: skip
        text = luz.get(name, *rest)
        assert '<html lang="es">' in text, name
        assert CAUTION in text, name
        if name in ("load", "loads", "start", "field_year", "fields"):
            assert "6,500 gal" in text, name  # as in English: a point would be read as 6.5


def test_a_bad_entry_is_refused_in_spanish_too(luz):
    before = luz.head()
    answer = luz.post("enter_load", **luz.form(ended="2026-04-22T09:00"))
    assert answer.status_code == 200
    assert "ended" in answer.context["form"].errors
    assert luz.head() == before


@pytest.mark.parametrize("role", ["crew", "hauler", "office", "inspector"])
def test_no_link_of_a_page_leads_nowhere(db, role):
    desk = Desk("office")
    load = desk.enter()
    person = builders.make_person("reader")
    member = builders.make_member(desk.operation, role, person)
    if role == "inspector":
        builders.make_grant(member, TODAY.replace(month=1, day=1), TODAY)
    if role in ("crew", "hauler"):
        load = builders.make_load(desk.field, desk.pit, TODAY, person=person)
    index.refresh(desk.operation)
    desk.client.force_login(person)
    followed = 0
    for page in (desk.url("start"), desk.url("fields"), desk.url("loads"),
                 desk.url("load", load.pk), desk.url("coverage")):  # fmt: skip
        text = desk.client.get(page).content.decode()
        for href in sorted(set(re.findall(r'<a [^>]*href="(/o/[^"#?]+)"', text))):
            assert desk.client.get(href).status_code in (200, 302), (page, href)
            followed += 1
    assert followed > 10


def test_who_sees_no_findings_of_a_year_is_not_told_that_no_rule_was_asked(luz):
    luz.enter()
    page = luz.get("field_year", luz.field.pk, 2026)
    assert "Ninguna regla se aplicó" not in page
    assert "Qué dicen las reglas" not in page
