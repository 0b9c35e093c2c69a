"""Loads that come late, come again, or are moved in time: what waits and what counts."""

import datetime as dt
from uuid import uuid4

import pytest

from farmrecords.history import clock, rebuild, verify, write
from farmrecords.history.models import Entry
from farmrecords.loads import entry
from farmrecords.loads.draft import hash_of
from farmrecords.loads.entry import EntryProblem
from farmrecords.loads.models import Load
from farmrecords.people.models import ClosedPeriod
from tests import builders
from tests.loads.farm import NOON, Farm

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(dt.datetime(2026, 4, 22, 15, tzinfo=dt.UTC)):
        yield


@pytest.fixture
def farm():
    return Farm()


def file_up_to(farm, last):
    period = ClosedPeriod(operation=farm.operation, from_on=dt.date(2026, 1, 1), to_on=last)
    return builders.save(period)


def send(farm, number, **values):
    return entry.record_load(farm.seat, farm.draft(**values), channel="sync", client_op=number)


def test_a_sending_that_comes_again_after_a_newer_test_gives_the_same_load(farm):
    builders.make_manure_test(farm.pit, dt.date(2026, 1, 10))
    number = uuid4()
    first = send(farm, number)
    builders.make_manure_test(farm.pit, dt.date(2026, 4, 19))
    again = send(farm, number)
    assert (again.pk, again.rev, again.content_test) == (first.pk, 1, first.content_test)
    assert Load.objects.count() == 1


def test_a_sending_that_comes_again_after_the_filing_gives_the_same_load(farm):
    number = uuid4()
    first = send(farm, number)
    file_up_to(farm, NOON.date())
    again = send(farm, number)
    assert (again.pk, again.status) == (first.pk, "counted")


def test_a_sending_that_comes_again_after_an_amendment_gives_the_load_as_it_stands(farm):
    number = uuid4()
    first = send(farm, number)
    entry.amend_load(
        farm.seat, first, farm.draft(amount_text="5850"), base_rev=1, reason_code="slip",
        reason_text="Tank was not full",
    )  # fmt: skip
    again = send(farm, number)
    assert (again.pk, again.rev, again.amount_milli) == (first.pk, 2, 5_850_000)


def test_the_same_number_with_another_load_is_refused(farm):
    number = uuid4()
    send(farm, number)
    other = builders.make_seat(farm.operation)
    before = farm.counts()
    with pytest.raises(write.RepeatedDifferently):
        send(farm, number, amount_text="5850")
    with pytest.raises(write.RepeatedDifferently):
        entry.record_load(other, farm.draft(), channel="sync", client_op=number)
    assert farm.counts() == before


def test_many_loads_of_one_sending_come_back_in_their_order(farm):
    number = uuid4()
    drafts = [farm.draft(amount_text=text) for text in ("6500", "6400", "6300")]
    first = entry.record_loads(farm.seat, drafts, channel="sync", client_op=number)
    again = entry.record_loads(farm.seat, drafts, channel="sync", client_op=number)
    assert [load.pk for load in again] == [load.pk for load in first]
    assert len(Entry.objects.filter(client_op=number)) == 1


def test_the_hash_of_a_sending_stands_in_the_log_and_the_log_holds(farm):
    number = uuid4()
    send(farm, number)
    text = Entry.objects.get(client_op=number).body.text
    assert f'"payload_hash":"{hash_of([farm.draft()])}"' in text
    assert verify.check(farm.operation.log, state=True).problems == []
    assert rebuild.compare(farm.operation.log) == []


def test_a_default_that_is_spelled_out_is_the_same_sending(farm):
    assert hash_of([farm.draft()]) == hash_of([farm.draft(note="", origin="own")])
    assert hash_of([farm.draft()]) != hash_of([farm.draft(note="x")])
    assert hash_of([farm.draft(content_test=None)]) != hash_of([farm.draft()])


def amended(farm, load, started):
    return entry.amend_load(
        farm.seat, load, farm.draft(started=started), base_rev=load.rev, reason_code="slip",
        reason_text="Wrong day",
    )  # fmt: skip


def test_a_waiting_load_amended_to_an_open_day_counts(farm):
    file_up_to(farm, NOON.date())
    load = farm.record()
    assert load.status == "waiting"
    assert amended(farm, load, NOON + dt.timedelta(minutes=5)).status == "waiting"
    assert amended(farm, load, NOON + DAY).status == "counted"
    load.refresh_from_db()
    assert (load.status, load.local_day) == ("counted", NOON.date() + DAY)


def test_a_counted_load_amended_to_a_filed_day_waits(farm):
    file_up_to(farm, NOON.date())
    load = farm.record(started=NOON + DAY)
    assert load.status == "counted"
    assert amended(farm, load, NOON).status == "waiting"


def test_a_filing_between_reading_and_saving_is_seen(farm):
    load = farm.record()
    draft = farm.draft(amount_text="5850")
    file_up_to(farm, NOON.date())
    before = farm.counts()
    with pytest.raises(EntryProblem, match="filed period"):
        entry.amend_load(farm.seat, load, draft, base_rev=1, reason_code="slip", reason_text="x")
    assert farm.counts() == before


def test_a_load_written_past_the_entry_module_waits_as_well(farm):
    load = farm.record()
    file_up_to(farm, NOON.date())
    with (
        pytest.raises(Exception, match="filed period"),
        write.change(by=farm.seat.actor, channel="import") as change,
    ):
        change.amend(load, base_rev=1, values={"note": "x"}, reason_code="imported")
    with (
        pytest.raises(Exception, match="filed period"),
        write.change(by=farm.seat.actor, channel="import") as change,
    ):
        change.void(load, base_rev=1, reason_code="imported")
    load.refresh_from_db()
    assert (load.rev, load.note) == (1, "")


def test_a_reopened_period_is_open(farm):
    period = file_up_to(farm, NOON.date())
    load = farm.record()
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(
            period, base_rev=1, values={"reopened_at": clock.now()}, reason_code="reopened"
        )
    assert farm.record().status == "counted"
    assert amended(farm, load, NOON + dt.timedelta(minutes=5)).status == "counted"
