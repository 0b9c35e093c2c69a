"""Who may open, and who may write: every address of the project against every kind of person."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from farmrecords.farm.models import Field, Storage
from farmrecords.history import clock, write
from farmrecords.loads.models import Load
from farmrecords.measurements.models import ManureTest
from tests import builders
from tests.people.world import GRANT, NOW, VIEWERS, World, nobody, void

pytestmark = pytest.mark.django_db

# trust.md section 2, the table of actions.
SEE = frozenset({"crew", "hauler", "office", "owner", "planner", "inspector"})
WHOLE = SEE - {"crew", "hauler"}
OWN_PEOPLE = frozenset({"office", "owner"})
NOBODY: frozenset[str] = frozenset()
MEMBERS_AND_STRANGERS = frozenset(VIEWERS) - {"anonymous"}
YEAR, PERIOD, PAST = 2026, ("2026-01-01", "2026-12-31"), ("2023-01-01", "2023-12-31")


@pytest.fixture(autouse=True)
def _day():
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def world() -> World:
    return World()


@dataclass(frozen=True)
class Row:
    """One address with one object, who gets it, and with which status."""

    name: str
    about: str
    args: Callable[[World], list[Any]]
    may: frozenset[str]
    ok: int = 200
    anonymous: int = 302

    def expected(self, viewer: str) -> int:
        if viewer in self.may:
            return self.ok
        return self.anonymous if viewer == "anonymous" else 404


def _here(*rest: Any) -> Callable[[World], list[Any]]:
    return lambda world: [world.farm.slug, *rest]


def _of(name: str, *rest: Any) -> Callable[[World], list[Any]]:
    return lambda world: [world.farm.slug, getattr(world, name).pk, *rest]


def _gone(*rest: Any) -> Callable[[World], list[Any]]:
    return lambda world: [world.farm.slug, nobody(), *rest]


def _loads(name: str, may: dict[str, frozenset[str]]) -> Iterator[Row]:
    """The rows of an address of one load, over all kinds of loads."""
    for about in (
        "crew_today", "crew_14_days", "crew_20_days", "hauler_today", "of_the_office", "outside",
        "waiting", "their_load",
    ):  # fmt: skip
        yield Row(name, about, _of(about), may.get(about, NOBODY))
    yield Row(name, "nothing", _gone(), NOBODY)


ROWS: list[Row] = [
    Row("home", "", lambda _w: [], frozenset({"stranger"})),
    Row("start", "own farm", _here(), SEE),
    Row("start", "other farm", lambda w: [w.theirs.slug], frozenset({"office_elsewhere"})),
    Row("start", "no farm", lambda _w: ["no-such-farm"], NOBODY),
    Row("fields", "", _here(), SEE),
    Row("field", "of a job", _of("field"), SEE, 302),
    Row("field", "of no job", _of("far_field"), WHOLE, 302),
    Row("field", "of the other farm", _of("their_field"), NOBODY),
    Row("field", "nothing", _gone(), NOBODY),
    Row("field_year", "of a job", _of("field", YEAR), SEE),
    Row("field_year", "of no job", _of("far_field", YEAR), WHOLE),
    Row("field_year", "before the grant", _of("far_field", 2023), OWN_PEOPLE),
    Row("field_year", "of the other farm", _of("their_field", YEAR), NOBODY),
    Row("field_year", "nothing", _gone(YEAR), NOBODY),
    Row("loads", "", _here(), SEE),
    Row("enter_load", "", _here(), SEE - {"planner", "inspector"}),
    *_loads(
        "load",
        {
            "crew_today": SEE - {"hauler"},
            "crew_14_days": SEE - {"hauler"},
            "crew_20_days": WHOLE,
            "hauler_today": SEE - {"crew"},
            "of_the_office": WHOLE,
            "waiting": WHOLE,
            "outside": OWN_PEOPLE,
        },
    ),
    *_loads(
        "amend_load",
        {
            "crew_today": OWN_PEOPLE | {"crew"},
            "crew_14_days": OWN_PEOPLE,
            "crew_20_days": OWN_PEOPLE,
            "hauler_today": OWN_PEOPLE | {"hauler"},
            "of_the_office": OWN_PEOPLE,
            "waiting": OWN_PEOPLE,
            "outside": OWN_PEOPLE,
        },
    ),
    *_loads(
        "void_load",
        dict.fromkeys(
            (
                "crew_today",
                "crew_14_days",
                "crew_20_days",
                "hauler_today",
                "of_the_office",
                "waiting",
                "outside",
            ),
            OWN_PEOPLE,
        ),
    ),
    *_loads("decide_waiting", {"waiting": frozenset({"owner"})}),
    Row("storages", "", _here(), SEE - {"hauler"}),
    Row("storage", "own", _of("pit"), SEE - {"hauler"}),
    Row("storage", "of the other farm", _of("their_pit"), NOBODY),
    Row("storage", "nothing", _gone(), NOBODY),
    Row("enter_level", "own", _of("pit"), OWN_PEOPLE | {"crew"}),
    Row("enter_level", "of the other farm", _of("their_pit"), NOBODY),
    Row("enter_level", "nothing", _gone(), NOBODY),
    Row("tests", "", _here(), WHOLE),
    Row("enter_manure_test", "", _here(), OWN_PEOPLE),
    Row("manure_test", "in the grant", _of("test"), WHOLE),
    Row("manure_test", "before the grant", _of("test_outside"), OWN_PEOPLE),
    Row("manure_test", "before the grant, used in it", _of("test_rested_on"), WHOLE),
    Row("manure_test", "of the other farm", _of("their_test"), NOBODY),
    Row("manure_test", "nothing", _gone(), NOBODY),
    Row("worksheets", "", _here(), WHOLE),
    Row("worksheet", "known", _here("load_rate"), WHOLE),
    Row("worksheet", "nothing", _here("no-such-sheet"), NOBODY),
    Row("coverage", "", _here(), SEE),
    Row("rule", "known", _here("US-SB-1"), SEE),
    Row("rule", "nothing", _here("no-such-rule"), NOBODY),
    Row("import", "", _here(), OWN_PEOPLE),
    Row("incoming_file", "own", _of("file"), OWN_PEOPLE),
    Row("incoming_file", "of the other farm", _of("their_file"), NOBODY),
    Row("incoming_file", "nothing", _gone(), NOBODY),
    Row("proposed_loads", "own, with none", _of("file"), OWN_PEOPLE, 302),
    Row("proposed_loads", "of the other farm", _of("their_file"), NOBODY),
    Row("proposed_loads", "nothing", _gone(), NOBODY),
    Row("report", "", _here(), WHOLE),
    *(
        Row(name, about, _here(*days), may)
        for name in ("report_period", "report_pdf", "report_json")
        for about, days, may in (
            ("in the grant", PERIOD, WHOLE),
            ("before the grant", PAST, OWN_PEOPLE),
            ("no days", ("spring", "autumn"), NOBODY),
        )
    ),
]
# Addresses without a record behind them, tested on their own below.
OPEN = {"sign_in", "sign_out", "set_language"}


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


WHY = {"reason_text": "read the wrong line"}
POSTS = [
    Post("enter_load", _here(), lambda w: w.load_form(), SEE - {"planner", "inspector"}),
    Post(
        "amend_load", _of("crew_today"),
        lambda w: w.load_form(amount_text="6400", revision="1") | WHY, OWN_PEOPLE | {"crew"},
    ),
    Post(
        "amend_load", _of("hauler_today"),
        lambda w: w.load_form(amount_text="6400", revision="1") | WHY, OWN_PEOPLE | {"hauler"},
    ),
    Post(
        "amend_load", _of("crew_14_days"),
        lambda w: w.load_form(amount_text="6400", revision="1") | WHY, OWN_PEOPLE,
    ),
    Post("amend_load", _of("their_load"), lambda w: w.load_form(revision="1") | WHY, NOBODY),
    Post("void_load", _of("crew_today"), lambda _w: {"revision": "1"} | WHY, OWN_PEOPLE),
    Post("void_load", _of("their_load"), lambda _w: {"revision": "1"} | WHY, NOBODY),
    Post(
        "decide_waiting", _of("waiting"), lambda _w: {"decision": "accept"} | WHY,
        frozenset({"owner"}),
    ),
    Post("enter_level", _of("pit"), lambda _w: {"reading_ft": "4.2"}, OWN_PEOPLE | {"crew"}),
    Post("enter_level", _of("their_pit"), lambda _w: {"reading_ft": "4.2"}, NOBODY),
    Post("enter_manure_test", _here(), lambda w: w.test_form(), OWN_PEOPLE),
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
    if post.may:
        viewer = sorted(post.may)[0]
        answer = world.client(viewer).post(url, post.data(world))
        assert answer.status_code == 302, answer.context["form"].errors
        assert world.heads() != before


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
