"""Two writers at once: one wins, the others see both versions."""

import threading

import pytest
from django.db import connection

from farmrecords.history import verify, write
from farmrecords.loads.models import Load
from tests.history.farms import Farm, change

WRITERS = 12


def at_once(work):
    """Run `work(number)` for every writer: in threads where the database allows, else in turn."""
    outcomes = []

    def one(number):
        try:
            outcomes.append(work(number))
        except write.StaleRevision as refusal:
            outcomes.append(refusal)
        finally:
            if connection.vendor == "postgresql":
                connection.close()

    if connection.vendor != "postgresql":
        for number in range(WRITERS):
            one(number)
        return outcomes
    threads = [threading.Thread(target=one, args=(number,)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return outcomes


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
