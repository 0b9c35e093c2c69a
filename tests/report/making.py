"""Farms for the tests of the report's content."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from farmrecords.farm.models import StatementOfNone
from farmrecords.loads.models import Transfer
from tests import builders as make

FIRST, LAST = dt.date(2026, 1, 1), dt.date(2026, 12, 31)


def stated_field(operation, acres="9.5", **values):
    return make.make_field(operation, boundary=None, stated_ac=Decimal(acres), **values)


def six_loads(operation, storage):
    """By hand: 6 loads x 4,200 gal on 9.5 ac, 25 lb N and 12 lb P2O5 per 1,000 gal."""
    field = stated_field(operation)
    test = make.make_manure_test(storage, dt.date(2026, 3, 1))
    for day in range(6):
        make.make_load(
            field,
            storage,
            dt.date(2026, 4, 10 + day),
            gallons=4200,
            rate_test=test,
            content_test=test,
        )
    return field


def solid_load(field, storage, tons: int, day=dt.date(2026, 5, 4)):
    return make.make_load(
        field,
        storage,
        day,
        amount_text=str(tons),
        amount_unit="ton",
        amount_kind="lb",
        amount_milli=tons * 2_000_000,
    )


def transfer(operation, **values):
    values = {
        "direction": "out",
        "moved_on": dt.date(2026, 6, 1),
        "amount_text": "12.5",
        "amount_unit": "ton",
        "amount_kind": "lb",
        "amount_milli": 25_000_000,
        "receiver_name": "Neighbour",
    } | values
    return make.save(Transfer(operation=operation, **values))


def state_none(operation, subject, first=FIRST, last=LAST):
    return make.save(
        StatementOfNone(
            operation=operation,
            subject=subject,
            from_on=first,
            to_on=last,
            stated_by=make.make_member(operation, "office").person,
            stated_on=LAST,
            looked_how="walked every week",
        )
    )
