"""Signing in and what every page carries: throttle, session, tokens, headers, no writing by GET."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from farmrecords.history import clock
from farmrecords.loads.models import Load
from farmrecords.people.models import Person
from tests import builders
from tests.people.test_matrix import OPEN, POSTS, ROWS, WHY
from tests.people.world import NOW, World

pytestmark = pytest.mark.django_db
PASSWORD = "a long password"  # what the builders give everybody


@pytest.fixture(autouse=True)
def _day():
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def world() -> World:
    return World()


@pytest.fixture
def person() -> Person:
    return builders.make_person("ana")


def sign_in(client: Client, username: str, password: str = PASSWORD, **more: str) -> Any:
    return client.post("/sign-in/", {"username": username, "password": password, **more})


def test_the_right_password_opens_the_door(person):
    client = Client()
    answer = sign_in(client, "ana")
    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert client.get("/").status_code == 200


@pytest.mark.parametrize(("username", "password"), [("ana", "wrong"), ("nobody", "wrong")])
def test_a_wrong_name_and_a_wrong_password_get_the_same_answer(person, username, password):
    answer = sign_in(Client(), username, password)
    assert answer.status_code == 200
    errors = answer.context["form"].errors["__all__"]
    assert errors == sign_in(Client(), "another", "wrong").context["form"].errors["__all__"]


def test_a_session_planted_before_signing_in_is_worth_nothing(person):
    client = Client()
    client.get("/sign-in/")
    client.session["planted"] = "yes"
    session = client.session
    session["planted"] = "yes"
    session.save()
    before = client.cookies["sessionid"].value
    sign_in(client, "ana")
    assert client.cookies["sessionid"].value != before


def test_signing_out_ends_the_session_at_the_server(person):
    client = Client()
    sign_in(client, "ana")
    key = client.cookies["sessionid"].value
    client.post("/sign-out/")
    thief = Client()
    thief.cookies["sessionid"] = key
    assert thief.get("/")["Location"].startswith("/sign-in/")


def test_signing_out_needs_a_post(person):
    client = Client()
    sign_in(client, "ana")
    assert client.get("/sign-out/").status_code == 405
    assert client.get("/").status_code == 200


def test_the_session_cookie_is_closed_to_scripts_and_other_sites(person):
    client = Client()
    sign_in(client, "ana")
    cookie = client.cookies["sessionid"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


@pytest.mark.parametrize(
    "next_url",
    ["https://evil.example/", "//evil.example/", "javascript:alert(1)", r"/\evil.example", "http:///evil.example"],
)  # fmt: skip
def test_signing_in_leads_to_no_other_site(person, next_url):
    assert sign_in(Client(), "ana", next=next_url)["Location"] == "/"


def test_signing_in_leads_back_to_the_page_asked_for(person):
    answer = sign_in(Client(), "ana", next="/o/here/loads/?state=waiting")
    assert answer["Location"] == "/o/here/loads/?state=waiting"


def test_choosing_a_language_leads_to_no_other_site():
    answer = Client().post("/language/setlang/", {"language": "es", "next": "https://evil.example"})
    assert answer["Location"] == "/"


def test_a_person_who_speaks_spanish_gets_spanish_pages():
    builders.make_person("luz", language="es")
    client = Client()
    sign_in(client, "luz")
    assert '<html lang="es">' in client.get("/").content.decode()


def _gets(world: World) -> list[str]:
    urls = [reverse(row.name, args=row.args(world)) for row in ROWS]
    return [*urls, *(reverse(name) for name in sorted(OPEN)), "/no/such/page/"]


@pytest.mark.parametrize("viewer", ["owner", "crew", "inspector", "anonymous"])
def test_every_answer_carries_its_guards_and_reading_writes_nothing(world, viewer):
    client = world.client(viewer)
    before = world.heads()
    for url in _gets(world):
        answer = client.get(url)
        assert answer["X-Frame-Options"] == "DENY", url
        assert answer["X-Content-Type-Options"] == "nosniff", url
        policy = answer["Content-Security-Policy"]
        for part in ("default-src 'self'", "script-src 'self'", "style-src 'self'",
                     "frame-ancestors 'none'", "object-src 'none'"):  # fmt: skip
            assert part in policy, url
        assert "unsafe" not in policy, url
        text = answer.content.decode("utf-8", "replace")
        if answer["Content-Type"].startswith("text/html"):
            assert not re.search(r"<[^>]+\s(style|on[a-z]+)\s*=", text), url
            assert "<style" not in text, url
            assert not re.search(r"<script(?![^>]*(src=|application/json))", text), url
    assert world.heads() == before


def test_posting_to_a_page_for_reading_writes_nothing(world):
    client = world.client("owner")
    # the common pages of records are posted to in test_matrix_records
    writers = {post.name for post in POSTS} | {"enter_record", "amend_record", "void_record"}
    before = world.heads()
    for row in ROWS:
        if row.name not in writers:
            client.post(reverse(row.name, args=row.args(world)), WHY | {"revision": "1"})
    assert world.heads() == before


@pytest.mark.parametrize("name", sorted({post.name for post in POSTS}))
def test_a_form_without_its_token_is_refused(world, name):
    post = next(post for post in POSTS if post.name == name)
    url = reverse(name, args=post.args(world))
    before = world.heads()
    client = world.client("owner", enforce_csrf_checks=True)
    answer = client.post(url, post.data(world))
    assert answer.status_code == 403
    assert "Nothing was recorded" in answer.content.decode()
    assert client.post(url, post.data(world) | {"csrfmiddlewaretoken": "x" * 64}).status_code == 403
    assert world.heads() == before


@pytest.mark.parametrize("url", ["/sign-in/", "/sign-out/", "/language/setlang/"])
def test_sign_in_sign_out_and_language_need_their_token_too(url):
    assert Client(enforce_csrf_checks=True).post(url, {}).status_code == 403


# T12: the names of every column a form might be made to carry.
FOREIGN = {
    "id": "11111111-1111-4111-8111-111111111111",
    "operation": "", "status": "waiting", "voided": "on", "rev": "9", "source_key": "x",
    "local_day": "2020-01-01", "recorded_at": "2020-01-01T00:00", "amount_milli": "1",
    "amount_kind": "lb", "carried_in_milli": "5", "carried_out_milli": "5",
    "rate_test": "", "content_test": "", "further": "{}", "started_offset_min": "0",
    "started_at": "2020-01-01T00:00", "parts": "x", "draws": "x", "ticket_number": "77",
    "person_id": "", "actor": "", "seat": "owner", "role": "owner", "claimed_at": "2020-01-01",
}  # fmt: skip


@pytest.mark.parametrize("viewer", ["crew", "office"])
def test_further_entries_in_a_form_change_nothing(world, viewer):
    client = world.client(viewer)
    url = reverse("enter_load", args=["here"])
    plain, stuffed = (
        _entered(client, url, world.load_form(started=f"2026-04-22T09:{n}0") | more, world)
        for n, more in ((1, {}), (2, FOREIGN | {"operation": str(world.theirs.pk)}))
    )
    assert stuffed == plain


def _entered(client: Client, url: str, form: dict[str, str], world: World) -> dict[str, Any]:
    known = set(Load.objects.values_list("pk", flat=True))
    assert client.post(url, form).status_code == 302
    load = Load.objects.exclude(pk__in=known).get()
    assert str(load.pk) != FOREIGN["id"]
    assert load.started_at.date() == dt.date(2026, 4, 22)
    skip = {"id", "started_at", "recorded_at"}
    return {f.attname: getattr(load, f.attname) for f in Load._meta.fields if f.name not in skip}


def test_the_crew_cannot_enter_a_load_in_another_name(world):
    form = world.load_form(person=str(world.people["owner"].pk))
    world.client("crew").post(reverse("enter_load", args=["here"]), form)
    assert Load.objects.latest("recorded_at").person == world.people["crew"]
