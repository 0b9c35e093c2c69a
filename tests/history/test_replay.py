"""What the log tells is what the tables hold: after any sequence, at every entry, at any moment."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import models, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from farmrecords.history import clock, codec, export, read, rebuild, verifier, verify, write
from farmrecords.history.models import Log
from farmrecords.history.recorded import columns, declaration
from farmrecords.history.replay import stored_parts
from farmrecords.loads.models import Load, LoadPart
from tests.history.farms import Farm, change

NOTES = st.sampled_from(["", "wet corner", "né – \n", "0", " x "])
STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("amend"), st.fixed_dictionaries({
            "note": NOTES,
            "method": st.sampled_from(["surface", "injected"]),
            "snow_in": st.none() | st.decimals("0", "99.9", places=1),
            "residue_pct": st.none() | st.integers(0, 100),
            "growing_crop": st.sampled_from([None, True, False]),
        })),
        st.tuples(st.just("parts"), st.lists(st.integers(1, 3000), min_size=1, max_size=3)),
        st.tuples(st.just("void"), st.none()),
        st.tuples(st.just("restore"), st.none()),
    ),
    max_size=8,
)  # fmt: skip


def shape(load):
    """Every column of a load and its parts, as it stands in memory."""
    return rebuild.stored_columns(load, {
        one.name: list(getattr(load, one.name).all()) for one in declaration(load).collections
    })  # fmt: skip


def take(farm, load, what, how):
    """One step; a step that changes nothing or does not fit is refused and leaves no trace."""
    with change() as under_way:
        if what == "amend":
            under_way.amend(load, base_rev=load.rev, values=how, reason_code="x")
        elif what == "parts":
            left = 6_500_000 - sum(how[1:]) * 1000
            amounts = [left, *(one * 1000 for one in how[1:])]
            parts = [LoadPart(field=farm.fields[i % 2], amount_milli=a, area_ac=Decimal(a) / 10**6,
                              number=i + 1) for i, a in enumerate(amounts)]  # fmt: skip
            under_way.amend(load, base_rev=load.rev, parts={"parts": parts}, reason_code="x")
        elif what == "void":
            under_way.void(load, base_rev=load.rev, reason_code="x")
        else:
            under_way.restore(load, base_rev=load.rev, reason_code="x")


@given(steps=STEPS)
@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_sequence_of_changes_replays_to_what_was_stored_at_each_entry(farm, steps):
    mark = transaction.savepoint()
    load = farm.recorded()
    stored = {farm.log.head_seq: shape(Load.objects.get(pk=load.pk))}
    for what, how in steps:
        try:
            take(farm, load, what, how)
        except write.HistoryError:
            continue
        stored[farm.log.head_seq] = shape(Load.objects.get(pk=load.pk))
    for seq, expected in stored.items():
        version = rebuild.told(farm.log, seq).versions["load", load.pk]
        assert rebuild.told_columns(declaration(Load), version) == expected
    assert verify.check(farm.log, state=True).problems == []
    assert len(read.history_of(load)) == len(stored)
    transaction.savepoint_rollback(mark)


def test_as_of_follows_from_the_entries_up_to_the_moment_alone(farm):
    began = clock.now()
    moments = [began + dt.timedelta(hours=hour) for hour in range(4)]
    with clock.standing_at(moments[1]):
        load = farm.recorded(note="first")
    early = [read.as_of(Load, load.pk, moment) for moment in moments]
    assert early[0] is None
    with clock.standing_at(moments[2]), change() as under_way:
        under_way.amend(load, base_rev=1, values={"note": "second"}, reason_code="x")
        under_way.void(load, base_rev=2, reason_code="x")
    later = [read.as_of(Load, load.pk, moment) for moment in moments]
    assert later[0] is None
    assert shape(later[1]) == shape(early[1])
    assert [one and (one.note, one.voided) for one in later] == [
        None, ("first", False), ("second", True), ("second", True),
    ]  # fmt: skip


def test_a_record_of_then_gives_its_parts_without_asking_the_tables(
    farm, django_assert_num_queries
):
    load = farm.recorded()
    then = read.as_of(Load, load.pk, clock.now())
    with django_assert_num_queries(0):
        assert [part.amount_milli for part in then.parts.all()] == [6_500_000]
        assert then.draws.all()[0].storage_id == farm.storages[0].pk


def test_many_records_of_then_take_one_question(farm, django_assert_num_queries):
    loads = [farm.recorded() for _one in range(5)]
    with django_assert_num_queries(1):
        found = read.as_of_many(Load, [load.pk for load in loads], clock.now())
    assert set(found) == {load.pk for load in loads}


def test_every_row_is_rebuilt_byte_for_byte(farm):
    farm.recorded()
    assert rebuild.compare(farm.log) == []


def lose(farm, load):
    """What damage does: rows gone, a column changed, a row nobody recorded."""
    for one in declaration(Load).collections:
        models.QuerySet(one.model).filter(**{one.parent: load})._raw_delete("default")
    models.QuerySet(Load).filter(pk=load.pk)._raw_delete("default")


def test_lost_rows_are_told_and_restored_as_they_were(farm):
    load = farm.recorded(note="né", snow_in="1.5")
    rows = (Load.objects.filter(pk=load.pk).values().get(), list(load.parts.values()))
    lose(farm, load)
    assert [one.path for one in rebuild.compare(farm.log)] == [rebuild.ROW]
    rebuild.restore(farm.log)
    assert rebuild.compare(farm.log) == []
    assert (Load.objects.filter(pk=load.pk).values().get(), list(load.parts.values())) == rows


def test_a_changed_row_is_told_column_by_column_and_put_right(farm):
    load = farm.recorded()
    models.QuerySet(Load).filter(pk=load.pk).update(amount_text="5000", rev=7)
    models.QuerySet(LoadPart).filter(load=load).update(amount_milli=5)
    found = rebuild.compare(farm.log)
    assert [(one.path, one.told, one.stored) for one in found] == [
        ("/amount_text", "6500", "5000"), ("/parts/1/amount_milli", "6500000", "5"),
        ("/rev", "1", "7"),
    ]  # fmt: skip
    assert verify.check(farm.log, state=True).code == 1
    rebuild.restore(farm.log)
    assert rebuild.compare(farm.log) == []


def test_a_row_nobody_recorded_is_told(farm):
    load, _parts = farm.load()
    models.QuerySet(Load).bulk_create([load])
    assert [(one.obj_id, one.told) for one in rebuild.compare(farm.log)] == [(load.pk, "nothing")]


def test_the_export_verifies_like_the_tables(farm):
    for _one in range(3):
        farm.recorded()
    lines = list(export.lines(farm.log))
    from_file = verifier.check(lambda: map(verifier.entry_of_line, lines))
    from_tables = verify.check(farm.log)
    assert from_file.code == from_tables.code == 0
    assert (from_file.seq, from_file.hash) == (farm.log.head_seq, farm.log.head_hash)
    assert (from_tables.seq, from_tables.hash) == (from_file.seq, from_file.hash)


VALUES = {
    models.DecimalField: Decimal("-0.00"),
    models.DateField: dt.date(1, 1, 1),
    models.DateTimeField: dt.datetime(2026, 11, 1, 6, 30, 0, 1, tzinfo=dt.UTC),
    models.BooleanField: False,
    models.IntegerField: 0,
    models.FloatField: -0.1,
    models.JSONField: {"b": [1.5, None], "a": "\u2028"},
    models.TextField: "a\tb",
    models.CharField: "é",
}


@pytest.mark.parametrize("kind", VALUES)
def test_each_kind_of_column_reads_back_what_was_written(kind):
    sizes = {"max_digits": 9, "decimal_places": 2} if kind is models.DecimalField else {}
    field = kind(null=True, name="column", **sizes)
    text = codec.encode(field, VALUES[kind])
    assert codec.decode(field, text) == VALUES[kind]
    assert codec.encode(field, codec.decode(field, text)) == text
    assert codec.decode(field, codec.encode(field, None)) is None


@pytest.mark.parametrize(
    ("given_", "text"), [("5", "5.00"), ("1E+2", "100.00"), ("-0", "0.00"), ("0.10", "0.10")]
)
def test_decimals_are_plain_and_as_long_as_their_column(given_, text):
    field = models.DecimalField(max_digits=9, decimal_places=2, name="column")
    assert codec.encode(field, Decimal(given_)) == text


def test_no_column_of_a_load_is_outside_the_log():
    apart = {"id", "rev", "voided", "recorded_at"}
    named = {field.name for field in columns(Load)}
    assert named | apart == {field.name for field in Load._meta.concrete_fields}


def test_the_tables_hold_what_memory_held(farm):
    load = farm.recorded(snow_in="1.5")
    assert shape(load) == shape(Load.objects.get(pk=load.pk))
    assert stored_parts(load)["parts"][0].number == 1


def test_another_farm_is_not_touched(farm):
    other = Farm()
    seq = other.log.head_seq
    farm.recorded()
    assert Log.objects.get(pk=other.log.pk).head_seq == seq
