"""A weight log comes in: proposals, decisions, loads; again, corrected, undone."""

from __future__ import annotations

import datetime as dt
import math
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from farmrecords.history import clock, write
from farmrecords.history.models import Entry
from farmrecords.intake import service
from farmrecords.intake.kinds import kind_named
from farmrecords.intake.models import IncomingFile
from farmrecords.loads import entry
from farmrecords.loads.facts import facts_of
from farmrecords.loads.models import Load, LoadPart
from farmrecords.people.models import ClosedPeriod
from fixtures.simulated.weigh_logs import CAPACITY_LB, M_PER_DEG_LAT, Conditions, simulate
from tests import builders

pytestmark = pytest.mark.django_db
FIRST = dt.datetime(2026, 4, 20, tzinfo=dt.UTC)
ORIGIN = (-89.5, 43.0)


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)):
        yield


def box(west_m: float, south_m: float, east_m: float, north_m: float) -> dict[str, Any]:
    wide = M_PER_DEG_LAT * math.cos(math.radians(43))
    lon = [ORIGIN[0] + west_m / wide, ORIGIN[0] + east_m / wide]
    lat = [ORIGIN[1] + south_m / M_PER_DEG_LAT, ORIGIN[1] + north_m / M_PER_DEG_LAT]
    ring = [(lon[0], lat[0]), (lon[1], lat[0]), (lon[1], lat[1]), (lon[0], lat[1])]
    return {"type": "Polygon", "coordinates": [[[x, y] for x, y in [*ring, ring[0]]]]}


class Farm:
    """A field around the simulated work, a spreader with a scale, and an office."""

    def __init__(self) -> None:
        self.operation = builders.make_operation("here")
        self.person = builders.make_person("ana")
        builders.make_member(self.operation, "office", self.person)
        self.seat = builders.seat_for(self.person, "here")
        self.field = builders.make_field(self.operation, "7", box(500, 800, 3000, 1500))
        self.pit = builders.make_storage(self.operation, form="solid", capacity_ton=500)
        self.spreader = builders.make_spreader(
            self.operation, form="solid", rated_load_text=f"{CAPACITY_LB:g}", rated_load_unit="lb"
        )
        self.log = simulate(201, 1, Conditions(trips_a_day=4))

    def csv(self, factor: float = 1.0, step: int = 2, shift: float = 0.0) -> bytes:
        rows = ["Time,Latitude,Longitude,Weight (lb)"]
        at, weight, lon, lat = self.log.columns
        for i in range(0, len(at), step):
            moment = FIRST + dt.timedelta(hours=6, seconds=float(at[i]) + shift)
            rows.append(
                f"{moment:%Y-%m-%dT%H:%M:%SZ},{lat[i]:.7f},{lon[i]:.7f},{weight[i] * factor:.0f}"
            )
        return "\n".join(rows).encode()

    def take_in(self, data: bytes | None = None, kind: str = "weight_log") -> IncomingFile:
        found = kind_named(kind)
        assert found is not None
        incoming = service.take_in(self.seat, found, "log.csv", data or self.csv())
        if service.questions_of(incoming):
            service.answer(self.seat, incoming, {"method:": "surface"}, incoming.rev)
        return incoming

    def decide(self, incoming: IncomingFile, choice: str = "confirm", **more: str) -> None:
        given = {
            f"load:{row['key']}": choice
            for row in proposals(incoming)
            if row["status"] not in ("standing", "here", "hand", "back")
        }
        service.answer(self.seat, incoming, given | more, incoming.rev)

    def bring(self) -> IncomingFile:
        incoming = self.take_in()
        self.decide(incoming)
        return service.confirm(self.seat, incoming, incoming.rev)


def proposals(incoming: IncomingFile) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = incoming.report["details"]["proposals"]
    return found


@pytest.fixture
def farm() -> Farm:
    return Farm()


def test_a_log_proposes_its_loads_and_makes_none(farm: Farm) -> None:
    incoming = farm.take_in()
    assert len(proposals(incoming)) == len(farm.log.loads)
    assert incoming.report["waiting"] == len(farm.log.loads)
    assert Load.objects.count() == 0
    with pytest.raises(service.NotTakenOver, match="wait for a decision"):
        service.confirm(farm.seat, incoming, incoming.rev)
    assert Load.objects.count() == 0


def test_a_file_without_a_unit_asks_for_it(farm: Farm) -> None:
    data = farm.csv().replace(b"Weight (lb)", b"Weight", 1)
    incoming = service.take_in(farm.seat, kind_named("weight_log"), "log.csv", data)
    assert "weight_unit" in [question.key for question in service.questions_of(incoming)]


def test_confirmed_proposals_become_loads_on_their_field_with_their_track(farm: Farm) -> None:
    incoming = farm.bring()
    loads = list(Load.objects.order_by("started_at"))
    assert len(loads) == len(farm.log.loads)
    for load, true in zip(loads, farm.log.loads, strict=True):
        assert load.amount_unit == "lb"
        assert float(load.amount_text) == pytest.approx(true.mass, rel=0.03)
        assert [part.field_id for part in load.parts.all()] == [farm.field.pk]
        assert load.spreader_id == farm.spreader.pk
        assert facts_of(load).parts[0]["covered_from"] == "track"
    event = Entry.objects.get(act="import")
    assert event.body.text is not None
    assert incoming.sha256 in event.body.text


def test_the_line_of_a_proposal_is_on_the_farms_clock_and_its_amount_is_grouped(farm: Farm) -> None:
    incoming = farm.take_in()
    farm.decide(incoming)
    first = proposals(incoming)[0]
    at = dt.datetime.fromisoformat(first["started"]).astimezone(farm.operation.zone)
    assert at.utcoffset() != dt.timedelta(0)
    words = incoming.report["lines"][0][1]
    assert words.startswith(f"{at:%Y-%m-%d %H:%M}, 7 ")
    assert re.search(r", \d\d,\d{3} lb$", words)  # a load of some 30,000 lb


def test_a_dropped_proposal_becomes_no_load(farm: Farm) -> None:
    incoming = farm.take_in()
    first, *others = proposals(incoming)
    given = {f"load:{row['key']}": "confirm" for row in others}
    given |= {f"load:{first['key']}": "drop"}
    service.answer(farm.seat, incoming, given, incoming.rev)
    service.confirm(farm.seat, incoming, incoming.rev)
    assert Load.objects.count() == len(others)


def test_the_same_log_again_changes_nothing(farm: Farm) -> None:
    farm.bring()
    before = list(Load.objects.values_list("pk", "rev"))
    again = farm.take_in()
    assert {row["status"] for row in proposals(again)} == {"here"}
    assert again.report["new"] == again.report["waiting"] == 0
    with pytest.raises(service.NotTakenOver, match="here already"):
        service.confirm(farm.seat, again, again.rev)
    assert list(Load.objects.values_list("pk", "rev")) == before


def test_an_undone_log_is_void_and_comes_back_when_it_is_brought_again(farm: Farm) -> None:
    incoming = farm.bring()
    service.undo(farm.seat, incoming, incoming.rev, "Wrong spreader.")
    assert not Load.objects.filter(voided=False).exists()
    again = farm.bring()
    assert len(again.result["restored"]) == len(farm.log.loads)
    assert Load.objects.filter(voided=False).count() == len(farm.log.loads)


def test_a_log_brought_again_into_a_period_filed_meanwhile_waits(farm: Farm) -> None:
    incoming = farm.bring()
    service.undo(farm.seat, incoming, incoming.rev, "Wrong spreader.")
    builders.save(
        ClosedPeriod(
            operation=farm.operation, from_on=dt.date(2026, 1, 1), to_on=dt.date(2026, 5, 31)
        )
    )
    farm.bring()
    assert {(load.voided, load.status) for load in Load.objects.all()} == {(False, "waiting")}


def test_a_corrected_log_proposes_amendments_one_by_one(farm: Farm) -> None:
    farm.bring()
    corrected = farm.take_in(farm.csv(factor=1.1))
    assert {row["status"] for row in proposals(corrected)} == {"differs"}
    first, *others = proposals(corrected)
    given = {f"load:{row['key']}": "drop" for row in others}
    given |= {f"load:{first['key']}": "amend"}
    service.answer(farm.seat, corrected, given, corrected.rev)
    before = {load.pk: load.amount_milli for load in Load.objects.all()}
    service.confirm(farm.seat, corrected, corrected.rev)
    changed = [load for load in Load.objects.all() if load.amount_milli != before[load.pk]]
    assert [str(load.pk) for load in changed] == [first["load"]]
    assert changed[0].amount_milli == pytest.approx(before[changed[0].pk] * 1.1, rel=0.01)
    service.undo(farm.seat, corrected, corrected.rev, "The first log was right.")
    assert {load.pk: load.amount_milli for load in Load.objects.all()} == before


def test_a_load_amended_by_hand_is_never_overwritten(farm: Farm) -> None:
    farm.bring()
    load = Load.objects.order_by("started_at").first()
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(load, base_rev=load.rev, values={"note": "weighed on the truck scale"},
                     reason_code="amend", reason_text="Better figure.")  # fmt: skip
    corrected = farm.take_in(farm.csv(factor=1.1))
    row = next(row for row in proposals(corrected) if row["load"] == str(load.pk))
    assert row["status"] == "hand"
    farm.decide(corrected, "amend", **{f"load:{row['key']}": "amend"})
    service.confirm(farm.seat, corrected, corrected.rev)
    load.refresh_from_db()
    assert load.rev == 2


def test_a_proposal_is_divided_and_joined_by_a_person(farm: Farm) -> None:
    incoming = farm.take_in()
    first, second, *others = proposals(incoming)
    start = dt.datetime.fromisoformat(first["started"])
    middle = start + (dt.datetime.fromisoformat(first["ended"]) - start) / 2
    service.answer(farm.seat, incoming, {f"split:{first['key']}": middle.isoformat()}, incoming.rev)
    halves = proposals(incoming)[:2]
    assert len(proposals(incoming)) == len(others) + 3
    assert sum(int(h["amount"]) for h in halves) == pytest.approx(int(first["amount"]), abs=1)
    service.answer(farm.seat, incoming, {f"split:{first['key']}": ""}, incoming.rev)
    service.answer(farm.seat, incoming, {f"join:{first['key']}": "next"}, incoming.rev)
    together = proposals(incoming)[0]
    assert len(proposals(incoming)) == len(others) + 1
    assert int(together["amount"]) == pytest.approx(
        int(first["amount"]) + int(second["amount"]), abs=1
    )


def test_a_load_over_a_border_is_divided_by_weight() -> None:
    farm = Farm()
    with write.change(by=farm.seat.actor, channel="web") as change:
        version = farm.field.version_on(dt.date(2026, 4, 20))
        change.amend(version, base_rev=1, values={"boundary": box(500, 800, 3000, 960)},
                     reason_code="correct")  # fmt: skip
    beyond = builders.make_field(farm.operation, "8", box(500, 960, 3000, 1500))
    incoming = farm.take_in()
    several = [row for row in proposals(incoming) if len(row["shares"]) == 2]
    assert several
    assert all("several_fields" in row["doubts"] for row in several)
    assert all(
        sum(int(s["amount"]) for s in row["shares"]) == int(row["amount"]) for row in several
    )
    farm.decide(incoming)
    service.confirm(farm.seat, incoming, incoming.rev)
    assert {part.field_id for part in LoadPart.objects.all()} == {farm.field.pk, beyond.pk}


def test_without_a_field_at_the_place_a_person_chooses_one(farm: Farm) -> None:
    with write.change(by=farm.seat.actor, channel="web") as change:
        version = farm.field.version_on(dt.date(2026, 4, 20))
        change.amend(version, base_rev=1, values={"boundary": box(-900, -900, -500, -500)},
                     reason_code="correct")  # fmt: skip
    incoming = farm.take_in()
    farm.decide(incoming)
    assert {row["status"] for row in proposals(incoming)} == {"refused"}
    given = {f"load_field:{row['key']}": str(farm.field.pk) for row in proposals(incoming)}
    service.answer(farm.seat, incoming, given, incoming.rev)
    assert incoming.report["waiting"] == 0
    service.confirm(farm.seat, incoming, incoming.rev)
    assert Load.objects.count() == len(farm.log.loads)


def test_a_load_entered_by_hand_at_that_time_stays_alone(farm: Farm) -> None:
    true = farm.log.loads[0]
    started = FIRST + dt.timedelta(hours=6, seconds=true.start_s)
    entry.record_load(
        farm.seat,
        entry.LoadDraft(
            started=started,
            ended=started + dt.timedelta(minutes=6),
            parts=[entry.PartDraft(farm.field)],
            draws=[entry.DrawDraft(farm.pit)],
            method="surface",
            amount_text="15",
            amount_unit="ton",
            spreader=farm.spreader,
        ),
        channel="web",
    )
    statuses = [row["status"] for row in proposals(farm.take_in())]
    assert statuses.count("hand") == 1


def test_the_page_shows_each_proposal_and_takes_decisions(farm: Farm) -> None:
    client = Client()
    client.force_login(farm.person)
    incoming = farm.take_in()
    url = reverse("proposed_loads", args=["here", incoming.pk])
    page = client.get(url).content.decode()
    for row in proposals(incoming):
        assert f'name="do_{row["key"]}"' in page
    answer = client.post(url, {"revision": incoming.rev, "do": "sure"})
    assert answer.status_code == 302
    incoming.refresh_from_db()
    first = proposals(incoming)[0]
    data = {f"do_{row['key']}": "confirm" for row in proposals(incoming)}
    data |= {f"field_{row['key']}": row["shares"][0]["field"] for row in proposals(incoming)}
    assert client.post(url, data | {"revision": incoming.rev, "do": "decide"}).status_code == 302
    incoming.refresh_from_db()
    wrong = client.post(url, data | {"revision": incoming.rev, f"split_{first['key']}": "03:00"})
    assert wrong.status_code == 422
    assert "lies outside the load" in wrong.content.decode()
    assert client.post(url, {"revision": incoming.rev, "do": "take_over"}).status_code == 302
    assert Load.objects.count() == len(farm.log.loads)
    assert client.get(url).status_code == 200


def test_a_stale_page_decides_nothing(farm: Farm) -> None:
    client = Client()
    client.force_login(farm.person)
    incoming = farm.take_in()
    url = reverse("proposed_loads", args=["here", incoming.pk])
    for revision in (incoming.rev - 1, "x", ""):
        assert client.post(url, {"revision": revision, "do": "sure"}).status_code == 422


def test_a_load_partly_outside_may_be_put_on_one_field_by_a_person(farm: Farm) -> None:
    with write.change(by=farm.seat.actor, channel="web") as change:
        version = farm.field.version_on(dt.date(2026, 4, 20))
        change.amend(version, base_rev=1, values={"boundary": box(500, 800, 3000, 960)},
                     reason_code="correct")  # fmt: skip
    incoming = farm.take_in()
    partly = next(row for row in proposals(incoming) if len(row["shares"]) == 2)
    assert "outside" in partly["doubts"]
    client = Client()
    client.force_login(farm.person)
    url = reverse("proposed_loads", args=["here", incoming.pk])
    assert f'name="field_{partly["key"]}"' in client.get(url).content.decode()
    data = {f"field_{partly['key']}": str(farm.field.pk), f"do_{partly['key']}": "confirm"}
    client.post(url, data | {"revision": incoming.rev, "do": "decide"})
    incoming.refresh_from_db()
    row = next(row for row in proposals(incoming) if row["key"] == partly["key"])
    assert [share["field"] for share in row["shares"]] == [str(farm.field.pk)]
    assert row["status"] == "confirm"
