"""Facts after a change and after a correction of the land; long work with its progress."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from farmrecords.farm.models import FieldVersion
from farmrecords.history import clock, write
from farmrecords.intake import tasks, waiting
from farmrecords.intake.models import IncomingFile, Work
from farmrecords.loads import renewing
from farmrecords.loads.facts import facts_of
from farmrecords.loads.facts_past import facts_as_of
from farmrecords.loads.models import Load, LoadFacts
from tests import builders

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)
LATER = NOW + dt.timedelta(days=1)
# Half of the builders' square, from its western edge on.
HALF = {
    "type": "Polygon",
    "coordinates": [
        [[-89.5, 43.0], [-89.4975, 43.0], [-89.4975, 43.0036], [-89.5, 43.0036], [-89.5, 43.0]]
    ],
}


class Farm:
    """One field with two loads, one before and one after the first of May."""

    def __init__(self) -> None:
        self.operation = builders.make_operation("here")
        self.person = builders.make_person("ana")
        builders.make_member(self.operation, "office", self.person)
        self.seat = builders.seat_for(self.person, "here")
        self.field = builders.make_field(self.operation)
        self.pit = builders.make_storage(self.operation)
        self.april = builders.make_load(self.field, self.pit, dt.date(2026, 4, 20))
        self.may = builders.make_load(self.field, self.pit, dt.date(2026, 5, 20))
        for load in (self.april, self.may):
            facts_of(load)

    def acres(self, load: Load) -> float:
        found = facts_of(Load.objects.get(pk=load.pk)).parts[0]["boundary_ac"]
        return round(float(found), 2)

    def change(self, obj: Any, values: dict[str, Any]) -> None:
        with write.change(by=self.seat.actor, channel="web") as change:
            change.amend(obj, base_rev=obj.rev, values=values, reason_code="correct")


@pytest.fixture
def farm() -> Farm:
    with clock.standing_at(NOW):
        return Farm()


def test_a_change_from_a_day_on_leaves_earlier_days_as_they_were(farm: Farm) -> None:
    old = farm.field.version_on(dt.date(2026, 4, 1))
    before = LoadFacts.objects.get(load=farm.april).parts
    with clock.standing_at(LATER):
        with write.change(by=farm.seat.actor, channel="web") as change:
            change.amend(old, base_rev=1, values={"to_on": dt.date(2026, 4, 30)},
                         reason_code="changed")  # fmt: skip
            new = FieldVersion(operation=farm.operation, field=farm.field, boundary=HALF,
                               from_on=dt.date(2026, 5, 1))  # fmt: skip
            change.create(new)
        renewing.renew_facts.call(_work(farm), str(farm.operation.pk))
    assert farm.acres(farm.may) == 20.15
    assert farm.acres(farm.april) == 40.29
    april, may = (LoadFacts.objects.get(load=load) for load in (farm.april, farm.may))
    # 40.290596 ac, as pyproj and geographiclib 2.1 agree
    assert april.parts[0]["boundary_ac"] == pytest.approx(40.290596, abs=0.001)
    told = {"field_version_rev"}
    assert [_without(part, told) for part in april.parts] == [
        _without(part, told) for part in before
    ]
    assert april.parts[0]["field_version"] == str(old.pk)
    assert may.parts[0]["field_version"] == str(new.pk)


def _without(part: dict[str, Any], names: set[str]) -> dict[str, Any]:
    return {name: value for name, value in part.items() if name not in names}


def test_a_correction_works_all_its_days_out_again_and_as_of_shows_the_earlier_state(
    farm: Farm,
) -> None:
    version = farm.field.version_on(dt.date(2026, 4, 1))
    with clock.standing_at(LATER):
        farm.change(version, {"boundary": HALF})
        renewing.renew_facts.call(_work(farm), str(farm.operation.pk))
    assert (farm.acres(farm.april), farm.acres(farm.may)) == (20.15, 20.15)
    then = facts_as_of(farm.april, NOW + dt.timedelta(hours=1))
    now = facts_as_of(farm.april, LATER + dt.timedelta(hours=1))
    assert round(then[0]["boundary_ac"], 2) == 40.29
    assert round(now[0]["boundary_ac"], 2) == 20.15
    assert facts_as_of(farm.april, NOW - dt.timedelta(days=400)) == []


def test_a_feature_that_is_corrected_changes_distances_and_as_of_tells_the_old_one(
    farm: Farm,
) -> None:
    with clock.standing_at(NOW):
        near = {"type": "Point", "coordinates": [-89.4949, 43.001]}
        well = builders.make_feature(farm.operation, "well_drinking", near)
    with clock.standing_at(LATER):
        first = facts_of(Load.objects.get(pk=farm.april.pk)).parts[0]["distances"]
        farm.change(well, {"geometry": {"type": "Point", "coordinates": [-89.4945, 43.001]}})
        second = facts_of(Load.objects.get(pk=farm.april.pk)).parts[0]["distances"]
    then = facts_as_of(farm.april, NOW + dt.timedelta(hours=1))[0]["distances"]
    assert second[0]["distance_ft"] > first[0]["distance_ft"] + 50
    assert then[0]["distance_ft"] == pytest.approx(first[0]["distance_ft"])


def _work(farm: Farm) -> str:
    work = Work.objects.create(operation=farm.operation, kind="facts", title="Facts", asked_at=NOW)
    return str(work.pk)


def test_the_progress_is_kept_and_a_second_run_does_no_harm(farm: Farm) -> None:
    farm.change(farm.field.version_on(dt.date(2026, 4, 1)), {"boundary": HALF})
    first = _work(farm)
    assert renewing.renew_facts.call(first, str(farm.operation.pk)) == 2
    work = Work.objects.get(pk=first)
    assert (work.state, work.done, work.total) == ("done", 2, 2)
    assert renewing.renew_facts.call(_work(farm), str(farm.operation.pk)) == 0


@pytest.mark.django_db(transaction=True)
def test_a_change_of_the_land_asks_for_the_work_once() -> None:
    with clock.standing_at(NOW):
        farm = Farm()
        for name in ("one", "two"):
            version = FieldVersion.objects.get(field=farm.field)
            farm.change(version, {"soil": name})
    assert Work.objects.filter(kind="facts", state="waiting").count() == 1


ROWS = "Date,Rain (in)\n" + "\n".join(f"2026-04-{day:02},0.{day:02}" for day in range(1, 29))


def test_a_large_file_is_read_beside_the_pages(farm: Farm, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tasks, "LARGE_BYTES", 10)
    given: list[tuple[Any, ...]] = []
    monkeypatch.setattr(type(tasks.read_file), "enqueue", lambda _self, *args: given.append(args))
    client = Client()
    client.force_login(farm.person)
    from django.core.files.uploadedfile import SimpleUploadedFile
    from django.test import TestCase

    with clock.standing_at(NOW), TestCase.captureOnCommitCallbacks(execute=True):
        answer = client.post(
            reverse("import", args=["here"]),
            {"kind": "gauge", "file": SimpleUploadedFile("gauge.csv", ROWS.encode())},
        )
    work = Work.objects.get(kind="read_file")
    page = reverse("work", args=["here", work.pk])
    assert answer["Location"] == page
    assert 'hx-trigger="every 2s"' in client.get(page).content.decode()
    with clock.standing_at(NOW):
        tasks.read_file.call(*given[0])
    work.refresh_from_db()
    assert (work.state, work.file.name) == ("done", "gauge.csv")
    text = client.get(page).content.decode()
    assert "hx-trigger" not in text
    assert reverse("incoming_file", args=["here", work.file.pk]) in text


def test_a_large_file_that_cannot_be_read_ends_with_plain_words(farm: Farm) -> None:
    laid = waiting.lay_aside(b"no weather\n")
    work = _work(farm)
    tasks.read_file.call(work, str(farm.person.pk), "here", "gauge", "x.csv", laid)
    found = Work.objects.get(pk=work)
    assert found.state == "failed"
    assert "headings" in found.message
    assert not IncomingFile.objects.exists()


def test_many_rows_are_taken_over_beside_the_pages(
    farm: Farm, monkeypatch: pytest.MonkeyPatch
) -> None:
    from farmrecords.intake import service
    from farmrecords.intake.kinds import kind_named
    from farmrecords.measurements.models import WeatherDay

    monkeypatch.setattr(tasks, "MANY_ROWS", 5)
    kind = kind_named("gauge")
    assert kind is not None
    with clock.standing_at(NOW):
        incoming = service.take_in(farm.seat, kind, "gauge.csv", ROWS.encode())
        service.answer(farm.seat, incoming, {"day_station": "barn"}, incoming.rev)
        client = Client()
        client.force_login(farm.person)
        url = reverse("incoming_file", args=["here", incoming.pk])
        answer = client.post(url, {"do": "confirm", "revision": incoming.rev})
        work = Work.objects.get(kind="take_over")
        assert answer["Location"] == reverse("work", args=["here", work.pk])
        assert not WeatherDay.objects.exists()
        for _twice in range(2):
            tasks.take_over.call(
                str(work.pk), str(farm.person.pk), "here", str(incoming.pk), incoming.rev
            )
    assert WeatherDay.objects.count() == 28
    assert WeatherDay.objects.get(day=dt.date(2026, 4, 9)).rain_in == Decimal("0.09")


def test_work_of_another_farm_is_not_shown(farm: Farm) -> None:
    other = builders.make_operation("there")
    work = Work.objects.create(operation=other, kind="facts", title="Facts", asked_at=NOW)
    client = Client()
    client.force_login(farm.person)
    assert client.get(reverse("work", args=["here", work.pk])).status_code == 404
