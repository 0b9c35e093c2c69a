"""Rates by cell: what lies in the cells is what was spread, and overlap adds up."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from farmrecords.calculations.geodesy import area_ac
from farmrecords.calculations.rate_grid import MOST_CELLS, GridError, rate_by_cell

WEST = box(-89.5, 43.0, -89.499, 43.001)
EAST = box(-89.499, 43.0, -89.498, 43.001)


@settings(max_examples=15, deadline=None)
@given(amounts=st.lists(st.floats(1, 9000), min_size=1, max_size=4), cell_ft=st.floats(60, 900))
def test_cells_hold_what_was_spread(amounts, cell_ft):
    grounds = [box(-89.5 + i * 4e-4, 43.0, -89.499 + i * 4e-4, 43.001) for i in range(len(amounts))]
    cells = rate_by_cell(list(zip(grounds, amounts, strict=True)), cell_ft)
    assert sum(cell.amount for cell in cells) == pytest.approx(sum(amounts), rel=1e-6)


def test_one_load_lies_evenly_and_two_add_up():
    acres = area_ac(WEST)
    once = rate_by_cell([(WEST, 6000)], 100)
    assert [cell.rate_per_ac for cell in once] == pytest.approx(
        [6000 / acres] * len(once), rel=1e-5
    )
    twice = rate_by_cell([(WEST, 6000), (WEST, 3000)], 100)
    assert twice[0].rate_per_ac == pytest.approx(1.5 * once[0].rate_per_ac)


def test_the_rate_stands_on_the_ground_that_was_covered():
    cells = rate_by_cell([(WEST, 1000), (EAST, 2000)], 5000)
    assert len(cells) == 1
    assert cells[0].covered_ac == pytest.approx(area_ac(WEST) + area_ac(EAST), rel=1e-5)
    assert area_ac(cells[0].ground) == pytest.approx(cells[0].covered_ac, rel=1e-5)


def test_cells_are_numbered_from_the_south_west():
    cells = rate_by_cell([(WEST, 1000)], 200)
    assert (cells[0].column, cells[0].row) == (0, 0)
    assert {cell.column for cell in cells} == {0, 1}  # 267 ft of longitude
    assert {cell.row for cell in cells} == {0, 1}  # 364 ft of latitude


def test_grids_that_cannot_be_laid_are_refused():
    assert rate_by_cell([], 100) == []
    for cell_ft in (0, -1, float("nan")):
        with pytest.raises(GridError, match="above 0"):
            rate_by_cell([(WEST, 1)], cell_ft)
    with pytest.raises(GridError, match=str(MOST_CELLS)):
        rate_by_cell([(WEST, 1)], 1)
    with pytest.raises(GridError, match="no area"):
        rate_by_cell([(WEST.exterior, 1)], 100)
