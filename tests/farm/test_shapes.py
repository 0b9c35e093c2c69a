"""Gallons at a reading, from either end of the storage; one function tells them everywhere."""

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.farm.models import Storage
from farmrecords.farm.shapes import gallons_at, shape_of
from farmrecords.measurements.models import StorageLevel

TANK = {
    "shape": "rectangular", "length_ft": Decimal(100), "width_ft": Decimal(50),
    "depth_ft": Decimal(10),
}  # fmt: skip
TABLE = {"shape": "stage_table", "stage_table": [["0", "0"], ["4", "1000"], ["8", "3000"]]}


def reading(feet, missed=False):
    return StorageLevel(read_on=dt.date(2026, 4, 1), reading_ft=feet, missed=missed)


@pytest.mark.parametrize(
    ("values", "datum", "feet", "gallons"),
    [
        # 5,000 sq ft x 4 ft x 7.48052 gal/cu ft (definition)
        (TANK, "bottom", "4", 149_610.4),
        (TANK, "top", "6", 149_610.4),
        (TABLE, "bottom", "4", 1000.0),
        (TABLE, "top", "4", 1000.0),  # the table is 8 ft deep; no other depth is entered
        (TABLE | {"depth_ft": Decimal(9)}, "top", "5", 1000.0),  # the entered depth comes first
        (TANK, "bottom", "10.01", None),  # above the top
        (TANK, "top", "10.01", None),  # below the bottom
        (TANK | {"width_ft": None}, "bottom", "4", None),
    ],
)
def test_gallons_at_a_reading(values, datum, feet, gallons):
    told = gallons_at(Storage(level_datum=datum, **values), reading(Decimal(feet)))
    assert told == (None if gallons is None else pytest.approx(gallons, abs=0.5))


def test_a_missed_or_absent_reading_tells_nothing():
    tank = Storage(level_datum="bottom", **TANK)
    assert gallons_at(tank, None) is None
    assert gallons_at(tank, reading(None, missed=True)) is None


def test_a_stage_table_that_is_not_one_gives_no_shape():
    assert shape_of(Storage(shape="stage_table", stage_table=[["0"], ["4", "x"]])) is None
