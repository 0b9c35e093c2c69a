"""Pounds of many shares of loads at once are those of each share alone."""

from __future__ import annotations

import pytest

from farmrecords.calculations.nutrients import Applied
from farmrecords.loads.nutrients import pounds_in, pounds_in_all
from farmrecords.measurements.models import ManureTest

FULL = [
    {"analyte": "total_n", "value": "25", "unit": "lb/1000 gal", "basis": "as_is"},
    {"analyte": "p2o5", "value": "10", "unit": "lb/1000 gal", "basis": "as_is"},
    {"analyte": "k2o", "value": "20", "unit": "lb/1000 gal", "basis": "as_is"},
]


def test_amounts_of_several_tests_each_get_their_own_pounds() -> None:
    full = ManureTest(form="liquid", results=FULL)
    without_potash = ManureTest(form="liquid", results=FULL[:2])
    amounts = [
        (6_000_000, "gal", full),
        (6_000_000, "gal", None),
        (3_000_000, "gal", without_potash),
        (3_333_333, "gal", full),
        (9_000_000, "lb", full),  # by weight, and the test has no density
    ]
    found = pounds_in_all(amounts)
    assert found == [pounds_in(*row) for row in amounts]
    assert found[0][0].values == pytest.approx((150, 60, 120))  # 6 times 25, 10 and 20
    assert found[1][0] == Applied(None, None, None)
    assert found[2][0].values == (75, 30, None)
    assert "K2O" in found[2][1]
    assert "density" in found[4][1]


def test_no_amounts_are_no_pounds() -> None:
    assert pounds_in_all([]) == []
