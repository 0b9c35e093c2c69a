"""Writing records: entries, bodies, head and rows stand or fall together."""

import datetime as dt
import json
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from farmrecords.history import clock, hooks, read, verify, write
from farmrecords.history.models import Entry, Log
from farmrecords.loads.models import Load, LoadPart
from tests import builders
from tests.history.farms import CREW, NOON, change


def head(farm):
    return farm.log.head_seq


def last(farm):
    return Entry.objects.filter(log=farm.log).select_related("body").latest("seq")


def test_a_new_load_is_one_entry_with_its_parts(farm):
    before = head(farm)
    load = farm.recorded()
    entry = last(farm)
    said = {one["path"]: one["to"] for one in json.loads(entry.body.text)["changes"]}
    assert head(farm) == before + 1
    assert (entry.act, entry.obj_type, entry.obj_id, entry.obj_rev) == (
        "create",
        "load",
        load.pk,
        1,
    )
    assert said["/amount_milli"] == "6500000"
    assert said["/parts/1/field"] == str(farm.fields[0].pk)
    assert said["/started_at"] == "2026-04-20T12:00:00.000000Z"
    assert Load.objects.get(pk=load.pk).recorded_at == entry.at


def test_an_amendment_says_what_stood_there_before(farm):
    load = farm.recorded()
    with change(by=CREW) as under_way:
        under_way.amend(
            load, base_rev=1, values={"method": "injected"}, reason_code="entry_error",
            reason_text="Tank was 90 % full – foam",
        )  # fmt: skip
    entry = last(farm)
    assert json.loads(entry.body.text) == {
        "changes": [{"path": "/method", "from": "surface", "to": "injected"}],
        "reason_code": "entry_error",
        "reason_text": "Tank was 90 % full – foam",
    }
    assert (entry.role, load.rev, load.method) == ("crew", 2, "injected")
    assert Load.objects.get(pk=load.pk).method == "injected"


def test_parts_are_added_changed_and_taken_away_by_number(farm):
    load = farm.recorded()
    first = load.parts.get()
    first.amount_milli = 4_000_000
    second = LoadPart(field=farm.fields[1], amount_milli=2_500_000)
    with change() as under_way:
        under_way.amend(load, base_rev=1, parts={"parts": [first, second]}, reason_code="split")
    assert [(p.number, p.amount_milli) for p in load.parts.order_by("number")] == [
        (1, 4_000_000), (2, 2_500_000),
    ]  # fmt: skip
    second = load.parts.get(number=2)
    second.amount_milli = 6_500_000
    with change() as under_way:
        under_way.amend(load, base_rev=2, parts={"parts": [second]}, reason_code="one_field")
    assert load.parts.get().number == 2
    assert load.draws.count() == 1
    assert verify.check(farm.log, state=True).problems == []


def test_void_and_restore_leave_the_record_as_it_was_and_two_entries(farm):
    load = farm.recorded()
    before, seq = Load.objects.filter(pk=load.pk).values().get(), head(farm)
    with change() as under_way:
        under_way.void(load, base_rev=1, reason_code="twice")
        assert load.voided
        under_way.restore(load, base_rev=2, reason_code="not_twice")
    after = Load.objects.filter(pk=load.pk).values().get()
    assert after == before | {"rev": 3}
    assert head(farm) == seq + 2


def test_the_second_writer_sees_both_versions(farm):
    load = farm.recorded()
    with change() as under_way:
        under_way.amend(load, base_rev=1, values={"method": "injected"}, reason_code="x")
    with pytest.raises(write.StaleRevision) as refusal, change() as under_way:
        under_way.amend(load, base_rev=1, values={"note": "wet corner"}, reason_code="x")
    found = refusal.value
    assert (found.current.method, found.current.note) == ("injected", "")
    assert (found.yours.method, found.yours.note) == ("surface", "wet corner")
    assert (found.opened.method, found.opened.note) == ("surface", "")
    assert ("method", "surface", "surface", "injected") in found.rows
    assert ("note", "", "wet corner", "") in found.rows
    assert head(farm) == Entry.objects.get(obj_id=load.pk, obj_rev=2).seq


@pytest.mark.parametrize("values", [{}, {"method": "surface"}, {"note": " "}])
def test_an_amendment_that_changes_nothing_is_refused(farm, values):
    load = farm.recorded(note=" ")
    with pytest.raises(write.NothingChanged), change() as under_way:
        under_way.amend(load, base_rev=1, values=values, reason_code="x")
    assert Load.objects.get(pk=load.pk).rev == 1


def test_voiding_what_is_void_is_refused(farm):
    load = farm.recorded()
    with change() as under_way:
        under_way.void(load, base_rev=1, reason_code="x")
    with pytest.raises(write.NothingChanged), change() as under_way:
        under_way.void(load, base_rev=2, reason_code="x")
    with pytest.raises(write.HistoryError, match="void"), change() as under_way:
        under_way.amend(load, base_rev=2, values={"note": "x"}, reason_code="x")


@pytest.mark.parametrize("call", ["amend", "void", "restore"])
def test_a_change_without_reason_is_refused(farm, call):
    load = farm.recorded()
    with pytest.raises(write.ReasonMissing), change() as under_way:
        getattr(under_way, call)(load, base_rev=1, reason_code="")


def test_nothing_is_half_saved(farm):
    before = head(farm)
    good, parts = farm.load()
    bad = farm.load(ended_at=NOON - dt.timedelta(minutes=1))

    def write_both():
        with change() as under_way:
            under_way.create(good, parts)
            under_way.create(*bad)

    with pytest.raises(ValidationError, match="before the start"):
        write_both()
    assert (head(farm), Load.objects.count()) == (before, 0)


def test_many_are_written_in_order_and_all_or_none(farm):
    loads = [farm.load(gallons) for gallons in range(1000, 1020)]
    with change(channel="import") as under_way:
        entries = under_way.create_many(loads)
    assert [entry.obj_id for entry in entries] == [load.pk for load, _parts in loads]
    assert [entry.seq for entry in entries] == list(range(entries[0].seq, entries[0].seq + 20))
    bad = [farm.load(), farm.load(gallons=0)]
    with pytest.raises(ValidationError) as refusal, change(channel="import") as under_way:
        under_way.create_many(bad)
    assert refusal.value.row_index == 1
    assert Load.objects.count() == 20
    assert verify.check(farm.log, state=True).problems == []


def test_what_only_the_database_can_refuse_names_its_row(farm):
    loads = [farm.load(source_key="a"), farm.load(source_key="b"), farm.load(source_key="b")]
    farm.recorded(source_key="b")
    with pytest.raises(ValidationError) as refusal, change() as under_way:
        under_way.create_many(loads)
    assert refusal.value.row_index == 1
    assert Load.objects.count() == 1


def test_two_of_one_batch_that_exclude_each_other_are_refused(farm):
    loads = [farm.load(source_key="b"), farm.load(source_key="b")]
    with pytest.raises(IntegrityError), change() as under_way:
        under_way.create_many(loads)
    assert Load.objects.count() == 0


def test_a_link_to_nothing_is_refused_in_bulk(farm):
    load, parts = farm.load()
    parts["draws"][0].storage_id = uuid.uuid4()
    with pytest.raises(ValidationError, match="There is no storage"), change() as under_way:
        under_way.create_many([(load, parts)])


def test_text_is_composed_and_what_cannot_be_kept_is_refused(farm):
    assert farm.recorded(note="Pen\u0303a").note == "Peña"
    load, parts = farm.load(note="a\x00b")
    with pytest.raises(ValidationError, match="NUL"), change() as under_way:
        under_way.create(load, parts)


def test_the_same_sending_twice_is_written_once(farm):
    op = uuid.uuid4()
    load, parts = farm.load()
    with change(client_op=op, channel="sync") as under_way:
        first = under_way.create(load, parts)
    again, parts = farm.load(id=load.pk)
    with change(client_op=op, channel="sync") as under_way:
        second = under_way.create(again, parts)
    assert (first.pk, first.client_op) == (second.pk, op)
    assert Load.objects.count() == 1
    assert again.recorded_at == first.at


def test_the_same_number_with_other_content_is_refused(farm):
    op = uuid.uuid4()
    load, parts = farm.load()
    with change(client_op=op) as under_way:
        under_way.create(load, parts)
    other, parts = farm.load(gallons=7000, id=load.pk)
    with pytest.raises(write.RepeatedDifferently), change(client_op=op) as under_way:
        under_way.create(other, parts)
    same, parts = farm.load(id=load.pk)
    with pytest.raises(write.RepeatedDifferently), change(by=CREW, client_op=op) as under_way:
        under_way.create(same, parts)


def test_an_amendment_sent_twice_is_written_once_even_after_a_third(farm):
    load = farm.recorded()
    op = uuid.uuid4()

    def send():
        with change(client_op=op) as under_way:
            values = {"method": "injected"}
            return under_way.amend(load, base_rev=1, values=values, reason_code="x")

    first = send()
    with change() as under_way:
        under_way.amend(load, base_rev=2, values={"note": "late"}, reason_code="x")
    assert send().pk == first.pk
    assert Load.objects.get(pk=load.pk).rev == 3


def test_a_change_of_several_records_sent_twice_is_written_once(farm):
    op = uuid.uuid4()
    ids = [uuid.uuid4() for _one in range(3)]

    def send():
        with change(client_op=op) as under_way:
            return under_way.create_many([farm.load(id=one) for one in ids])

    first = send()
    assert [entry.pk for entry in send()] == [entry.pk for entry in first]
    assert [entry.client_op for entry in first] == [op, None, None]


def test_an_event_keeps_the_revision_of_what_it_is_about(farm):
    load = farm.recorded()
    with change() as under_way:
        entry = under_way.event(
            "review", log=farm.log, obj_type="load", obj_id=load.pk, body={"found": "nothing"}
        )
    assert (entry.obj_rev, Load.objects.get(pk=load.pk).rev) == (1, 1)
    assert read.history_of(load)[-1].data == {"found": "nothing"}
    assert verify.check(farm.log, state=True).problems == []


def test_an_event_the_specification_does_not_know_is_refused(farm):
    with pytest.raises(ValueError, match="no event of the log"), change() as under_way:
        under_way.event("tidy", log=farm.log, obj_type="log", obj_id=farm.log.pk)


def test_an_unknown_way_in_is_refused(farm):
    with pytest.raises(ValueError, match="no way in"), change(channel="fax"):
        pass


def test_a_clock_that_went_back_is_noted_and_the_moments_do_not_go_back(farm):
    ahead = clock.now() + dt.timedelta(days=1)
    with clock.standing_at(ahead):
        farm.recorded()
    with clock.standing_at(ahead - dt.timedelta(hours=2)):
        load = farm.recorded()
    entry = last(farm)
    assert entry.at == ahead
    assert json.loads(entry.body.text)["clock_adjusted"].endswith("Z")
    assert read.history_of(load)[0].at == ahead
    assert verify.check(farm.log, state=True).problems == []


def test_the_claimed_moment_is_kept_and_its_lag_shown(farm):
    now = clock.now()
    load, parts = farm.load()
    with clock.standing_at(now), change(claimed_at=now - dt.timedelta(hours=25)) as under_way:
        under_way.create(load, parts)
    told = read.history_of(load)[0]
    assert (told.lag, told.is_late) == (dt.timedelta(hours=25), True)


def test_listeners_hear_what_was_written_inside_the_transaction(farm, monkeypatch):
    heard = []
    monkeypatch.setattr(hooks, "_after", [])
    write.on_written(lambda written: heard.append([(w.obj, w.entry.act) for w in written]))
    load = farm.recorded()
    assert heard == [[(load, "create")]]


def test_a_redacted_text_is_gone_and_the_history_still_verifies(farm):
    load = farm.recorded(note="a name that must go")
    entry = last(farm)
    with change() as under_way:
        under_way.redact(entry, reason_code="erasure_request")
    result = verify.check(farm.log, state=True)
    assert (result.code, result.redacted) == (0, [entry.seq])
    assert read.history_of(load)[0].redacted


def test_a_record_keeps_to_its_operation(farm, db):
    from tests.history.farms import Farm

    load = farm.recorded()
    with pytest.raises(write.HistoryError, match="another operation"), change() as under_way:
        under_way.amend(load, base_rev=1, values={"operation": Farm().operation}, reason_code="x")


def foreign(farm):
    """A load of the farm, in turn with each of its links at another operation."""
    from tests.history.farms import Farm

    other = Farm()
    rows = {
        "spreader": {"spreader": builders.make_spreader(other.operation)},
        "content_test": {
            "content_test": builders.make_manure_test(other.storages[0], NOON.date())
        },
        "parts": {}, "draws": {},
    }  # fmt: skip
    for name, values in rows.items():
        load, parts = farm.load(**values)
        if name == "parts":
            parts["parts"][0].field = other.fields[0]
        if name == "draws":
            parts["draws"][0].storage = other.storages[0]
        yield load, parts


def test_no_link_leads_to_a_record_of_another_operation(farm):
    tried = list(foreign(farm))
    before = head(farm)
    for load, parts in tried:
        with pytest.raises(ValidationError, match="There is no"), change() as under_way:
            under_way.create(load, parts)
    for load, parts in foreign(farm):
        with pytest.raises(ValidationError, match="There is no") as refused, change() as bulk:
            bulk.create_many([farm.load(), (load, parts)])
    assert (head(farm), Load.objects.count(), len(tried)) == (before, 0, 4)
    assert "There is no storage" in str(refused.value)


def test_no_amendment_links_to_a_record_of_another_operation(farm):
    from tests.history.farms import Farm

    load, other = farm.recorded(), Farm()
    spreader = builders.make_spreader(other.operation)
    with pytest.raises(ValidationError, match="There is no"), change() as under_way:
        under_way.amend(load, base_rev=1, values={"spreader": spreader}, reason_code="x")
    part = LoadPart(field=other.fields[0], amount_milli=load.amount_milli)
    with pytest.raises(ValidationError, match="There is no"), change() as under_way:
        under_way.amend(load, base_rev=1, parts={"parts": [part]}, reason_code="x")
    assert Load.objects.get(pk=load.pk).rev == 1


def test_a_repeatable_demonstration_has_the_same_salts():
    from farmrecords.history import chain

    with write.repeatable(7):
        first = chain.salt()
    with write.repeatable(7):
        assert chain.salt() == first
    assert chain.salt() != first


def test_the_head_of_a_new_log_is_its_genesis(db):
    log = Log.objects.get(pk=write.open_log("Brook").pk)
    entry = log.entries.get()
    assert (log.head_seq, log.head_hash, entry.act) == (0, entry.hash, "genesis")
    assert verify.check(log).problems == []
