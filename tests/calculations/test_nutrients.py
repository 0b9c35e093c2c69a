"""Pounds in loads and in a field's year."""

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box

from farmrecords.calculations.geodesy import LocalPlane, area_ac
from farmrecords.calculations.manure_test import ManureContent
from farmrecords.calculations.nutrients import (
    Applied,
    NutrientError,
    OnGround,
    applied,
    field_year,
    heaviest_per_ac,
    per_acre,
)

PLANE = LocalPlane(-89.5, 43.0)
LIQUID = ManureContent("liquid", 25.0, 12.0, 13.0, 10.0, 20.0)
SOLID = ManureContent("solid", 13.0, None, None, 6.0, 10.0)
SQM_PER_AC = 4046.8564224


def ground(west, south, east, north):
    """A rectangle in metres on the plane, as lon/lat."""
    return PLANE.unproject(shapely.segmentize(box(west, south, east, north), 50))


def load(n, shape=None, covered_ac=None):
    return OnGround(Applied(n, n / 2, None), shape, covered_ac)


def test_as_applied_pounds_of_a_published_example():
    # CV-2.3, S-IA01: 17.8 ton/ac x (13, 6, 10) -> 231 / 107 / 178 lb per acre, tolerance 0.5
    pounds = applied(35_600_000, "lb", SOLID)
    assert pounds.values == pytest.approx((231, 107, 178), abs=0.5)


def test_liquid_pounds():
    assert applied(6_000_000, "gal", LIQUID).values == (150.0, 60.0, 120.0)


def test_untested_nutrient_has_no_pounds():
    assert applied(1000, "lb", ManureContent("solid", 13.0, None, None, None, None)).values[1:] == (
        None,
        None,
    )


def test_weighed_liquid_goes_through_the_density():
    by_weight = ManureContent("liquid", 25.0, None, None, 10.0, 20.0, density_lb_per_gal=8.4)
    assert applied(8_400_000, "lb", by_weight).values == pytest.approx((25.0, 10.0, 20.0))
    solid = ManureContent("solid", 13.0, None, None, 6.0, 10.0, density_lb_per_gal=8.0)
    assert applied(250_000, "gal", solid).values == pytest.approx((13.0, 6.0, 10.0))


def test_weighed_liquid_without_density_is_refused():
    with pytest.raises(NutrientError, match="density"):
        applied(8_400_000, "lb", LIQUID)


def test_negative_amount_and_no_acres_are_refused():
    with pytest.raises(NutrientError, match="below 0"):
        applied(-1, "gal", LIQUID)
    for acres in (0, -1, float("nan")):
        with pytest.raises(NutrientError, match="acres"):
            per_acre(Applied(1.0, 1.0, 1.0), acres)


@given(st.lists(st.integers(0, 10**9), min_size=1, max_size=8))
def test_pounds_add_up_over_split_loads(parts):
    whole = applied(sum(parts), "gal", LIQUID)
    summed = sum(applied(part, "gal", LIQUID).n_lb for part in parts)
    assert whole.n_lb == pytest.approx(summed)


def test_two_swaths_over_each_other_add_up_where_they_overlap():
    # each 100 x 100 m with 247.1 lb: 100 lb per acre; they share a strip 20 m wide
    acres = 100 * 100 / SQM_PER_AC
    a = load(100 * acres, ground(0, 0, 100, 100))
    b = load(100 * acres, ground(80, 0, 180, 100))
    year = field_year(20.0, [a, b])
    assert year.heaviest_per_ac.n_lb == pytest.approx(200, rel=1e-3)
    assert year.heaviest_per_ac.k2o_lb is None
    assert year.per_ac.n_lb == pytest.approx(200 * acres / 20)
    assert (year.without_ground, year.untested, year.method) == (0, 2, "exact")


def test_a_sliver_of_overlap_does_not_decide():
    acres = 100 * 100 / SQM_PER_AC
    a = load(100 * acres, ground(0, 0, 100, 100))
    b = load(100 * acres, ground(99, 0, 199, 100))  # shares 100 m2 = 0.025 ac
    assert field_year(20.0, [a, b]).heaviest_per_ac.n_lb == pytest.approx(100, rel=1e-3)
    shown = field_year(20.0, [a, b], least_ac=0.02)
    assert shown.heaviest_per_ac.n_lb == pytest.approx(200, rel=1e-3)


def test_grid_and_exact_overlay_agree():
    acres = 60 * 100 / SQM_PER_AC
    loads = [load(50 * acres, ground(i * 40, 0, i * 40 + 60, 100)) for i in range(12)]
    exact, how_exact = heaviest_per_ac(loads, 0.1, most_exact=100)
    grid, how_grid = heaviest_per_ac(loads, 0.1, most_exact=1)
    assert (how_exact, how_grid) == ("exact", "grid")
    assert exact.n_lb == pytest.approx(100, rel=2e-3)
    assert grid.n_lb == pytest.approx(exact.n_lb, rel=2e-3)


def test_ground_with_a_hole_is_left_out_of_the_overlay():
    ring = Polygon(ground(0, 0, 100, 100).exterior.coords, [ground(30, 30, 70, 70).exterior.coords])
    inner = load(area_ac(ground(35, 35, 65, 65)) * 300, ground(35, 35, 65, 65))
    outer = load(area_ac(ring) * 100, ring)
    assert field_year(5.0, [inner, outer]).heaviest_per_ac.n_lb == pytest.approx(300, rel=1e-3)


def test_loads_of_unknown_place_lie_evenly_on_the_acres_they_covered():
    year = field_year(10.0, [load(500.0, covered_ac=2.0), load(500.0, covered_ac=3.0)])
    assert year.heaviest_per_ac.n_lb == 200.0
    assert year.without_ground == 2
    more = field_year(10.0, [load(500.0, covered_ac=8.0)] * 4)  # at most the whole field
    assert more.heaviest_per_ac.n_lb == 200.0
    assert field_year(10.0, [load(500.0)]).heaviest_per_ac.n_lb == 50.0


def test_fertilizer_comes_on_top_of_the_heaviest_ground():
    acres = 100 * 100 / SQM_PER_AC
    manure = load(100 * acres, ground(0, 0, 100, 100))
    year = field_year(20.0, [manure], [OnGround(Applied(600.0, 0.0, 0.0))])
    assert year.heaviest_per_ac.n_lb == pytest.approx(130, rel=1e-3)
    assert year.total.n_lb == pytest.approx(100 * acres + 600)


def test_an_untested_load_makes_the_nutrient_unknown():
    tested = load(100.0, ground(0, 0, 100, 100))
    untested = OnGround(Applied(None, None, None), ground(0, 0, 100, 100))
    year = field_year(10.0, [tested, untested])
    assert (year.total.n_lb, year.per_ac.n_lb, year.heaviest_per_ac.n_lb) == (None, None, None)


def test_an_empty_year_is_nothing_not_unknown():
    year = field_year(10.0, [])
    assert year.per_ac.values == year.heaviest_per_ac.values == (0.0, 0.0, 0.0)


def test_ground_without_area_is_refused():
    flat = OnGround(Applied(1.0, 1.0, 1.0), shapely.LineString([(-89.5, 43), (-89.4, 43)]))
    with pytest.raises(NutrientError, match="no area"):
        field_year(10.0, [flat])


def test_a_year_of_no_acres_is_refused():
    with pytest.raises(NutrientError, match="acres"):
        field_year(0.0, [])


@given(rates=st.lists(st.floats(1, 300), min_size=1, max_size=5))
def test_heaviest_is_never_below_the_field_average(rates):
    loads = [load(rate, ground(i * 60, 0, i * 60 + 100, 80)) for i, rate in enumerate(rates)]
    field_ac = area_ac(ground(0, 0, 60 * len(rates) + 40, 80))
    year = field_year(field_ac, loads)
    assert year.heaviest_per_ac.n_lb >= year.per_ac.n_lb * 0.999
