"""Pounds of nutrients in a load, and a field's year in pounds per acre."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from .geodesy import SQM_PER_AC, LocalPlane, area_ac, united
from .manure_test import ManureContent
from .units import Kind

Loads = npt.NDArray[np.float64]
Amount = TypeVar("Amount", float, Loads)
NUTRIENTS = ("n_lb", "p2o5_lb", "k2o_lb")
MILLI_PER_UNIT = {"liquid": 1_000_000, "solid": 2_000_000}  # per 1,000 gal; per ton
KIND_OF_FORM: dict[str, Kind] = {"liquid": "gal", "solid": "lb"}
MOST_EXACT_SWATHS = 40
GRID_M = 2.0
MOST_CELLS = 2_000_000


class NutrientError(ValueError):
    """Nutrients that cannot be computed; the message names value and remedy."""


@dataclass(frozen=True)
class Applied:
    """Pounds of N, P2O5 and K2O, as applied (total, not available); None = not tested."""

    n_lb: float | None
    p2o5_lb: float | None
    k2o_lb: float | None

    def __add__(self, other: Applied) -> Applied:
        return _each(lambda a, b: a + b, self, other)

    def times(self, factor: float) -> Applied:
        """Return these pounds multiplied by a plain number.

        >>> Applied(10.0, None, 2.0).times(0.5)
        Applied(n_lb=5.0, p2o5_lb=None, k2o_lb=1.0)
        """
        return Applied(*(None if v is None else v * factor for v in self.values))

    @property
    def values(self) -> tuple[float | None, float | None, float | None]:
        """N, P2O5 and K2O in this order."""
        return (self.n_lb, self.p2o5_lb, self.k2o_lb)


def _each(step: Callable[[float, float], float], one: Applied, other: Applied) -> Applied:
    both = zip(one.values, other.values, strict=True)
    return Applied(*(None if a is None or b is None else step(a, b) for a, b in both))


NOTHING = Applied(0.0, 0.0, 0.0)


@dataclass(frozen=True)
class OnGround:
    """Pounds put on a field by one load or fertilizer pass, and where.

    ``geometry`` (lon/lat) when the ground is known; else ``covered_ac`` when only acres are known;
    else the whole field is taken.
    """

    applied: Applied
    geometry: BaseGeometry | None = None
    covered_ac: float | None = None


@dataclass(frozen=True)
class FieldYear:
    """A field's year. A figure is None where one of its loads has no test for that nutrient.

    ``per_ac`` is over the whole field; ``heaviest_per_ac`` is what at least ``heaviest_ac`` acres
    received or exceeded, each nutrient for itself. Loads without known ground
    (``without_ground``) are taken there as laid evenly over the acres they cover together, at most
    the whole field, on top of the rest: with any of them the figure is an estimate. ``untested``
    counts loads that lack a figure for any nutrient.
    """

    total: Applied
    field_ac: float
    per_ac: Applied
    heaviest_per_ac: Applied
    heaviest_ac: float
    without_ground: int
    untested: int
    method: str = "exact"


def applied(amount_milli: int, kind: Kind, content: ManureContent) -> Applied:
    """Return the pounds of N, P2O5 and K2O in an amount of manure.

    ``amount_milli`` in thousandths of a gallon or pound, 0 or more. A liquid test with an amount
    by weight (or the reverse) is carried across by the test's density. Raises NutrientError when
    there is none. Source: amount x concentration (CV-2.3, read).

    >>> litter = ManureContent("solid", 13.0, None, None, 6.0, 10.0)
    >>> pounds = applied(35_600_000, "lb", litter)  # CV-2.3: 17.8 ton, one acre
    >>> [round(value, 1) for value in pounds.values]
    [231.4, 106.8, 178.0]
    """
    if amount_milli < 0:
        raise NutrientError(f"An amount of {amount_milli / 1000} {kind} is below 0.")
    units = _units(float(amount_milli), kind, content)
    return Applied(*(None if c is None else units * c for c in _contents(content)))


def applied_to_many(
    amounts_milli: Sequence[int] | npt.NDArray[np.int64], kind: Kind, content: ManureContent
) -> Loads:
    """Return the pounds of N, P2O5 and K2O in many amounts of one manure, a row for each amount.

    The same as :func:`applied` to the last digit; a nutrient without a test is NaN in every row.
    Raises NutrientError as ``applied`` does, naming the first amount that is below 0.

    >>> litter = ManureContent("solid", 13.0, None, None, 6.0, None)
    >>> applied_to_many([35_600_000, 0], "lb", litter).round(1).tolist()  # CV-2.3 and nothing
    [[231.4, 106.8, nan], [0.0, 0.0, nan]]
    """
    milli = np.asarray(amounts_milli, dtype=np.float64)
    if (milli < 0).any():
        row = int(np.flatnonzero(milli < 0)[0])
        raise NutrientError(f"Amount {row + 1} is {milli[row] / 1000} {kind}: it is below 0.")
    contents = np.array([np.nan if c is None else c for c in _contents(content)])
    return _units(milli, kind, content)[:, None] * contents


def _contents(content: ManureContent) -> tuple[float | None, float | None, float | None]:
    return (content.total_n, content.p2o5, content.k2o)


def _units(amount_milli: Amount, kind: Kind, content: ManureContent) -> Amount:
    """An amount, or many, in the unit of the test: 1,000 gallons or tons."""
    units = amount_milli / MILLI_PER_UNIT[content.form]
    if kind == KIND_OF_FORM[content.form]:
        return units
    density = content.density_lb_per_gal
    if density is None:
        raise NutrientError(
            f"The load is in {kind} but the test is per "
            f"{'1,000 gallons' if content.form == 'liquid' else 'ton'}. Enter the density of "
            "the manure (pounds per gallon) with the test."
        )
    return units / density if kind == "lb" else units * density


def per_acre(pounds: Applied, area_ac: float) -> Applied:
    """Return pounds per acre; raises NutrientError when the acres are not above 0.

    >>> per_acre(Applied(231.4, None, 178.0), 2.0)
    Applied(n_lb=115.7, p2o5_lb=None, k2o_lb=89.0)
    """
    if not area_ac > 0:
        raise NutrientError(f"{area_ac} acres cannot take manure; give acres above 0.")
    return pounds.times(1 / area_ac)


def _exact_layers(shapes: list[BaseGeometry], density: Loads) -> tuple[Loads, Loads]:
    """Cut the plane along every swath edge; return acres and summed pounds per acre per face."""
    # a millimetre grid keeps edges that nearly coincide from making slivers
    edges = shapely.union_all([shapely.boundary(shape) for shape in shapes], grid_size=0.001)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(edges)))
    inside = shapely.point_on_surface(faces)
    tree = shapely.STRtree(inside)
    swath, face = tree.query(np.array(shapes), predicate="intersects")
    summed = np.zeros((len(faces), density.shape[1]))
    np.add.at(summed, face, density[swath])
    return shapely.area(faces) / SQM_PER_AC, summed


def _grid_layers(shapes: list[BaseGeometry], density: Loads) -> tuple[Loads, Loads]:
    """Lay square cells over the ground; return acres and summed pounds per acre per cell."""
    west, south, east, north = shapely.total_bounds(np.array(shapes))
    cell = max(GRID_M, float(np.sqrt((east - west) * (north - south) / MOST_CELLS)))
    columns, rows = int((east - west) / cell) + 1, int((north - south) / cell) + 1
    summed = np.zeros((rows, columns, density.shape[1]))
    for shape, pounds in zip(shapes, density, strict=True):
        w, s, e, n = shape.bounds
        c0, c1 = int((w - west) / cell), int((e - west) / cell) + 1
        r0, r1 = int((s - south) / cell), int((n - south) / cell) + 1
        x, y = np.meshgrid(
            west + (np.arange(c0, min(c1, columns)) + 0.5) * cell,
            south + (np.arange(r0, min(r1, rows)) + 0.5) * cell,
        )
        shapely.prepare(shape)
        summed[r0 : r0 + x.shape[0], c0 : c0 + x.shape[1]] += (
            shapely.contains_xy(shape, x, y)[..., None] * pounds
        )
    covered = summed.reshape(-1, density.shape[1])
    covered = covered[covered.any(axis=1)]
    return np.full(len(covered), cell**2 / SQM_PER_AC), covered


def _level_reached(acres: Loads, pounds_per_ac: Loads, least_ac: float) -> float:
    """The highest pounds per acre that at least ``least_ac`` acres received or exceeded."""
    order = np.argsort(-pounds_per_ac)
    reached = np.cumsum(acres[order]) >= min(least_ac, float(acres.sum()) * (1 - 1e-9))
    return float(pounds_per_ac[order][np.argmax(reached)])


def heaviest_per_ac(
    known: Sequence[OnGround], least_ac: float, most_exact: int = MOST_EXACT_SWATHS
) -> tuple[Applied, str]:
    """Return the heaviest pounds per acre on ground of at least ``least_ac``, and the method.

    Each swath's pounds lie evenly on its own ground and add up where swaths overlap. Up to
    ``most_exact`` swaths the ground is cut exactly along every edge; above it 2 m cells are
    counted. Untested nutrients (None) stay None.

    >>> from shapely import box
    >>> one = OnGround(Applied(100.0, 10.0, 5.0), box(-89.5, 43.0, -89.499, 43.001))
    >>> twice, how = heaviest_per_ac([one, one], 0.1)
    >>> once, how = heaviest_per_ac([one], 0.1)
    >>> round(twice.n_lb / once.n_lb, 6), how
    (2.0, 'exact')
    """
    grounds = [load.geometry for load in known if load.geometry is not None]
    plane = LocalPlane.centred_on(shapely.GeometryCollection(grounds))
    shapes = [plane.project(ground) for ground in grounds]
    acres = shapely.area(np.array(shapes)) / SQM_PER_AC
    if not (acres > 0).all():
        raise NutrientError("A load's ground has no area. Check its track or its drawn shape.")
    pounds = np.array([[v or 0.0 for v in load.applied.values] for load in known])
    layers = _exact_layers if len(shapes) <= most_exact else _grid_layers
    area, summed = layers(shapes, pounds / acres[:, None])
    levels = [_level_reached(area, summed[:, i], least_ac) for i in range(3)]
    tested = [all(load.applied.values[i] is not None for load in known) for i in range(3)]
    method = "exact" if layers is _exact_layers else "grid"
    return Applied(*(v if ok else None for v, ok in zip(levels, tested, strict=True))), method


def _acres_of_unplaced(unplaced: Sequence[OnGround], field_ac: float) -> float:
    """Acres that loads of unknown place covered: as noted, at most the field; else the field."""
    covered = [load.covered_ac for load in unplaced]
    return field_ac if None in covered else min(field_ac, sum(c for c in covered if c))


def _with_unplaced(
    heaviest: Applied, known: Sequence[OnGround], unplaced: Sequence[OnGround], field_ac: float
) -> Applied:
    """The heaviest ground with loads of unknown place laid evenly over the acres they covered.

    They are taken to lie beside the ground that is known as long as the field has room for both,
    and on top of it otherwise: an estimate either way, which ``without_ground`` says.
    """
    pounds = NOTHING
    for load in unplaced:
        pounds = pounds + load.applied
    acres = _acres_of_unplaced(unplaced, field_ac)
    evenly = per_acre(pounds, acres)
    grounds = [load.geometry for load in known if load.geometry is not None]
    if not grounds:
        return heaviest + evenly
    if area_ac(united(grounds)) + acres > field_ac:
        return heaviest + evenly
    return _each(max, heaviest, evenly)


def least_heavy_ac(tracked_ac: float, least_ac: float, least_share: float) -> float:
    """Return the acres that heavily covered ground must have to count: more than normal overlap.

    The larger of a fixed least and a share of the acres tracked (both working assumptions).

    >>> least_heavy_ac(40.0, 0.1, 0.05), least_heavy_ac(1.0, 0.1, 0.05)
    (2.0, 0.1)
    """
    for value, what in ((tracked_ac, "acres tracked"), (least_ac, "acres"), (least_share, "share")):
        if not (math.isfinite(value) and value >= 0):
            raise NutrientError(f"{value} {what} cannot be; give 0 or more.")
    return max(least_ac, least_share * tracked_ac)


def field_year(
    field_ac: float,
    spread: Sequence[OnGround],
    fertilizer: Sequence[OnGround] = (),
    least_ac: float = 0.1,
) -> FieldYear:
    """Return a field's year: pounds, per acre of the field and on its most heavily covered ground.

    ``field_ac`` above 0. ``spread`` holds the manure loads and ``fertilizer`` the other passes.
    ``least_ac`` keeps slivers of overlap between passes from deciding (working assumption, 0.1 ac).
    Raises NutrientError when the acres are not above 0.

    >>> year = field_year(10.0, [OnGround(Applied(500.0, 200.0, None), covered_ac=5.0)])
    >>> year.per_ac.n_lb, year.heaviest_per_ac.n_lb, year.per_ac.k2o_lb
    (50.0, 100.0, None)
    """
    every = [*spread, *fertilizer]
    total = NOTHING
    for load in every:
        total = total + load.applied
    known = [load for load in every if load.geometry is not None]
    heaviest, method = NOTHING, "exact"
    if known:
        heaviest, method = heaviest_per_ac(known, least_ac)
    unplaced = [load for load in spread if load.geometry is None]
    if unplaced:
        heaviest = _with_unplaced(heaviest, known, unplaced, field_ac)
    for load in fertilizer:
        if load.geometry is None:
            heaviest = heaviest + per_acre(load.applied, load.covered_ac or field_ac)
    return FieldYear(
        total=total,
        field_ac=field_ac,
        per_ac=per_acre(total, field_ac),
        heaviest_per_ac=heaviest,
        heaviest_ac=least_ac,
        without_ground=len(unplaced),
        untested=sum(None in load.applied.values for load in every),
        method=method,
    )
