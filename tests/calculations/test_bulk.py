"""Many loads at once give what the single formulas give."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.calculations.bulk import ManyLoads, results_of
from farmrecords.calculations.manure_test import ManureContent
from farmrecords.calculations.nutrients import applied, per_acre
from farmrecords.calculations.rate import RateError, rate_per_ac

SLURRY = ManureContent("liquid", 25.0, 12.0, 13.0, 10.0, 20.0, density_lb_per_gal=8.4)
LITTER = ManureContent("solid", 60.0, None, None, 50.0, None)
MANURES = [(SLURRY, "gal"), (LITTER, "lb"), (SLURRY, "lb")]
LOAD = st.tuples(st.integers(0, 10**9), st.integers(0, 2), st.floats(0.01, 500))


@given(rows=st.lists(LOAD, min_size=1, max_size=20))
def test_rows_equal_the_single_formulas(rows):
    milli, manure, acres = (np.array(column) for column in zip(*rows, strict=True))
    found = results_of(ManyLoads(milli, manure, acres), MANURES)
    for i, (amount, at, ac) in enumerate(rows):
        content, kind = MANURES[at]
        pounds = applied(amount, kind, content)
        assert found.rate_per_ac[i] == pytest.approx(rate_per_ac(amount, kind, ac), rel=1e-12)
        for column, (single, on_acre) in enumerate(
            zip(pounds.values, per_acre(pounds, ac).values, strict=True)
        ):
            if single is None:
                assert np.isnan(found.pounds[i, column])
            else:
                assert found.pounds[i, column] == pytest.approx(single, rel=1e-12)
                assert found.lb_per_ac[i, column] == pytest.approx(on_acre, rel=1e-12)


@pytest.mark.parametrize(
    ("milli", "acres"), [(-1, 1.0), (1, 0.0), (1, -1.0), (1, float("nan")), (1, float("inf"))]
)
def test_a_row_that_cannot_be_is_named(milli, acres):
    loads = ManyLoads(np.array([5, milli]), np.array([0, 0]), np.array([1.0, acres]))
    with pytest.raises(RateError, match="Load 2"):
        results_of(loads, MANURES)
