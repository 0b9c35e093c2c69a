"""The database itself refuses to change the log, and verification finds it if it did."""

import datetime as dt
import uuid

import pytest
from django.db import DatabaseError, connection, transaction

from farmrecords.history import guards, verify, write
from farmrecords.history.models import Body, Entry, Log

STATEMENTS = [
    "UPDATE farmrecords_entry SET role = 'owner'",
    "UPDATE farmrecords_entry SET hash = hash",
    "DELETE FROM farmrecords_entry",
    "UPDATE farmrecords_body SET text = '{}'",
    "UPDATE farmrecords_body SET text = NULL",
    "UPDATE farmrecords_body SET salt = NULL",
    "DELETE FROM farmrecords_body",
    "DELETE FROM farmrecords_log",
]


@pytest.mark.parametrize("statement", STATEMENTS)
def test_raw_sql_against_the_log_is_refused(farm, statement):
    farm.recorded()
    before = list(Entry.objects.values_list("hash", "role", "body__text", "body__salt"))
    with (
        pytest.raises(DatabaseError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert list(Entry.objects.values_list("hash", "role", "body__text", "body__salt")) == before


ENTRY_COLUMNS = (
    "log_id, seq, prev, hash, at, actor, role, chan, act, obj_type, obj_id, obj_rev, body_hash"
)
OTHER_ENTRY = ENTRY_COLUMNS.replace("role", "'owner'")
# What takes the place of a row: a word of SQLite, and the clause both databases know.
REPLACING = {
    "sqlite": [
        f"INSERT OR REPLACE INTO farmrecords_entry ({ENTRY_COLUMNS}) "
        f"SELECT {OTHER_ENTRY} FROM farmrecords_entry WHERE seq = 1",
        f"REPLACE INTO farmrecords_entry (id, {ENTRY_COLUMNS}) "
        f"SELECT id, {OTHER_ENTRY.replace('seq', 'seq + 1000')} FROM farmrecords_entry",
        "INSERT OR REPLACE INTO farmrecords_body (entry_id, salt, text) "
        "SELECT entry_id, salt, '{}' FROM farmrecords_body",
        "UPDATE OR REPLACE farmrecords_body SET entry_id = entry_id + 1, salt = NULL, text = NULL",
        "INSERT OR REPLACE INTO farmrecords_log (id, label, head_seq, head_hash) "
        "SELECT id, label, -1, head_hash FROM farmrecords_log",
    ],
    "postgresql": [],
}
UPSERTS = [
    f"INSERT INTO farmrecords_entry ({ENTRY_COLUMNS}) "
    f"SELECT {OTHER_ENTRY} FROM farmrecords_entry WHERE seq = 1 "
    "ON CONFLICT (log_id, seq) DO UPDATE SET role = 'owner'",
    "INSERT INTO farmrecords_body (entry_id, salt, text) "
    "SELECT entry_id, salt, '{}' FROM farmrecords_body WHERE true "
    "ON CONFLICT (entry_id) DO UPDATE SET text = '{}'",
]


def everything():
    rows = Entry.objects.order_by("id").values_list("id", "hash", "role", "body__text")
    return list(rows), list(Log.objects.values_list("id", "head_seq", "head_hash"))


@pytest.mark.parametrize("statement", [*REPLACING[connection.vendor], *UPSERTS])
def test_a_row_of_the_log_cannot_be_replaced_by_one_with_its_key(farm, statement):
    farm.recorded()
    before = everything()
    with (
        pytest.raises(DatabaseError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert everything() == before


def test_the_orm_cannot_replace_a_row_of_the_log_either(farm):
    before = everything()
    entry = Entry.objects.filter(log=farm.log).latest("seq")
    entry.role = "owner"
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Entry.objects.bulk_create(
            [entry], update_conflicts=True, unique_fields=["id"], update_fields=["role"]
        )
    assert everything() == before


@pytest.mark.django_db(transaction=True)
def test_emptying_the_tables_of_the_log_is_refused():
    write.open_log("Brook")
    tables = ", ".join([guards.ENTRY, guards.BODY])
    names = {"postgresql": f"TRUNCATE {tables} CASCADE", "sqlite": f"DELETE FROM {guards.ENTRY}"}
    with pytest.raises(DatabaseError, match="append-only"), connection.cursor() as cursor:
        cursor.execute(names[connection.vendor])
    assert Entry.objects.count() == 1


def test_the_orm_is_refused_as_well(farm):
    entry = Entry.objects.filter(log=farm.log).latest("seq")
    entry.role = "owner"
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        entry.save()
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Body.objects.filter(entry=entry).delete()


def other(value):
    if isinstance(value, int):
        return value ^ (1 << 20)
    if isinstance(value, uuid.UUID):
        return uuid.UUID(int=value.int ^ 1)
    if isinstance(value, dt.datetime):
        return value + dt.timedelta(microseconds=1)
    return dt.datetime(2026, 1, 1, tzinfo=dt.UTC) if value is None else value[:-1] + "~"


HEADER = [
    "seq", "prev", "hash", "at", "claimed_at", "actor", "role", "chan", "act", "obj_type",
    "obj_id", "obj_rev", "body_hash",
]  # fmt: skip


@pytest.fixture
def unguarded(transactional_db):
    """A database whose administrator has taken the triggers away (threat T3)."""
    with connection.schema_editor() as editor:
        guards.remove(editor)
    yield
    with connection.schema_editor() as editor:
        guards.install(editor)


@pytest.mark.parametrize("column", HEADER)
def test_a_changed_column_of_an_entry_is_found_at_its_number(unguarded, farm, column):
    for _load in range(3):
        farm.recorded()
    log = farm.log
    entry = Entry.objects.get(log=log, seq=log.head_seq - 1)
    Entry.objects.filter(pk=entry.pk).update(**{column: other(getattr(entry, column))})
    result = verify.check(log)
    assert (result.code, result.problems[0][0]) == (1, entry.seq)


@pytest.mark.parametrize("column", ["text", "salt"])
def test_a_changed_body_is_found_at_its_number(unguarded, farm, column):
    for _load in range(3):
        farm.recorded()
    log = farm.log
    entry = Entry.objects.select_related("body").get(log=log, seq=log.head_seq - 1)
    for value in (other(getattr(entry.body, column)), None):
        Body.objects.filter(entry=entry).update(**{column: value})
        assert verify.check(log).problems[0][0] == entry.seq


def test_a_cut_tail_shows_against_the_head_and_against_an_anchor(unguarded, farm):
    farm.recorded()
    log = farm.log
    anchor = (log.head_seq, log.head_hash)
    Body.objects.filter(entry__log=log, entry__seq=log.head_seq).delete()
    Entry.objects.filter(log=log, seq=log.head_seq).delete()
    assert verify.check(log).problems[0][1] == "head"
    before = Entry.objects.filter(log=log).latest("seq")
    type(log).objects.filter(pk=log.pk).update(head_seq=before.seq, head_hash=before.hash)
    assert verify.check(log).code == 0
    assert verify.check(log, anchors=[anchor]).code == 2


def test_a_text_erased_without_its_entry_is_found(unguarded, farm):
    entry = Entry.objects.filter(log=farm.log).latest("seq")
    Body.objects.filter(entry=entry).update(salt=None, text=None)
    assert verify.check(farm.log).problems[0][:2] == (entry.seq, "text missing")
