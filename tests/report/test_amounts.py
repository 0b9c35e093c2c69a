"""Items (ii), (iii) and (vi): generated, transferred, discharged; nothing entered is not none."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.measurements.models import Discharge, StorageLevel
from farmrecords.report.content import build
from tests import builders as make
from tests.report.making import FIRST, LAST, six_loads, solid_load, state_none, transfer

pytestmark = pytest.mark.django_db


@pytest.fixture
def operation():
    return make.make_operation()


@pytest.fixture
def storage(operation):
    return make.make_storage(operation, "Long tank")


def test_solid_and_liquid_are_never_merged(operation, storage):
    field = six_loads(operation, storage)
    stack = make.make_storage(operation, "Stack", form="solid", shape="stack")
    solid_load(field, stack, 10)
    report = build(operation, FIRST, LAST)
    assert report.generated.liquid_left.words == "25,200 gal"
    assert report.generated.solid_left.words == "10.00 tons"
    assert [row.amount.words for row in report.fields[0].applied] == ["25,200 gal", "10.00 tons"]
    assert [total.amount.words for total in report.fields[0].totals] == ["25,200 gal", "10.00 tons"]


def test_what_was_generated_cannot_be_told_without_levels(operation, storage):
    six_loads(operation, storage)
    generated = build(operation, FIRST, LAST).generated
    assert generated.liquid.value is None
    assert "Long tank" in generated.liquid.missing
    assert generated.method == "not stated"


def test_what_was_generated_is_what_left_plus_the_change_of_level(operation, storage):
    six_loads(operation, storage)
    for day, feet in ((FIRST, "4"), (LAST, "5")):
        make.save(
            StorageLevel(
                operation=operation, storage=storage, read_on=day, reading_ft=Decimal(feet)
            )
        )
    generated = build(operation, FIRST, LAST).generated
    # one foot of a tank of 100 x 50 ft is 5,000 cu ft x 7.48052 gal = 37,403 gal (definition)
    assert generated.liquid_change.value == 37_403
    assert generated.liquid.value == 25_200 + 37_403
    assert "level" in generated.method


def test_transfers_are_added_up_in_two_units_and_received_manure_is_left_out(operation):
    transfer(operation)
    transfer(operation, amount_unit="gal", amount_kind="gal", amount_milli=4_000_000)
    transfer(operation, direction="in")
    transfer(operation, moved_on=dt.date(2027, 1, 1))
    part = build(operation, FIRST, LAST).transferred
    assert (part.liquid.words, part.solid.words) == ("4,000 gal", "12.50 tons")
    assert len(part.rows) == 2


def test_manure_received_into_a_storage_was_not_generated_here(operation, storage):
    six_loads(operation, storage)
    for day in (FIRST, LAST):
        make.save(
            StorageLevel(operation=operation, storage=storage, read_on=day, reading_ft=Decimal(4))
        )
    gallons = {"amount_unit": "gal", "amount_kind": "gal"}
    transfer(operation, direction="in", storage=storage, amount_milli=20_000_000, **gallons)
    transfer(operation, direction="in", amount_milli=1_000_000, **gallons)
    generated = build(operation, FIRST, LAST).generated
    # 25,200 gal left, the level stands as it stood, 20,000 gal of it came from elsewhere
    assert generated.liquid.value == 5_200
    assert generated.liquid_received.value == 20_000
    assert "less the manure received from others" in generated.method
    assert "name no storage" in generated.method
    transfer(operation, direction="in", storage=storage, amount_milli=9_000_000, **gallons)
    generated = build(operation, FIRST, LAST).generated
    assert generated.liquid.value is None
    assert "more was received" in generated.liquid.missing


def test_nothing_entered_is_not_none(operation):
    report = build(operation, FIRST, LAST)
    assert report.transferred.liquid.value is None
    assert report.discharges.rows == ()
    assert report.discharges.words.startswith("Cannot tell: nothing is entered")


def test_a_statement_of_none_for_the_whole_period_says_none(operation):
    state_none(operation, "discharges")
    state_none(operation, "transfers")
    report = build(operation, FIRST, LAST)
    assert report.discharges.words == "None, as stated below."
    assert report.discharges.statement.looked_how == "walked every week"
    assert (report.transferred.liquid.value, report.transferred.solid.value) == (0, 0)


def test_a_statement_of_none_that_ends_a_day_early_is_not_enough(operation):
    state_none(operation, "discharges", last=LAST - dt.timedelta(days=1))
    assert build(operation, FIRST, LAST).discharges.words.startswith("Cannot tell")


def test_only_discharges_from_the_production_area_are_listed(operation):
    for from_yard in (True, False):
        make.save(
            Discharge(
                operation=operation,
                from_production_area=from_yard,
                happened_on=dt.date(2026, 7, 1),
                volume_text="1200",
                cause="pipe",
            )
        )
    part = build(operation, FIRST, LAST).discharges
    assert [row.volume.words for row in part.rows] == ["1,200 gal"]


@pytest.mark.parametrize(
    ("typed", "printed", "number"),
    [
        ("1,200", "1,200", 1200),
        (" 500 ", "500", 500),
        ("about 500", "about 500", None),
        ("500-600", "500-600", None),
        ("", "cannot tell", None),
    ],
)
def test_an_approximate_volume_is_printed_as_it_was_typed(operation, typed, printed, number):
    make.save(Discharge(operation=operation, happened_on=FIRST, volume_text=typed))
    (row,) = build(operation, FIRST, LAST).discharges.rows
    assert (row.volume_words, row.volume.value) == (printed, number)
