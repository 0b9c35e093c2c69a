"""An ISO 11783-10 record comes in: its tank level gives proposals, its names are matched."""

from __future__ import annotations

import datetime as dt
import io
import math
import zipfile
from typing import Any

import pytest

from farmrecords.formats.common import FormatError
from farmrecords.history import clock
from farmrecords.intake import service
from farmrecords.intake.kinds import kind_named
from farmrecords.intake.models import IncomingFile
from farmrecords.loads.facts import facts_of
from farmrecords.loads.models import Load
from fixtures.simulated.taskdata import folder
from fixtures.simulated.weigh_logs import CAPACITY_LB, M_PER_DEG_LAT, Conditions, simulate
from tests import builders
from tests.formats.taskdata_files import folder as small_folder

pytestmark = pytest.mark.django_db
TANK_GAL = 6000.0
ORIGIN = (-89.5, 43.0)
DAY = dt.date(2026, 4, 20)


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)):
        yield


class Farm:
    """A tanker by the machine's name, two pits, one field around the simulated work."""

    def __init__(self, boundary: Any = None) -> None:
        self.operation = builders.make_operation("here")
        self.seat = builders.make_seat(self.operation)
        self.pits = [builders.make_storage(self.operation) for _twice in range(2)]
        self.spreader = builders.make_spreader(
            self.operation, rated_load_text="6000", rated_load_unit="gal"
        )
        self.field = builders.make_field(
            self.operation, "7", boundary or around(500, 800, 3000, 1500)
        )
        self.log = simulate(301, 1, Conditions(noise_pct=1.0, trips_a_day=3, one_place=True))

    def record(self, machine: str = "", field: str = "Field 7") -> bytes:
        return folder(
            self.log, DAY, machine=machine or self.spreader.name, field=field,
            tank_gal=TANK_GAL, gal_per_mass=TANK_GAL / CAPACITY_LB,
        )  # fmt: skip

    def take_in(self, data: bytes, **answers: str) -> IncomingFile:
        kind = kind_named("machine_record")
        assert kind is not None
        incoming = service.take_in(self.seat, kind, "TASKDATA.zip", data)
        known = {"method": "injected", "storage": str(self.pits[0].pk)} | answers
        asked = {q.key: known[q.key.partition(":")[0]] for q in service.questions_of(incoming)}
        if asked:
            service.answer(self.seat, incoming, asked, incoming.rev)
        return incoming


def around(west_m: float, south_m: float, east_m: float, north_m: float) -> dict[str, Any]:
    wide = M_PER_DEG_LAT * math.cos(math.radians(ORIGIN[1]))
    lon = [ORIGIN[0] + west_m / wide, ORIGIN[0] + east_m / wide]
    lat = [ORIGIN[1] + south_m / M_PER_DEG_LAT, ORIGIN[1] + north_m / M_PER_DEG_LAT]
    ring = [(lon[0], lat[0]), (lon[1], lat[0]), (lon[1], lat[1]), (lon[0], lat[1])]
    return {"type": "Polygon", "coordinates": [[[x, y] for x, y in [*ring, ring[0]]]]}


def proposals(incoming: IncomingFile) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = incoming.report["details"]["proposals"]
    return found


def test_the_tank_level_gives_loads_in_gallons_on_the_terminals_clock() -> None:
    farm = Farm()
    incoming = farm.take_in(farm.record())
    assert any("zone assumed" in words for words in incoming.report["warnings"])
    rows = proposals(incoming)
    assert len(rows) == len(farm.log.loads)
    given = {f"load:{row['key']}": "confirm" for row in rows}
    service.answer(farm.seat, incoming, given, incoming.rev)
    service.confirm(farm.seat, incoming, incoming.rev)
    for load, true in zip(Load.objects.order_by("started_at"), farm.log.loads, strict=True):
        assert load.amount_milli / 1000 == pytest.approx(
            true.mass * TANK_GAL / CAPACITY_LB, rel=0.03
        )
        # the simulated day begins at 07:00 by the terminal, which is taken for the farm's clock
        assert abs((load.started_local - load.started_local.replace(
            hour=0, minute=0, second=0)).total_seconds() - true.start_s) < 30  # fmt: skip
        assert (load.spreader_id, load.method) == (farm.spreader.pk, "injected")
        assert facts_of(load).parts[0]["covered_from"] == "track"


def test_the_spreader_is_asked_when_the_machine_has_another_name() -> None:
    farm = Farm()
    builders.make_spreader(farm.operation)
    kind = kind_named("machine_record")
    assert kind is not None
    incoming = service.take_in(farm.seat, kind, "TASKDATA.zip", farm.record("Unknown tanker"))
    asked = {question.key.partition(":")[0] for question in service.questions_of(incoming)}
    assert asked == {"spreader", "storage", "method"}


def test_another_field_named_by_the_machine_is_a_doubt() -> None:
    farm = Farm()
    other = builders.make_field(farm.operation, "8", around(-900, -900, -500, -500))
    incoming = farm.take_in(farm.record(field=other.name))
    assert all("other_field_named" in row["doubts"] for row in proposals(incoming))
    assert all(row["confidence"] < 1 for row in proposals(incoming))


def test_a_record_without_weight_or_level_is_refused_in_plain_words() -> None:
    farm = Farm(builders.SQUARE)
    with pytest.raises(FormatError, match="no weight and no tank level"):
        farm.take_in(small_folder())


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04rubbish", b"<TASKDATA>", b"\0" * 500])
def test_what_is_no_machine_record_is_refused(data: bytes) -> None:
    with pytest.raises(FormatError):
        Farm().take_in(data)


def test_a_cut_record_is_read_up_to_there() -> None:
    farm = Farm()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(farm.record())) as whole, zipfile.ZipFile(out, "w") as cut:
        for name in whole.namelist():
            data = whole.read(name)
            cut.writestr(name, data[: len(data) // 2 + 3] if name.endswith(".BIN") else data)
    incoming = farm.take_in(out.getvalue())
    assert any("cut off" in words for words in incoming.report["warnings"])
    assert 1 <= len(proposals(incoming)) <= len(farm.log.loads)
