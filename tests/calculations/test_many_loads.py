"""Pounds of many amounts at once are those of each amount alone."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.calculations.manure_test import ManureContent
from farmrecords.calculations.nutrients import NutrientError, applied, applied_to_many

SLURRY = ManureContent("liquid", 25.0, 12.0, 13.0, 10.0, 20.0, density_lb_per_gal=8.4)
LITTER = ManureContent("solid", 60.0, None, None, 50.0, None)
MANURES = [(SLURRY, "gal"), (LITTER, "lb"), (SLURRY, "lb")]


@pytest.mark.parametrize(("content", "kind"), MANURES)
@given(amounts=st.lists(st.integers(0, 10**9), min_size=1, max_size=20))
def test_each_row_is_the_single_amount_to_the_last_digit(content, kind, amounts):
    rows = applied_to_many(amounts, kind, content)
    for row, milli in zip(rows, amounts, strict=True):
        for many, alone in zip(row, applied(milli, kind, content).values, strict=True):
            assert np.isnan(many) if alone is None else many == alone


def test_an_amount_below_nothing_is_named():
    with pytest.raises(NutrientError, match=r"Amount 2 is -0\.001 gal"):
        applied_to_many([5, -1], "gal", SLURRY)


def test_many_amounts_by_weight_need_the_density_of_a_liquid():
    thin = ManureContent("liquid", 25.0, None, None, 10.0, 20.0)
    with pytest.raises(NutrientError, match="density"):
        applied_to_many([5, 1], "lb", thin)
