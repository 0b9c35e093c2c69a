"""Boundaries, features and tracks come in: matched, dated, repaired only when asked, undone."""

import datetime as dt
import json
import subprocess
import sys

import pytest
from django.conf import settings
from django.urls import reverse

from farmrecords.farm.models import Feature, Field, FieldVersion
from farmrecords.history import clock
from farmrecords.intake import bounded, service
from farmrecords.intake.models import IncomingFile
from farmrecords.loads import facts
from farmrecords.loads.models import Load
from tests import builders
from tests.intake.land import MOVED, Farm, keys, outline, point

pytestmark = pytest.mark.django_db

BOW_TIE = [[[-89.5, 43.0], [-89.495, 43.003], [-89.495, 43.0], [-89.5, 43.003], [-89.5, 43.0]]]


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)):
        yield


@pytest.fixture
def farm():
    return Farm()


def test_a_new_outline_holds_from_its_day_and_the_old_one_until_the_day_before(farm):
    incoming = farm.take_in("boundaries", [outline("7", MOVED)])
    assert keys(incoming) == ["from_on"]
    service.answer(farm.seat, incoming, {"from_on": "2026-04-01"}, incoming.rev)
    # 40.290596 ac x 0.003 / 0.0036 (a strip of latitude): about 33.58 ac
    assert incoming.report["lines"][0][1].endswith("33.58 ac, until now 40.29 ac")
    farm.confirm(incoming)
    old = farm.field.version_on(dt.date(2026, 3, 31))
    new = farm.field.version_on(dt.date(2026, 4, 1))
    assert old.boundary == builders.SQUARE
    assert new.boundary["coordinates"] == MOVED
    assert old.to_on == dt.date(2026, 3, 31)


def test_undoing_an_outline_gives_the_old_one_back_its_days(farm):
    incoming = farm.confirm(farm.take_in("boundaries", [outline("7", MOVED)], from_on="2026-04-01"))
    service.undo(farm.seat, incoming, incoming.rev, "Wrong file")
    version = farm.field.version_on(dt.date(2026, 5, 1))
    assert version.boundary == builders.SQUARE
    assert version.to_on is None


def test_the_same_outline_again_changes_nothing(farm):
    farm.confirm(farm.take_in("boundaries", [outline("7", MOVED)], from_on="2026-04-01"))
    again = farm.take_in("boundaries", [outline("7", MOVED)], from_on="2026-04-01")
    assert again.report["new"] == 0


def test_an_unknown_name_is_asked_before_a_field_is_entered(farm):
    incoming = farm.take_in("boundaries", [outline("Back 40", MOVED)], from_on="2026-04-01")
    assert keys(incoming) == ["new_fields"]
    service.answer(farm.seat, incoming, {"new_fields": "create"}, incoming.rev)
    farm.confirm(incoming)
    field = Field.objects.get(name="Back 40")
    assert (field.began_on, field.versions.count()) == (dt.date(2026, 4, 1), 1)


def test_a_self_crossing_outline_is_mended_only_when_asked_with_both_acres(farm):
    incoming = farm.take_in("boundaries", [outline("7", BOW_TIE)])
    assert "repair:1" in keys(incoming)
    asked = next(q for q in incoming.report["questions"] if q["key"] == "repair:1")["asked"]
    assert "acres instead of" in asked
    assert FieldVersion.objects.count() == 1
    service.answer(
        farm.seat, incoming, {"repair:1": "accept", "from_on": "2026-04-01"}, incoming.rev
    )
    if keys(incoming):
        service.answer(farm.seat, incoming, {"from_on": "2026-04-01"}, incoming.rev)
    farm.confirm(incoming)
    assert FieldVersion.objects.count() == 2


def test_a_refused_repair_stops_the_file(farm):
    incoming = farm.take_in("boundaries", [outline("7", BOW_TIE)], **{"repair:1": "refuse"})
    assert incoming.report["rejected_count"] == 1
    assert not service.is_ready(incoming)


def test_swapped_coordinates_are_asked(farm):
    swapped = [[[lat, lon] for lon, lat in MOVED[0]]]
    incoming = farm.take_in("boundaries", [outline("7", swapped)])
    assert "swap" in keys(incoming)
    assert "43.0" in incoming.report["questions"][0]["asked"]


def test_coordinates_that_are_no_numbers_are_named(farm):
    ring = '[[-89.5,43.0],[-89.495,"x"],[-89.495,43.003],[-89.5,43.0]]'
    data = (
        '{"type":"Feature","properties":{"name":"7"},"geometry":{"type":"Polygon",'
        f'"coordinates":[{ring}]}}}}'
    )
    incoming = farm.take_in("boundaries", data.encode())
    (told,) = incoming.report["rejected"]
    assert (told["row"], told["value"]) == (1, "7")
    assert told["remedy"]


def test_nan_in_a_file_is_refused_as_a_whole(farm):
    data = b'{"type":"Point","coordinates":[NaN,43.0]}'
    with pytest.raises(bounded.FormatError, match="NaN"):
        farm.take_in("features", data)
    assert IncomingFile.objects.count() == 0


def test_an_outline_drawn_twice_for_one_field_is_refused(farm):
    incoming = farm.take_in(
        "boundaries", [outline("7", MOVED), outline("7", BOW_TIE[:0] + MOVED)],
        from_on="2026-04-01",
    )  # fmt: skip
    assert "same field" in incoming.report["rejected"][0]["reason"]


def test_features_come_in_once_and_move_from_their_day(farm):
    well = [point("House well", "drinking-water well", -89.494, 43.001)]
    farm.confirm(farm.take_in("features", well, from_on="2026-01-01"))
    assert farm.take_in("features", well, from_on="2026-01-01").report["new"] == 0
    moved = [point("House well", "drinking-water well", -89.493, 43.001)]
    farm.confirm(farm.take_in("features", moved, from_on="2026-05-01"))
    before = Feature.objects.in_force(dt.date(2026, 4, 30)).get()
    after = Feature.objects.in_force(dt.date(2026, 5, 1)).get()
    assert before.geometry["coordinates"] == [-89.494, 43.001]
    assert after.geometry["coordinates"] == [-89.493, 43.001]
    assert after.kind == "well_drinking"


def test_an_unknown_kind_of_feature_is_asked(farm):
    incoming = farm.take_in(
        "features", [point("", "borehole", -89.494, 43.001)], from_on="2026-01-01"
    )
    assert keys(incoming) == ["kind:borehole"]
    service.answer(farm.seat, incoming, {"kind:borehole": "leave"}, incoming.rev)
    assert incoming.report["new"] == 0


def gpx(first, metres=4):
    points = "".join(
        f'<trkpt lat="{43.001 + i * 0.00003:.5f}" lon="-89.4975">'
        f"<time>{(first + dt.timedelta(seconds=2 * i)).isoformat().replace('+00:00', 'Z')}</time>"
        "</trkpt>"
        for i in range(30)
    )
    return (
        '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
        f"{points}</trkseg></trk></gpx>"
    ).encode()


def test_a_track_is_laid_on_the_load_that_ran_then_and_undone(farm):
    spreader = builders.make_spreader(farm.operation)
    pit = builders.make_storage(farm.operation)
    load = builders.make_load(farm.field, pit, spreader=spreader)  # from noon UTC of 20 April
    incoming = farm.take_in("track", gpx(load.started_at + dt.timedelta(minutes=1)))
    farm.confirm(incoming)
    load = Load.objects.get(pk=load.pk)
    assert facts.facts_of(load).parts[0]["covered_from"] == "track"
    assert farm.take_in("track", gpx(load.started_at + dt.timedelta(minutes=1))).report["new"] == 0
    service.undo(farm.seat, incoming, incoming.rev, "Another tank")
    load = Load.objects.get(pk=load.pk)
    assert facts.facts_of(load).parts[0]["covered_from"] == "whole_field"
    assert load.parts.get().track_sha256 == ""


def test_a_track_without_a_load_names_its_time(farm):
    incoming = farm.take_in("track", gpx(dt.datetime(2026, 4, 20, 12, tzinfo=dt.UTC)))
    (told,) = incoming.report["rejected"]
    assert "2026-04-20 12:00" in told["reason"]
    assert "Enter the load first" in told["remedy"]


def test_a_reader_that_breaks_or_takes_too_long_is_one_plain_refusal(farm, monkeypatch):
    monkeypatch.setattr(bounded, "WALL_SECONDS", 0.01)
    with pytest.raises(bounded.FormatError, match="time and memory"):
        farm.take_in("boundaries", [outline("7", MOVED)])
    assert IncomingFile.objects.count() == 0


PAGES = ("import", "incoming_file")


@pytest.mark.parametrize(
    ("role", "status"),
    [("owner", 200), ("office", 200), ("crew", 404), ("hauler", 404), ("planner", 404),
     ("inspector", 404)],
)  # fmt: skip
def test_only_office_and_owner_bring_files(farm, client, role, status):
    incoming = farm.take_in("boundaries", [outline("7", MOVED)])
    client.force_login(builders.make_seat(farm.operation, role).person)
    slug = farm.operation.slug
    assert client.get(reverse("import", args=[slug])).status_code == status
    assert client.get(reverse("incoming_file", args=[slug, incoming.pk])).status_code == status


def test_a_file_of_another_operation_does_not_exist(farm, client):
    incoming = farm.take_in("boundaries", [outline("7", MOVED)])
    stranger = builders.make_seat(builders.make_operation())
    client.force_login(stranger.person)
    url = reverse("incoming_file", args=[stranger.operation.slug, incoming.pk])
    assert client.get(url).status_code == 404
    assert client.post(url, {"do": "confirm", "revision": "1"}).status_code == 404


def test_the_way_through_the_pages_without_javascript(farm, client, tmp_path):
    client.force_login(farm.seat.person)
    slug = farm.operation.slug
    data = json.dumps({"type": "FeatureCollection", "features": [outline("7", MOVED)]})
    path = tmp_path / "land.geojson"
    path.write_text(data)
    with path.open("rb") as file:
        brought = client.post(reverse("import", args=[slug]), {"kind": "boundaries", "file": file})
    url = brought["Location"]
    assert "leaves something open" in client.get(url).content.decode()
    answered = client.post(url, {"do": "answer", "revision": "1", "question_0": "2026-04-01"})
    assert answered.status_code == 302
    assert "Take it over" in client.get(url).content.decode()
    stale = client.post(url, {"do": "confirm", "revision": "1"})
    assert stale.status_code == 422
    assert FieldVersion.objects.count() == 1
    assert client.post(url, {"do": "confirm", "revision": "2"}).status_code == 302
    assert FieldVersion.objects.count() == 2
    undone = client.post(url, {"do": "undo", "revision": "3", "reason": ""})
    assert undone.status_code == 422
    assert client.post(url, {"do": "undo", "revision": "3", "reason": "x"}).status_code == 302
    assert farm.field.version_on(dt.date(2026, 5, 1)).boundary == builders.SQUARE


def test_a_bad_file_is_told_on_the_upload_page(farm, client, tmp_path):
    client.force_login(farm.seat.person)
    path = tmp_path / "land.geojson"
    path.write_text("{")
    with path.open("rb") as file:
        answer = client.post(
            reverse("import", args=[farm.operation.slug]), {"kind": "boundaries", "file": file}
        )
    assert answer.status_code == 422
    assert IncomingFile.objects.count() == 0


def test_the_bounded_process_stops_a_reader_that_never_ends():
    code = "from farmrecords.intake import parse; parse.CPU_SECONDS = 1; parse.bound()\nwhile 1: 1"
    done = subprocess.run([sys.executable, "-c", code], cwd=settings.BASE_DIR, check=False)
    assert done.returncode != 0


def test_the_bounded_process_may_not_take_all_memory_or_write_files(tmp_path):
    bound = "from farmrecords.intake import parse; parse.bound()\n"
    for code in (
        "b'x' * (2 * 1024**3)",
        f"open({str(tmp_path / 'x')!r}, 'wb', buffering=0).write(b'x')",
    ):
        done = subprocess.run(
            [sys.executable, "-c", bound + code], cwd=settings.BASE_DIR, check=False,
            capture_output=True,
        )  # fmt: skip
        assert done.returncode != 0
