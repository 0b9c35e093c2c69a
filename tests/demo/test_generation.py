"""What the generator of the demonstration gives, before anything is written."""

from __future__ import annotations

import datetime as dt
import itertools
import json
from collections import Counter

import pytest
from shapely.geometry import LineString, Point, shape

from farmrecords.calculations.geodesy import area_ac, distance_ft
from fixtures.demo import DAY, FIRST_DAY, farms
from fixtures.demo.book import Book, Entry

PER_FARM = ["marlow-brook", "twin-cedar", "saltgrass"]
OPEN_WEEK = dt.date(2026, 4, 20)


@pytest.fixture(scope="module")
def books() -> dict[str, Book]:
    return {book.slug: book for book in farms()}


def made(book: Book, kind: str) -> list[Entry]:
    return [entry for entry in book.entries if entry.kind == kind and entry.act == "create"]


def loads_of_the_period(book: Book) -> list[Entry]:
    return [e for e in made(book, "load") if FIRST_DAY <= e.values["local_day"] <= DAY]


def test_two_runs_are_equal(books):
    again = {book.slug: book for book in farms()}
    for slug, book in books.items():
        assert book.in_order() == again[slug].in_order()


def test_no_record_is_made_twice(books):
    ids = [e.id for book in books.values() for e in book.entries if e.act == "create"]
    assert len(ids) == len(set(ids))


def test_nothing_is_written_after_the_noon_of_the_fixed_day(books):
    for book in books.values():
        assert max(e.at for e in book.entries) <= book.at(DAY, "12:00")


def test_there_are_enough_loads_and_tracks(books):
    # 1,500 loads and 200 tracks: enough that every page and filter has something to show.
    loads = [e for book in books.values() for e in loads_of_the_period(book)]
    assert len(loads) >= 1500
    assert sum(1 for e in loads if e.files) >= 200


@pytest.mark.parametrize("slug", PER_FARM)
def test_every_day_of_the_open_week_has_loads(books, slug):
    days = {e.values["local_day"] for e in made(books[slug], "load")}
    assert {OPEN_WEEK, OPEN_WEEK + dt.timedelta(days=1), DAY} <= days
    assert max(days) == DAY


@pytest.mark.parametrize("slug", PER_FARM)
def test_parts_and_draws_add_up_to_the_load(books, slug):
    for entry in books[slug].entries:
        if entry.kind != "load" or not entry.parts:
            continue
        whole = entry.values["amount_milli"]
        assert sum(part["amount_milli"] for part in entry.parts["parts"]) == whole
        if entry.parts["draws"]:
            assert sum(draw["amount_milli"] for draw in entry.parts["draws"]) == whole


@pytest.mark.parametrize("slug", PER_FARM)
def test_two_weekly_levels_are_missed_at_each_storage_with_a_reason(books, slug):
    levels = made(books[slug], "storage_level")
    missed = Counter(e.values["storage"] for e in levels if e.values.get("missed"))
    assert set(missed.values()) == {2}
    assert all(e.values["note"] for e in levels if e.values.get("missed"))


@pytest.mark.parametrize("slug", PER_FARM)
def test_fields_are_valid_and_hardly_overlap(books, slug):
    split = {e.values["parent"] for e in made(books[slug], "field_origin")}
    shapes = {}
    for entry in made(books[slug], "field_version"):
        if entry.values["boundary"] and entry.values["field"] not in split:
            shapes.setdefault(entry.values["field"], shape(entry.values["boundary"]))
    assert 12 <= len(shapes) <= 26
    for ground in shapes.values():
        assert ground.is_valid
        assert 8 < area_ac(ground) < 90
    for one, other in itertools.combinations(shapes.values(), 2):
        if one.intersects(other):
            shared = area_ac(one.intersection(other))
            assert shared < 0.01 * min(area_ac(one), area_ac(other))


@pytest.mark.parametrize("slug", PER_FARM)
def test_a_hole_two_pieces_a_split_a_rented_field_and_one_without_boundary(books, slug):
    versions = [e.values for e in made(books[slug], "field_version")]
    drawn = [shape(v["boundary"]) for v in versions if v["boundary"]]
    assert any(g.geom_type == "Polygon" and g.interiors for g in drawn)
    assert any(g.geom_type == "MultiPolygon" for g in drawn)
    assert any(v["boundary"] is None for v in versions)
    assert any(v["control"] == "rented" for v in versions)
    shares = [float(e.values["share"]) for e in made(books[slug], "field_origin")]
    assert sum(shares) == pytest.approx(1)


@pytest.mark.parametrize("slug", PER_FARM)
def test_most_tracks_stay_on_their_field_and_one_does_not(books, slug):
    grounds = {
        e.values["field"]: shape(e.values["boundary"])
        for e in made(books[slug], "field_version")
        if e.values["boundary"]
    }
    outside = []
    for entry in made(books[slug], "load"):
        if not entry.files:
            continue
        told = json.loads(entry.files[0].data)
        points = [Point(p[1], p[2]) for segment in told["segments"] for p in segment if p[3]]
        ground = grounds.get(entry.parts["parts"][0]["field"])
        if ground is None:
            continue
        away = sum(not ground.intersects(point) for point in points)
        if away > 0.1 * len(points):
            outside.append(entry)
    assert 1 <= len(outside) <= 2


@pytest.mark.parametrize("slug", PER_FARM)
def test_positions_come_every_three_to_five_seconds_while_spreading(books, slug):
    # The working rhythm of a receiver in the cab: 3 to 5 s, common practice.
    entry = next(e for e in made(books[slug], "load") if e.files)
    points = json.loads(entry.files[0].data)["segments"][0]
    moments = [dt.datetime.fromisoformat(p[0].replace("Z", "+00:00")) for p in points]
    gaps = [
        (b - a).total_seconds()
        for a, b, p in zip(moments, moments[1:], points, strict=False)
        if p[3]
    ]
    usual = [gap for gap in gaps if 3 <= gap <= 5.5]
    assert len(usual) > 0.8 * len(gaps)
    assert all(later >= earlier for earlier, later in itertools.pairwise(moments))


@pytest.mark.parametrize(
    ("slug", "water"),
    [("marlow-brook", "Marlow Brook"), ("twin-cedar", "Main ditch"),
     ("saltgrass", "Saltgrass Prong")],
)  # fmt: skip
def test_some_loads_came_nearer_than_a_hundred_feet_to_the_water(books, slug, water):
    book = books[slug]
    line = next(e for e in made(book, "feature") if e.values["name"] == water)
    stream = shape(line.values["geometry"])
    near = 0
    for entry in made(book, "load"):
        if entry.files:
            points = json.loads(entry.files[0].data)["segments"][0]
            track = LineString([(p[1], p[2]) for p in points])
            near += distance_ft(track, stream) < 95
    assert near >= 4


@pytest.mark.parametrize("slug", PER_FARM)
def test_the_deliberate_faults_are_there(books, slug):
    book = books[slug]
    loads = made(book, "load")
    late = [e for e in loads if (e.at.date() - e.values["local_day"]).days == 9]
    assert len(late) == 1
    assert sum(e.values["from_paper"] for e in loads) >= 4
    assert sum(e.act == "void" and e.kind == "load" for e in book.entries) == 1
    assert sum(e.act == "amend" and e.kind == "load" for e in book.entries) >= 5
    assert any(e.values["ground"] == "unknown" for e in loads)
    months = {e.values["local_day"].month for e in loads_of_the_period(book)}
    assert months & {11, 12, 1}
    open_ = [e for e in made(book, "deficiency") if (DAY - e.values["found_on"]).days > 30]
    mended = {e.id for e in book.entries if e.kind == "deficiency" and e.act == "amend"}
    assert any(e.id not in mended for e in open_)


def test_one_load_waits_in_a_filed_year(books):
    book = books["marlow-brook"]
    closed = made(book, "closed_period")[0].values
    waiting = [e.values for e in made(book, "load") if e.values["status"] == "waiting"]
    assert len(waiting) == 1
    assert closed["from_on"] <= waiting[0]["local_day"] <= closed["to_on"]


def test_the_laboratory_units_differ(books):
    units = {
        (line["unit"], line.get("basis"))
        for book in books.values()
        for entry in made(book, "manure_test")
        for line in entry.values["results"]
        if line["analyte"] == "total_n"
    }
    assert {("lb/1000 gal", "as_is"), ("ppm", "as_is"), ("%", "dry"), ("lb/ton", "as_is")} <= units


def test_every_role_has_a_sign_in_and_somebody_reads_spanish(books):
    for slug in PER_FARM:
        roles = {e.values["role"] for e in made(books[slug], "membership")}
        assert roles == {"owner", "office", "crew", "hauler", "planner", "inspector"}
        assert any(signer.language == "es" for signer in books[slug].signers)


def test_the_certification_says_that_it_is_demonstration_wording(books):
    for book in books.values():
        permit = made(book, "permit")[0].values
        assert permit["certification_text"].startswith("DEMONSTRATION WORDING - replace by")
