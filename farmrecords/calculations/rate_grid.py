"""The rate by square cells of the ground, where loads have a track or a drawn shape."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from .geodesy import FT_M, SQM_PER_AC, LocalPlane

MOST_CELLS = 20_000


class GridError(ValueError):
    """A grid that cannot be laid; the message says why."""


@dataclass(frozen=True)
class Cell:
    """One square of the grid that received something.

    ``amount`` in gallons or tons, ``covered_ac`` the ground under at least one swath, and the rate
    on that ground. ``ground`` is the covered part of the square in longitude and latitude.
    """

    column: int
    row: int
    amount: float
    covered_ac: float
    rate_per_ac: float
    ground: BaseGeometry


def rate_by_cell(spread: Sequence[tuple[BaseGeometry, float]], cell_ft: float) -> list[Cell]:
    """Return the cells that received manure, from the south; their amounts add up to the loads.

    ``spread`` holds each load's covered ground (longitude, latitude) and its amount in one unit
    (gallons or tons). A load lies evenly on its own ground; where grounds overlap the amounts add
    up. ``cell_ft`` above 0. Raises GridError for ground without area, or a grid too fine for the
    ground. Source: amount shared by area, project definition (derived).

    >>> from shapely import box
    >>> strip = box(-89.5, 43.0, -89.499, 43.001)
    >>> cells = rate_by_cell([(strip, 1000.0), (strip, 500.0)], 5000)
    >>> len(cells), round(sum(cell.amount for cell in cells), 6)
    (1, 1500.0)
    """
    if not (np.isfinite(cell_ft) and cell_ft > 0):
        raise GridError(f"A cell of {cell_ft} ft cannot be; give a side above 0 ft.")
    if not spread:
        return []
    plane = LocalPlane.centred_on(shapely.GeometryCollection([ground for ground, _ in spread]))
    shapes = np.array([plane.project(ground) for ground, _ in spread])
    sizes = shapely.area(shapes)
    if not (sizes > 0).all():
        raise GridError("A load's ground has no area. Check its track or its drawn shape.")
    thick = np.array([amount for _, amount in spread], dtype=float) / sizes  # per square metre
    squares, places = _squares(shapes, cell_ft * FT_M)
    tree = shapely.STRtree(shapes)
    square_at, load_at = tree.query(squares, predicate="intersects")
    found = []
    for i in np.unique(square_at):
        loads = load_at[square_at == i]
        pieces = shapely.intersection(squares[i], shapes[loads])
        amount = float((shapely.area(pieces) * thick[loads]).sum())
        covered = shapely.union_all(pieces)
        acres = float(covered.area) / SQM_PER_AC
        if acres > 0:
            column, row = places[i]
            ground = plane.unproject(covered)
            found.append(Cell(column, row, amount, acres, amount / acres, ground))
    return found


@dataclass(frozen=True)
class RateRange:
    """The lowest, the middle and the highest rate of some cells, per acre."""

    lowest: float
    middle: float
    highest: float


def range_of_rates(cells: Sequence[Cell]) -> RateRange | None:
    """Return the lowest, middle and highest rate of the cells; None without cells.

    The middle is the median, per cell and not weighted by ground: of an even number the mean of the
    two in the middle. Rates keep the cells' unit, gallons or tons per acre. Source: definition.

    >>> nowhere = shapely.Polygon()
    >>> range_of_rates([Cell(0, 0, 1.0, 1.0, rate, nowhere) for rate in (9.0, 1.0, 4.0, 2.0)])
    RateRange(lowest=1.0, middle=3.0, highest=9.0)
    >>> range_of_rates([]) is None
    True
    """
    rates = [cell.rate_per_ac for cell in cells]
    if not rates:
        return None
    return RateRange(min(rates), statistics.median(rates), max(rates))


def _squares(shapes: np.ndarray, side_m: float) -> tuple[np.ndarray, list[tuple[int, int]]]:
    west, south, east, north = shapely.total_bounds(shapes)
    columns = int(np.ceil((east - west) / side_m)) or 1
    rows = int(np.ceil((north - south) / side_m)) or 1
    if columns * rows > MOST_CELLS:
        raise GridError(
            f"This ground would need {columns * rows} cells of {side_m / FT_M:g} ft; at most "
            f"{MOST_CELLS} are laid. Take larger cells."
        )
    places = [(column, row) for row in range(rows) for column in range(columns)]
    corners = np.array(places, dtype=float) * side_m + [west, south]
    squares = shapely.box(
        corners[:, 0], corners[:, 1], corners[:, 0] + side_m, corners[:, 1] + side_m
    )
    return squares, places
