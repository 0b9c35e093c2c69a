"""Damaged files on their whole way through the intake: no server error, nothing taken over by half.

Each file is brought in on the page, its questions are answered with what they offer first, and it
is confirmed when it may be. A share of the campaign of tests/formats/test_mutated_files.py: 1,600
files with FARMRECORDS_FULL=1, else a twentieth; the seed is printed. The reader runs in this
process (its bounds are tested beside it); one file of each kind goes through the bounded one.
"""

import datetime as dt
import json
import os
import random
from collections import Counter

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse

from farmrecords.history import clock
from farmrecords.history.models import Entry
from farmrecords.history.recorded import Recorded
from farmrecords.intake import bounded, parse, service
from farmrecords.intake.models import ColumnMapping, IncomingFile
from tests import builders
from tests.formats.damage import damaged
from tests.formats.readers import WHOLE

pytestmark = pytest.mark.django_db
FULL = 1_600
RUNS = FULL if os.environ.get("FARMRECORDS_FULL") == "1" else FULL // 20
SEED = int(os.environ.get("FARMRECORDS_SEED", "20250404"))
# kind of file here, and the ending of its name
BROUGHT = {
    "intake: list of loads": ("loads", "csv"),
    "intake: workbook of loads": ("loads", "xlsx"),
    "intake: GeoJSON": ("features", "geojson"),
    "intake: KML": ("boundaries", "kml"),
    "intake: KMZ": ("boundaries", "kmz"),
    "intake: Shapefile": ("boundaries", "zip"),
    "intake: GPX": ("track", "gpx"),
    "intake: NMEA": ("receiver_log", "nmea"),
    "intake: weight log": ("weight_log", "csv"),
    "intake: machine record": ("machine_record", "zip"),
    "intake: station days": ("ghcn", "csv"),
    "intake: gauge": ("gauge", "csv"),
    "intake: forecast": ("weather_service", "json"),
    "intake: observations": ("weather_service", "json"),
    "intake: waters": ("waters", "geojson"),
    "intake: soil survey": ("soils", "zip"),
}
MOST_ROUNDS = 5


class Undone(Exception):
    """Everything one file did is taken back."""


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(dt.datetime(2026, 5, 1, 15, tzinfo=dt.UTC)):
        yield


@pytest.fixture
def desk():
    operation = builders.make_operation()
    builders.make_field(operation, "12B")
    builders.make_storage(operation, "North pit")
    builders.make_spreader(operation)
    client = Client()
    client.raise_request_exception = False
    client.force_login(builders.make_seat(operation).person)
    return client, operation.slug


def in_this_process(reader, data, answers, context):
    told = parse.told(reader, answers, context, data)
    return bounded._parsed(json.loads(json.dumps(told, allow_nan=False)))


def counts():
    """How many rows every recorded table has, but the files themselves."""
    kept = [model for model in apps.get_models() if issubclass(model, Recorded)]
    apart = (IncomingFile, ColumnMapping)
    return {m.__name__: m._base_manager.count() for m in kept if m not in apart}


def answered(question):
    if question.choices:
        return question.suggested or question.choices[0].value
    return question.examples[0] if question.examples else "2026-04-01"


def way_through(desk, name, data):
    """Bring, answer and confirm one file; returns how far it came."""
    client, slug = desk
    kind, ending = BROUGHT[name]
    before = counts()
    sent = {"kind": kind, "file": SimpleUploadedFile(f"file.{ending}", data)}
    page = client.post(reverse("import", args=[slug]), sent)
    assert page.status_code in (302, 422), page.content[-2000:]
    incoming = IncomingFile.objects.first()
    if incoming is None:
        assert counts() == before
        return "refused" if page.status_code == 422 else "read beside the pages"
    url = reverse("incoming_file", args=[slug, incoming.pk])
    for _round in range(MOST_ROUNDS):
        assert client.get(url).status_code == 200
        questions = service.questions_of(incoming)
        if not questions or incoming.report["rejected_count"]:
            break
        answers = {f"question_{at}": answered(one) for at, one in enumerate(questions)}
        page = client.post(url, {"do": "answer", "revision": incoming.rev, **answers})
        assert page.status_code in (302, 422), page.content[-2000:]
        incoming.refresh_from_db()
    assert counts() == before
    page = client.post(url, {"do": "confirm", "revision": incoming.rev})
    assert page.status_code in (302, 422), page.content[-2000:]
    incoming.refresh_from_db()
    if incoming.state != "confirmed":
        assert counts() == before
        return "asked"
    new = sum((Counter(counts()) - Counter(before)).values())
    assert new == len(incoming.result["created"])
    assert new or incoming.result["amended"] or incoming.result["restored"]
    assert Entry.objects.filter(obj_id=incoming.pk, act="import").count() == 1
    return "taken over"


def tried(desk, name, data):
    outcome = ""
    try:
        with transaction.atomic():
            outcome = way_through(desk, name, data)
            raise Undone
    except Undone:
        return outcome


def test_every_kind_of_the_campaign_is_brought():
    assert set(BROUGHT) == set(WHOLE)


@pytest.mark.parametrize("name", sorted(WHOLE))
def test_no_damaged_file_ends_in_an_error_or_is_taken_over_by_half(desk, monkeypatch, name):
    monkeypatch.setattr(service, "parse", in_this_process)
    chance = random.Random(f"{SEED}-{name}")
    good = WHOLE[name][1]()
    runs = RUNS // len(WHOLE)
    came = Counter(tried(desk, name, damaged(good, chance)) for _ in range(runs))
    print(f"{name}: {runs} damaged files, seed {SEED}: {dict(came)}")  # noqa: T201
    assert came.total() == runs


@pytest.mark.parametrize("name", sorted(WHOLE))
def test_one_damaged_file_of_each_kind_through_the_bounded_process(desk, name):
    chance = random.Random(f"{SEED}-bounded-{name}")
    outcome = tried(desk, name, damaged(WHOLE[name][1](), chance))
    assert outcome in ("refused", "asked", "taken over")


def test_the_good_file_of_each_kind_is_not_refused(desk, monkeypatch):
    monkeypatch.setattr(service, "parse", in_this_process)
    came = {name: tried(desk, name, sample()) for name, (_reader, sample) in WHOLE.items()}
    assert [name for name, outcome in came.items() if outcome == "refused"] == []
    taken = {name for name, outcome in came.items() if outcome == "taken over"}
    # a track needs its load; a log waits for a person to decide on each load it proposes
    waiting = {"intake: GPX", "intake: NMEA", "intake: weight log", "intake: machine record"}
    assert taken == set(WHOLE) - waiting
