"""Weight logs and cells that cannot be read, and those with nothing in them."""

import numpy as np
import pytest

from farmrecords.calculations.doubt import telltale_factor
from farmrecords.calculations.weigh_cells import MOST_CELLS, summed
from farmrecords.calculations.weight_log import (
    MOST_SECONDS,
    WeightLogError,
    log_of,
    running_median,
    running_slope,
)

AT = np.arange(200.0)
CELL = np.linspace(5000, 1000, 200)


@pytest.mark.parametrize("count", [0, MOST_CELLS + 1])
def test_no_cells_and_too_many_cells_are_refused(count):
    with pytest.raises(WeightLogError, match="one to"):
        summed(AT, [CELL] * count)


def test_as_many_cells_as_may_be_are_summed():
    assert summed(AT, [CELL] * MOST_CELLS).weight[0] == 5000 * MOST_CELLS


def test_a_cell_with_a_reading_too_few_is_refused():
    with pytest.raises(WeightLogError, match="more or fewer"):
        summed(AT, [CELL[1:]])


def test_one_cell_alone_can_be_neither_stuck_nor_out():
    assert summed(AT, [np.full(200, 4000.0)]).troubles == ()


def test_a_cell_that_never_spoke_is_out_all_the_time():
    found = summed(AT, [CELL, np.full(200, np.nan)])
    assert [(t.cell, t.kind, t.start_s, t.end_s) for t in found.troubles] == [(1, "out", 0, 199)]
    assert np.isnan(found.weight).all()


def test_columns_of_different_lengths_are_refused():
    with pytest.raises(WeightLogError, match="differ in length"):
        log_of([0, 1], [1], [0, 0], [0, 0])


@pytest.mark.parametrize(("more_s", "refused"), [(0, False), (1, True)])
def test_a_log_may_span_400_days(more_s, refused):
    moments = [0, MOST_SECONDS + more_s]
    if refused:
        with pytest.raises(WeightLogError, match="400 days"):
            log_of(moments, [1, 2], [0, 0], [0, 0])
    else:
        assert len(log_of(moments, [1, 2], [0, 0], [0, 0]).at_s) == 2


def test_nothing_read_stays_nothing():
    nothing = np.array([])
    assert len(log_of([], [], [], []).at_s) == 0
    assert len(running_median(nothing, 3)) == 0
    assert len(running_slope(nothing, 3)) == 0


@pytest.mark.parametrize(
    ("now", "before"), [(0, 5), (5, 0), (-2.29, -1), (float("nan"), 1), (1, float("inf"))]
)
def test_figures_without_a_ratio_have_no_telltale_factor(now, before):
    assert telltale_factor(now, before) is None
