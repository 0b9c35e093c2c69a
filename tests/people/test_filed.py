"""Any record whose day lies in a filed period: a new one waits, one that counts stands."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from farmrecords.history import clock, verify, write
from farmrecords.history.models import Entry
from farmrecords.history.recorded import declaration, registry
from farmrecords.intake.models import IncomingFile
from farmrecords.loads.models import Fertilizer, Harvest, Planting, Transfer
from farmrecords.measurements.models import ManureTest, SoilTest, StorageLevel, WeatherDay
from farmrecords.people import filed
from farmrecords.people.filed import FiledPeriod
from farmrecords.people.models import ClosedPeriod, LateRecord
from tests import builders

pytestmark = pytest.mark.django_db
LAST = dt.date(2026, 4, 20)
NEXT = dt.date(2026, 4, 21)
NOW = dt.datetime(2026, 4, 22, 15, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(NOW):
        yield


class Farm:
    def __init__(self) -> None:
        self.operation = builders.make_operation()
        self.field = builders.make_field(self.operation)
        self.pit = builders.make_storage(self.operation)
        self.owner = builders.make_seat(self.operation, "owner")
        self.office = builders.make_seat(self.operation, "office")

    def file(self) -> ClosedPeriod:
        period = ClosedPeriod(operation=self.operation, from_on=dt.date(2026, 1, 1), to_on=LAST)
        return builders.save(period)

    def one(self, name: str, day: dt.date) -> Any:
        """A record of the kind on the day, not yet recorded."""
        own: dict[str, Any] = {"operation": self.operation}
        land = own | {"field": self.field, "crop_year": 2026}
        result = [{"analyte": "total_n", "value": "25", "unit": "lb/1000 gal", "basis": "as_is"}]
        rows: dict[str, Any] = {
            "storage_level": (StorageLevel, own | {
                "storage": self.pit, "read_on": day, "reading_ft": Decimal(4)}),
            "weather_day": (WeatherDay, own | {"day": day, "source": "gauge"}),
            "manure_test": (ManureTest, own | {
                "storage": self.pit, "form": "liquid", "sampled_on": day, "results": result}),
            "soil_test": (SoilTest, own | {
                "field": self.field, "sampled_on": day, "results": result}),
            "transfer": (Transfer, own | {
                "direction": "out", "storage": self.pit, "moved_on": day, "amount_text": "10",
                "amount_unit": "ton", "amount_milli": 20_000_000, "amount_kind": "lb"}),
            "fertilizer": (Fertilizer, land | {"spread_on": day, "product": "urea"}),
            "harvest": (Harvest, land | {"harvested_on": day, "crop": "rye"}),
            "planting": (Planting, land | {"planted_on": day, "crop": "corn"}),
        }  # fmt: skip
        model, values = rows[name]
        return model(**values)


KINDS = (
    "storage_level", "weather_day", "manure_test", "soil_test", "transfer", "fertilizer",
    "harvest", "planting",
)  # fmt: skip


@pytest.fixture
def farm() -> Farm:
    return Farm()


@pytest.mark.parametrize("name", KINDS)
def test_a_new_record_of_a_filed_day_waits_and_one_of_the_next_day_counts(farm, name):
    farm.file()
    late, after = builders.save(farm.one(name, LAST)), builders.save(farm.one(name, NEXT))
    assert (late.voided, after.voided) == (True, False)
    (waits,) = filed.waiting(farm.owner)
    assert (waits.kind, waits.record, waits.day, waits.row) == (name, late.pk, LAST, late)


@pytest.mark.parametrize("name", KINDS)
def test_a_record_that_stands_in_a_filed_period_is_neither_changed_nor_voided(farm, name):
    row = builders.save(farm.one(name, LAST))
    farm.file()
    day = declaration(row).day
    before = Entry.objects.count()
    with pytest.raises(FiledPeriod, match="filed period"), change(farm) as under_way:
        under_way.amend(row, base_rev=1, values={day: NEXT}, reason_code="slip")
    with pytest.raises(FiledPeriod, match="filed period"), change(farm) as under_way:
        under_way.void(row, base_rev=1, reason_code="slip")
    assert Entry.objects.count() == before


def test_a_record_moved_into_a_filed_period_waits(farm):
    farm.file()
    row = builders.save(farm.one("transfer", NEXT))
    with change(farm) as under_way:
        under_way.amend(row, base_rev=1, values={"moved_on": LAST}, reason_code="slip")
    assert row.voided
    assert filed.waiting(farm.owner).get().record == row.pk


def test_the_owner_lets_a_late_record_count_or_not(farm):
    farm.file()
    kept, left = (builders.save(farm.one("fertilizer", LAST)) for _ in range(2))
    by_record = {late.record: late for late in filed.waiting(farm.owner)}
    with pytest.raises(PermissionDenied):
        filed.decide(farm.office, by_record[kept.pk], True, "It was spread", base_rev=1)
    with pytest.raises(ValidationError, match="Say why"):
        filed.decide(farm.owner, by_record[kept.pk], True, " ", base_rev=1)
    filed.decide(farm.owner, by_record[kept.pk], True, "It was spread", base_rev=1)
    filed.decide(farm.owner, by_record[left.pk], False, "Entered twice", base_rev=1)
    kept.refresh_from_db()
    left.refresh_from_db()
    assert (kept.voided, left.voided) == (False, True)
    assert not filed.waiting(farm.owner).exists()
    assert sorted(LateRecord.objects.values_list("state", flat=True)) == ["accepted", "refused"]
    assert verify.check(farm.operation.log, state=True).problems == []
    with pytest.raises(write.StaleRevision):
        filed.decide(farm.owner, by_record[left.pk], True, "After all", base_rev=1)


def test_nobody_decides_for_another_farm(farm):
    farm.file()
    builders.save(farm.one("fertilizer", LAST))
    elsewhere = builders.make_seat(builders.make_operation(), "owner")
    assert not filed.waiting(elsewhere).exists()
    with pytest.raises(PermissionDenied):
        filed.decide(elsewhere, filed.waiting(farm.owner).get(), True, "mine", base_rev=1)


def test_what_waits_is_not_brought_back_past_the_owner(farm):
    farm.file()
    row = builders.save(farm.one("harvest", LAST))
    with pytest.raises(FiledPeriod), change(farm) as under_way:
        under_way.restore(row, base_rev=1, reason_code="imported_again")


def test_many_records_at_once_wait_one_by_one(farm):
    farm.file()
    rows = [farm.one("planting", day) for day in (LAST, NEXT)]
    with change(farm) as under_way:
        under_way.create_many([(row, {}) for row in rows])
    assert [row.voided for row in rows] == [True, False]
    assert filed.waiting(farm.owner).get().record == rows[0].pk


def test_a_file_that_comes_in_never_waits(farm):
    farm.file()
    incoming = IncomingFile(
        operation=farm.operation, kind="loads", name="a.csv", sha256="0" * 64, size=1,
        person=farm.office.person, came_in_at=NOW, came_in_on=LAST,
    )  # fmt: skip
    assert not builders.save(incoming).voided


def test_records_without_a_day_of_what_was_done_never_wait():
    never = {name for name, model in registry().items() if not declaration(model).waits}
    assert never >= {"incoming_file", "job", "field", "permit", "closed_period", "late_record"}
    assert not never & {"load", *KINDS}


def change(farm: Farm) -> Any:
    return write.change(by=farm.office.actor, channel="web")
