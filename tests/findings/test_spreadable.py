"""Spreadable acres: the field less the ground its features close, and in words why."""

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.findings.spreadable import spreadable_in
from farmrecords.loads.year import field_year
from tests import builders

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 4, 20)
# 40 CFR 412.4(c)(5) [read]: 100 ft; the brook runs along the west side
BROOK = {"type": "LineString", "coordinates": [[-89.5, 42.99], [-89.5, 43.01]]}
WHOLE_AC = 40.290596  # the square of the builders on WGS84


@pytest.fixture
def operation():
    return builders.make_operation()


def test_the_acres_are_the_field_less_the_setback(operation):
    field = builders.make_field(operation)
    whole = spreadable_in(field_year(field, 2026), DAY)["gal"]
    assert whole.acres == pytest.approx(WHOLE_AC, rel=1e-6)
    assert whole.words.startswith("the whole field")
    builders.make_feature(operation, "stream_perennial", BROOK)
    found = spreadable_in(field_year(field, 2026), DAY)
    # 0.0036 degrees of latitude at 43 degrees are 1,312.2 ft: x 100 ft / 43,560 = 3.01 ac
    for kind in ("gal", "lb"):
        assert WHOLE_AC - found[kind].acres == pytest.approx(3.01, abs=0.02)
        assert "1 feature closes to manure on the surface on 2026-04-20" in found[kind].words


def test_without_a_boundary_the_stated_acres_stand_and_say_so(operation):
    field = builders.make_field(operation, boundary=None, stated_ac=Decimal("9.5"))
    ground = spreadable_in(field_year(field, 2026), DAY)["gal"]
    assert ground.acres == 9.5
    assert "without a boundary" in ground.words


def test_a_feature_whose_distance_ends_before_the_field_closes_nothing(operation):
    field = builders.make_field(operation)
    # 0.0005 degrees of longitude at 43 degrees are 134 ft, more than the 100 ft asked
    beyond = [[x - 0.0005, y] for x, y in BROOK["coordinates"]]
    builders.make_feature(operation, "stream_perennial", BROOK | {"coordinates": beyond})
    ground = spreadable_in(field_year(field, 2026), DAY)["gal"]
    assert ground.acres == pytest.approx(WHOLE_AC, rel=1e-6)
    assert ground.words.startswith("the whole field")
