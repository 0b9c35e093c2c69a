"""Who may open, and who may write: every address of the project against every kind of person."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from farmrecords.farm.models import Field, Storage
from farmrecords.findings.rulebooks import rulebook
from farmrecords.history import clock, write
from farmrecords.intake import service
from farmrecords.intake.kinds import kind_named
from farmrecords.loads.models import Load
from farmrecords.measurements.models import ManureTest
from farmrecords.people.access import seat_for
from tests import builders
from tests.people.matrix import (
    NOBODY,
    OPEN,
    OWN_PEOPLE,
    PLANNING,
    ROWS,
    SEE,
    TO_CONFIRM,
    here,
    of,
)
from tests.people.world import GRANT, NOW, VIEWERS, World, nobody, void

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def world() -> World:
    return World()


def _addresses(patterns: Any, space: str = "") -> Iterator[tuple[str, URLPattern]]:
    for one in patterns:
        if isinstance(one, URLResolver):
            inner = f"{space}{one.namespace}:" if one.namespace else space
            yield from _addresses(one.url_patterns, inner)
        else:
            yield f"{space}{one.name}", one


def _names() -> set[str]:
    return {name for name, _pattern in _addresses(get_resolver().url_patterns)}


def test_every_address_has_its_row():
    missing = {n for n in _names() if not n.startswith("admin:")} - {r.name for r in ROWS} - OPEN
    assert not missing, f"addresses without a row in the matrix: {sorted(missing)}"


def test_every_row_has_its_address():
    assert {row.name for row in ROWS} | OPEN <= _names()


def _home_status(viewer: str) -> int:
    """One farm: straight to it. None: the page that says so."""
    goes_on = SEE | {"office_elsewhere", "anonymous"}
    return 302 if viewer in goes_on else 200


@pytest.mark.parametrize("viewer", VIEWERS)
def test_who_may_open_what(world, viewer):
    client = world.client(viewer)
    wrong = []
    for row in ROWS:
        url = reverse(row.name, args=row.args(world))
        expected = _home_status(viewer) if row.name == "home" else row.expected(viewer)
        given = client.get(url)
        if given.status_code != expected:
            wrong.append(f"{row.name} ({row.about}): {given.status_code}, not {expected}")
        if viewer == "anonymous" and given.status_code == 302:
            assert given["Location"] == f"/sign-in/?next={url}", row.name
    assert not wrong, f"{viewer}: " + "; ".join(wrong)


@pytest.mark.parametrize("viewer", ["stranger", "owner", "inspector", "anonymous"])
def test_the_administration_is_closed_to_the_people_of_farms(world, viewer):
    client = world.client(viewer)
    for name, pattern in _addresses(get_resolver().url_patterns):
        if not name.startswith("admin:") or name in ("admin:None", "admin:login"):
            continue
        given = dict.fromkeys(pattern.pattern.converters, "1")
        if name == "admin:app_list":
            given = {"app_label": "auth"}
        answer = client.get(reverse(name, kwargs=given))
        assert answer.status_code == 302, name
        assert answer["Location"].startswith(("/admin/login/", "/admin/")), name
        assert answer["Location"] != answer.request["PATH_INFO"], name


TOKENS = re.compile(rb'(csrfmiddlewaretoken" value="|X-CSRFToken": ")[^"]+')


def _plain(answer: Any, url: str) -> bytes:
    """The page without what changes with every request: its tokens and the asked address."""
    return TOKENS.sub(rb"\1", answer.content).replace(url.encode(), b"URL")


@pytest.mark.parametrize("viewer", ["crew", "hauler", "inspector", "planner", "office", "stranger"])
def test_what_is_not_shown_is_the_same_page_as_what_does_not_exist(world, viewer):
    client = world.client(viewer)
    for row in ROWS:
        if row.expected(viewer) != 404 or row.about == "nothing" or row.name == "home":
            continue
        args = row.args(world)
        if len(args) < 2 or not isinstance(args[1], type(nobody())):
            continue
        hidden = reverse(row.name, args=args)
        gone = reverse(row.name, args=[args[0], nobody(), *args[2:]])
        assert _plain(client.get(hidden), hidden) == _plain(client.get(gone), gone), (
            row.name,
            row.about,
        )


def test_a_farm_one_may_not_enter_looks_like_none(world):
    client = world.client("stranger")
    pages = [_plain(client.get(url), url) for url in ("/o/here/", "/o/no-such-farm/")]
    assert pages[0] == pages[1]


@dataclass(frozen=True)
class Post:
    """One writing: to whom it is open, and what is sent."""

    name: str
    args: Callable[[World], list[Any]]
    data: Callable[[World], dict[str, Any]]
    may: frozenset[str]


def a_list() -> SimpleUploadedFile:
    """A list of loads that can be taken over as it stands."""
    text = "Date,Start,Field,Method,Amount (gal)\n2026-04-20,08:00,1,surface,6500\n"
    return SimpleUploadedFile("loads.csv", text.encode(), content_type="text/csv")


def brought(world: World) -> list[Any]:
    """A file of the farm's that was read and not taken over."""
    seat = seat_for(world.people["office"], world.farm.slug)
    names = f"{world.field.number},{world.pit.name}"
    head = "Date,Start,End,Field,Storage,Method,Amount (gal),Measured by\n"
    text = f"{head}2026-04-20,08:00,08:20,{names},surface,6500,meter\n"
    world.file = service.take_in(seat, kind_named("loads"), "loads.csv", text.encode())
    return [world.farm.slug, world.file.pk]


def taken_over(world: World) -> list[Any]:
    """A file of the farm's whose loads are recorded."""
    args = brought(world)
    service.confirm(seat_for(world.people["office"], world.farm.slug), world.file, world.file.rev)
    return args


WHY = {"reason_text": "read the wrong line"}
POSTS = [
    Post("enter_load", here(), lambda w: w.load_form(), SEE - {"planner", "inspector"}),
    Post(
        "amend_load", of("crew_today"),
        lambda w: w.load_form(amount_text="6400", revision="1") | WHY, OWN_PEOPLE | {"crew"},
    ),
    Post(
        "amend_load", of("hauler_today"),
        lambda w: w.load_form(amount_text="6400", revision="1") | WHY, OWN_PEOPLE | {"hauler"},
    ),
    Post(
        "amend_load", of("crew_14_days"),
        lambda w: w.load_form(amount_text="6400", revision="1") | WHY, OWN_PEOPLE,
    ),
    Post("amend_load", of("their_load"), lambda w: w.load_form(revision="1") | WHY, NOBODY),
    Post("void_load", of("crew_today"), lambda _w: {"revision": "1"} | WHY, OWN_PEOPLE),
    Post("void_load", of("their_load"), lambda _w: {"revision": "1"} | WHY, NOBODY),
    Post(
        "decide_waiting", of("waiting"), lambda _w: {"decision": "accept", "revision": "1"} | WHY,
        frozenset({"owner"}),
    ),
    Post(
        "load_facts", of("crew_today"),
        lambda _w: {"in_concentrated_flow": "no", "revision": "1"} | WHY, OWN_PEOPLE | {"crew"},
    ),
    Post(
        "load_facts", of("their_load"),
        lambda _w: {"in_concentrated_flow": "no", "revision": "1"} | WHY, NOBODY,
    ),
    Post(
        "field_facts", of("field"),
        lambda _w: {"soil_loss_tolerable": "yes", "revision": "1"} | WHY, OWN_PEOPLE,
    ),
    Post(
        "field_facts", of("their_field"),
        lambda _w: {"soil_loss_tolerable": "yes", "revision": "1"} | WHY, NOBODY,
    ),
    Post(
        "plan_facts", of("crop"), lambda _w: {"crop_listed": "yes", "revision": "1"} | WHY, PLANNING
    ),
    Post(
        "plan_facts", of("their_crop"),
        lambda _w: {"crop_listed": "yes", "revision": "1"} | WHY, NOBODY,
    ),
    Post(
        "operation_facts", here(),
        lambda _w: {"common_ownership": "no", "revision": "1"} | WHY, PLANNING,
    ),
    Post("feature_facts", of("their_feature"), lambda _w: {"revision": "1"} | WHY, NOBODY),
    Post(
        "late_result", of("test"), lambda w: {"chosen": f"{w.crew_today.pk}:1"} | WHY, OWN_PEOPLE,
    ),
    Post(
        "late_result", of("their_test"), lambda w: {"chosen": f"{w.their_load.pk}:1"} | WHY, NOBODY,
    ),
    Post("enter_level", of("pit"), lambda _w: {"reading_ft": "4.2"}, OWN_PEOPLE | {"crew"}),
    Post("enter_level", of("their_pit"), lambda _w: {"reading_ft": "4.2"}, NOBODY),
    Post("enter_manure_test", here(), lambda w: w.form_of_a_test(), OWN_PEOPLE),
    Post("enter_condition", here(), lambda w: w.condition_form(), PLANNING),
    Post(
        "amend_condition", of("condition"),
        lambda w: w.condition_form(value="200", revision="1") | WHY, OWN_PEOPLE,
    ),
    Post("amend_condition", of("their_condition"), lambda w: w.condition_form() | WHY, NOBODY),
    Post("void_condition", of("condition"), lambda _w: {"revision": "1"} | WHY, OWN_PEOPLE),
    Post("void_condition", of("their_condition"), lambda _w: {"revision": "1"} | WHY, NOBODY),
    Post("enter_nitrogen", here(), lambda w: w.nitrogen_form(), PLANNING),
    Post("amend_nitrogen", of("nitrogen"),
         lambda w: w.nitrogen_form(revision="1") | WHY, OWN_PEOPLE),
    Post("amend_nitrogen", of("their_nitrogen"), lambda w: w.nitrogen_form() | WHY, NOBODY),
    Post("void_nitrogen", of("nitrogen"), lambda _w: {"revision": "1"} | WHY, OWN_PEOPLE),
    Post("void_nitrogen", of("their_nitrogen"), lambda _w: {"revision": "1"} | WHY, NOBODY),
    Post(
        "late_records", here(),
        lambda w: {"decision": "accept", "chosen": f"{w.late.pk}:1"} | WHY, frozenset({"owner"}),
    ),
    Post("import", here(), lambda _w: {"kind": "loads", "file": a_list()}, OWN_PEOPLE),
    Post("incoming_file", brought, lambda _w: {"do": "confirm", "revision": "1"}, OWN_PEOPLE),
    Post(
        "incoming_file", taken_over,
        lambda _w: {"do": "undo", "revision": "2", "reason": "wrong farm"}, OWN_PEOPLE,
    ),
    Post("incoming_file", of("their_file"), lambda _w: {"do": "confirm", "revision": "1"}, NOBODY),
    Post("proposed_loads", of("their_file"), lambda _w: {"do": "sure", "revision": "1"}, NOBODY),
    Post("void_confirmation", of("confirmation"), lambda _w: {"revision": "1"} | WHY, PLANNING),
    Post(
        "confirm_rule", here(TO_CONFIRM),
        lambda _w: {
            "document": "the rule as printed", "confirmed_on": "2026-04-20",
            "fingerprint": rulebook().rule(TO_CONFIRM).fingerprint,
        }, PLANNING,
    ),
]  # fmt: skip


@pytest.mark.parametrize("post", POSTS, ids=lambda post: f"{post.name}-{POSTS.index(post)}")
def test_who_may_write_what(world, post):
    others = [viewer for viewer in VIEWERS if viewer not in post.may]
    url = reverse(post.name, args=post.args(world))
    before = world.heads()
    for viewer in others:
        answer = world.client(viewer).post(url, post.data(world))
        assert answer.status_code == (302 if viewer == "anonymous" else 404), viewer
        assert world.heads() == before, viewer
    for viewer in sorted(post.may):
        status, after = _and_taken_back(world, viewer, url, post.data(world))
        assert status == 302, viewer
        assert after != before, viewer
        assert world.heads() == before


def _and_taken_back(world: World, viewer: str, url: str, data: Any) -> tuple[int, Any]:
    """Status and heads after a writing, which is then undone for the next viewer."""
    try:
        with transaction.atomic():
            answer = world.client(viewer).post(url, data)
            raise _TakenBack(answer.status_code, world.heads())
    except _TakenBack as done:
        return done.args  # type: ignore[return-value]


class _TakenBack(Exception):
    """Lets the next viewer find the world as it was."""


@pytest.mark.parametrize("viewer", ["crew", "hauler", "office", "owner"])
def test_each_of_the_farms_own_people_can_enter_a_load(world, viewer):
    before = Load.objects.count()
    answer = world.client(viewer).post(reverse("enter_load", args=["here"]), world.load_form())
    assert answer.status_code == 302
    assert Load.objects.count() == before + 1


@pytest.mark.parametrize("viewer", ["crew", "hauler"])
@pytest.mark.parametrize(("entry", "thing"), [("field_1", "far_field"), ("field_1", "their_field"),
                                              ("storage_1", "their_pit")])  # fmt: skip
def test_a_record_that_is_not_shown_cannot_be_named_in_a_form(world, viewer, entry, thing):
    before = world.heads()
    form = world.load_form(**{entry: str(getattr(world, thing).pk)})
    answer = world.client(viewer).post(reverse("enter_load", args=["here"]), form)
    assert answer.status_code == 200
    assert entry in answer.context["form"].errors
    assert world.heads() == before


def test_a_new_role_counts_from_the_next_request_on(world):
    client = world.client("crew")
    url = reverse("tests", args=["here"])
    assert client.get(url).status_code == 404
    builders.make_member(world.farm, "office", world.people["crew"])
    assert client.get(url).status_code == 200


def test_a_role_taken_back_counts_from_the_next_request_on(world):
    client = world.client("office")
    url = reverse("load", args=["here", world.outside.pk])
    assert client.get(url).status_code == 200
    void(world.members["office"])
    assert client.get(url).status_code == 404


def test_a_grant_taken_back_counts_from_the_next_request_on(world):
    client = world.client("inspector")
    url = reverse("loads", args=["here"])
    assert client.get(url).status_code == 200
    void(world.members["inspector"].grants.get())
    assert client.get(url).status_code == 404


@pytest.mark.parametrize(("last_day", "status"), [(22, 200), (21, 404)])
def test_a_grant_ends_with_its_last_day(world, last_day, status):
    grant = world.members["inspector"].grants.get()
    with write.change(by=builders.actor(), channel="web") as change:
        change.amend(
            grant, base_rev=1, values={"ends_on": NOW.date().replace(day=last_day)},
            reason_code="correction", reason_text="shorter",
        )  # fmt: skip
    url = reverse("loads", args=["here"])
    assert world.client("inspector").get(url).status_code == status


def test_the_matrix_asks_about_records_of_both_farms(world):
    for model in (Load, Field, Storage, ManureTest):
        owners = {row.operation_id for row in model.objects.all()}
        assert owners == {world.farm.pk, world.theirs.pk}
    assert GRANT[0] <= world.crew_20_days.local_day
