"""Two writers at once: one wins, the others see both versions."""

import json
import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from django.db import connection

from farmrecords.history import verify, write
from farmrecords.loads.models import Load
from tests.history.farms import Farm, change

WRITERS = 12
ROOT = Path(__file__).resolve().parents[2]


def at_once(work):
    """Run `work(number)` for every writer: in threads that begin together, or in turn on SQLite.

    A test's SQLite database lies in memory and knows no second connection; see `on_a_file`.
    """
    outcomes = []
    if connection.vendor == "sqlite":
        for number in range(WRITERS):
            try:
                outcomes.append(work(number))
            except write.StaleRevision as refusal:
                outcomes.append(refusal)
        return outcomes
    begin = threading.Barrier(WRITERS)

    def one(number):
        begin.wait(60)
        try:
            outcomes.append(work(number))
        except write.StaleRevision as refusal:
            outcomes.append(refusal)
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(number,)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return outcomes


def on_a_file(work, place):
    """Writers in threads that begin together, on a SQLite file, in a process of its own."""
    told = subprocess.run(
        [sys.executable, "-m", "tests.history.writers", work],
        cwd=ROOT,
        env=os.environ
        | {
            "DATABASE_URL": f"sqlite:///{place / 'records.sqlite3'}",
            "FARMRECORDS_DATA": str(place),
            "DJANGO_SETTINGS_MODULE": "farmrecords.settings",
        },
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert told.returncode == 0, told.stderr[-2000:]
    return json.loads(told.stdout.splitlines()[-1])


def test_on_a_sqlite_file_one_of_many_amendments_wins(tmp_path):
    told = on_a_file("amend", tmp_path)
    assert sorted(told["outcomes"]) == ["StaleRevision"] * (WRITERS - 1) + ["written"]
    assert (told["added"], told["rev"], told["problems"]) == (1, 2, [])


def test_on_a_sqlite_file_every_new_record_finds_its_place(tmp_path):
    told = on_a_file("create", tmp_path)
    assert told["outcomes"] == ["written"] * WRITERS
    assert (told["added"], told["loads"], told["problems"]) == (WRITERS, WRITERS + 1, [])


@pytest.mark.django_db(transaction=True)
def test_of_many_amendments_of_one_revision_one_wins():
    farm = Farm()
    load = farm.recorded()
    seq = farm.log.head_seq

    def amend(number):
        mine = Load.objects.get(pk=load.pk)
        with change() as under_way:
            values = {"note": f"writer {number}"}
            return under_way.amend(mine, base_rev=1, values=values, reason_code="x")

    outcomes = at_once(amend)
    refused = [one for one in outcomes if isinstance(one, write.StaleRevision)]
    assert (len(outcomes), len(refused)) == (WRITERS, WRITERS - 1)
    assert {one.current.rev for one in refused} == {2}
    assert farm.log.head_seq == seq + 1
    assert verify.check(farm.log, state=True).problems == []


@pytest.mark.django_db(transaction=True)
def test_many_new_records_at_once_stand_in_one_unbroken_row():
    farm = Farm()
    seq = farm.log.head_seq
    loads = [farm.load(gallons) for gallons in range(1000, 1000 + WRITERS)]

    def create(number):
        with change() as under_way:
            return under_way.create(*loads[number])

    outcomes = at_once(create)
    assert sorted(one.seq for one in outcomes) == list(range(seq + 1, seq + 1 + WRITERS))
    assert verify.check(farm.log, state=True).problems == []
