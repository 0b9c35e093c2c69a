"""Volume of a storage from its level, and the level from its volume.

Depth is measured from the bottom of the storage. Source of the shapes: AWMFH ch. 10 worksheets and
the prismoid rule (Alberta dugout volume, NC record 55-0007), read.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass

from .units import GAL_PER_CUFT


class StorageShapeError(ValueError):
    """A shape or level that cannot be; the message names value and range."""


def _above_zero(**sizes: float) -> None:
    for name, size in sizes.items():
        if not math.isfinite(size) or size <= 0:
            words = name.replace("_ft", "").replace("_", " ")
            raise StorageShapeError(f"The {words} is {size} ft; it must be above 0.")


@dataclass(frozen=True)
class Rectangular:
    """A pit with upright walls, all sizes in feet."""

    length_ft: float
    width_ft: float
    depth_ft: float

    def __post_init__(self) -> None:
        _above_zero(length_ft=self.length_ft, width_ft=self.width_ft, depth_ft=self.depth_ft)


@dataclass(frozen=True)
class Pond:
    """An earthen pond by its bottom dimensions and side slopes (feet out per foot up)."""

    bottom_length_ft: float
    bottom_width_ft: float
    depth_ft: float
    slope_end_1: float
    slope_end_2: float
    slope_side_1: float
    slope_side_2: float

    def __post_init__(self) -> None:
        _above_zero(
            bottom_length_ft=self.bottom_length_ft,
            bottom_width_ft=self.bottom_width_ft,
            depth_ft=self.depth_ft,
        )
        for slope in (self.slope_end_1, self.slope_end_2, self.slope_side_1, self.slope_side_2):
            if not math.isfinite(slope) or slope < 0:
                raise StorageShapeError(
                    f"A side slope of {slope} cannot be. Give feet out per foot up, such as 2.5."
                )

    @classmethod
    def from_bottom(cls, length_ft: float, width_ft: float, depth_ft: float, slope: float) -> Pond:
        """Return a pond with one slope on all sides.

        >>> Pond.from_bottom(200, 115, 9.8, 3.0).slope_side_2
        3.0
        """
        return cls(length_ft, width_ft, depth_ft, slope, slope, slope, slope)

    @classmethod
    def from_top(
        cls,
        top_length_ft: float,
        top_width_ft: float,
        depth_ft: float,
        slope_ends: tuple[float, float],
        slope_sides: tuple[float, float],
    ) -> Pond:
        """Return a pond from its dimensions at full depth; slopes may differ on each side.

        Raises StorageShapeError when the slopes meet above the bottom.

        >>> Pond.from_top(258.8, 173.8, 9.8, (3.0, 3.0), (3.0, 3.0)).bottom_width_ft
        115.0
        """
        length = top_length_ft - sum(slope_ends) * depth_ft
        width = top_width_ft - sum(slope_sides) * depth_ft
        if length <= 0 or width <= 0:
            raise StorageShapeError(
                f"With these slopes a pond {depth_ft} ft deep and {top_length_ft} by "
                f"{top_width_ft} ft at the top has no bottom. Check depth and slopes."
            )
        return cls(round(length, 9), round(width, 9), depth_ft, *slope_ends, *slope_sides)


@dataclass(frozen=True)
class VerticalCylinder:
    """A round tank with upright walls, feet."""

    diameter_ft: float
    depth_ft: float

    def __post_init__(self) -> None:
        _above_zero(diameter_ft=self.diameter_ft, depth_ft=self.depth_ft)


@dataclass(frozen=True)
class RoundPond:
    """A round earthen pond by its bottom diameter and one side slope (feet out per foot up)."""

    bottom_diameter_ft: float
    depth_ft: float
    slope: float

    def __post_init__(self) -> None:
        _above_zero(bottom_diameter_ft=self.bottom_diameter_ft, depth_ft=self.depth_ft)
        if not math.isfinite(self.slope) or self.slope < 0:
            raise StorageShapeError(f"A side slope of {self.slope} cannot be. Give 0 or more.")


@dataclass(frozen=True)
class HorizontalCylinder:
    """A round tank lying on its side, with flat ends, feet."""

    diameter_ft: float
    length_ft: float

    def __post_init__(self) -> None:
        _above_zero(diameter_ft=self.diameter_ft, length_ft=self.length_ft)

    @property
    def depth_ft(self) -> float:
        """Full depth: the diameter."""
        return self.diameter_ft


@dataclass(frozen=True)
class StageTable:
    """Surveyed pairs of depth (ft) and volume (gal), both rising; straight between the rows."""

    rows: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if len(self.rows) < 2:
            raise StorageShapeError("A stage table needs at least two rows of depth and volume.")
        for (depth_a, volume_a), (depth_b, volume_b) in zip(self.rows, self.rows[1:], strict=False):
            if not (depth_b > depth_a and volume_b > volume_a):
                raise StorageShapeError(
                    f"The stage table does not rise from {depth_a} ft, {volume_a} gal to "
                    f"{depth_b} ft, {volume_b} gal. Depth and volume must both rise."
                )

    @property
    def depth_ft(self) -> float:
        """The deepest row."""
        return self.rows[-1][0]


Shape = Rectangular | Pond | RoundPond | VerticalCylinder | HorizontalCylinder | StageTable


def _checked_depth(shape: Shape, depth: float) -> float:
    low = shape.rows[0][0] if isinstance(shape, StageTable) else 0.0
    if not math.isfinite(depth) or depth < low or depth > shape.depth_ft:
        raise StorageShapeError(
            f"A depth of {depth} ft is outside this storage ({low:g} to {shape.depth_ft:g} ft). "
            "Check the reading and the datum it was taken from."
        )
    return depth


def prismoid_cuft(depth: float, bottom: float, middle: float, top: float) -> float:
    """Return the volume of a frustum in cubic feet from three areas in square feet.

    V = d/6 x (A_bottom + 4 A_middle + A_top) (NC record 55-0007, read).

    >>> round(prismoid_cuft(9.8, 115 * 200, 144.4 * 229.4, 173.8 * 258.8))  # CV-6.2
    327452
    """
    for size in (depth, bottom, middle, top):
        if not (math.isfinite(size) and size >= 0):
            raise StorageShapeError(f"A size of {size} cannot be; depth and areas are 0 or more.")
    return depth / 6 * (bottom + 4 * middle + top)


def gal_per_ft(shape: Shape, depth_ft: float) -> float:
    """Return the gallons in a foot of depth at the surface of a level.

    Raises StorageShapeError when the depth is outside the storage.

    >>> round(gal_per_ft(Rectangular(192, 50, 8), 1))  # CV-6.4: 71,808 (printed 71,800)
    71813
    """
    return surface_sqft(shape, depth_ft) * GAL_PER_CUFT


def segment_sqft(diameter_ft: float, depth_ft: float) -> float:
    """Return the filled area of a round cross-section, square feet (standard geometry, memory).

    Raises StorageShapeError for a depth outside the circle.

    >>> round(segment_sqft(8, 4), 3)  # half of a circle of 8 ft
    25.133
    """
    if not (math.isfinite(diameter_ft) and 0 <= depth_ft <= diameter_ft):
        raise StorageShapeError(
            f"A depth of {depth_ft} ft is outside a circle of {diameter_ft} ft."
        )
    r = diameter_ft / 2
    above = max(0.0, 2 * r - depth_ft)
    chord = math.sqrt(depth_ft * above)
    # the half angle by its tangent: an arc cosine loses its last digits in a nearly full tank
    slice_of_pie = 2 * r**2 * math.atan2(math.sqrt(depth_ft), math.sqrt(above))
    return max(0.0, slice_of_pie - (r - depth_ft) * chord)


def surface_sqft(shape: Shape, depth_ft: float) -> float:
    """Return the liquid surface in square feet at a depth.

    For a stage table it is the slope of the table there (cubic feet per foot). Raises
    StorageShapeError when the depth is outside the storage.

    >>> surface_sqft(Pond.from_bottom(200, 115, 9.8, 3.0), 0)
    23000.0
    """
    depth = _checked_depth(shape, depth_ft)
    if isinstance(shape, Rectangular):
        return float(shape.length_ft * shape.width_ft)
    if isinstance(shape, VerticalCylinder):
        return math.pi / 4 * shape.diameter_ft**2
    if isinstance(shape, Pond):
        length = shape.bottom_length_ft + (shape.slope_end_1 + shape.slope_end_2) * depth
        width = shape.bottom_width_ft + (shape.slope_side_1 + shape.slope_side_2) * depth
        return float(length * width)
    if isinstance(shape, RoundPond):
        return math.pi / 4 * (shape.bottom_diameter_ft + 2 * shape.slope * depth) ** 2
    if isinstance(shape, HorizontalCylinder):
        return 2 * math.sqrt(depth * (shape.diameter_ft - depth)) * shape.length_ft
    i = min(max(bisect_right([row[0] for row in shape.rows], depth), 1), len(shape.rows) - 1)
    (depth_a, volume_a), (depth_b, volume_b) = shape.rows[i - 1], shape.rows[i]
    return (volume_b - volume_a) / (depth_b - depth_a) / GAL_PER_CUFT


def volume_gal(shape: Shape, depth_ft: float) -> float:
    """Return the gallons in a storage filled to a depth.

    Depth from the bottom, 0 to the shape's own depth. Raises StorageShapeError outside it.

    >>> round(volume_gal(Rectangular(192, 50, 8), 1))  # CV-6.4: 71,808 (printed 71,800)
    71813
    """
    depth = _checked_depth(shape, depth_ft)
    if isinstance(shape, StageTable):
        return _between(shape.rows, depth)
    if isinstance(shape, HorizontalCylinder):
        return segment_sqft(shape.diameter_ft, depth) * shape.length_ft * GAL_PER_CUFT
    if isinstance(shape, (Pond, RoundPond)):
        cuft = prismoid_cuft(
            depth,
            surface_sqft(shape, 0),
            surface_sqft(shape, depth / 2),
            surface_sqft(shape, depth),
        )
        return cuft * GAL_PER_CUFT
    return surface_sqft(shape, depth) * depth * GAL_PER_CUFT


def _between(rows: tuple[tuple[float, float], ...], at: float) -> float:
    i = min(max(bisect_right([row[0] for row in rows], at), 1), len(rows) - 1)
    (x_a, y_a), (x_b, y_b) = rows[i - 1], rows[i]
    return y_a + (y_b - y_a) * (at - x_a) / (x_b - x_a)


def depth_ft(shape: Shape, volume_gal: float) -> float:
    """Return the depth in feet at which a storage holds the given gallons.

    The inverse of :func:`volume_gal`, by bisection for a pond. Raises StorageShapeError when the
    storage cannot hold so much.

    >>> tank = VerticalCylinder(80, 12)
    >>> from farmrecords.calculations import storage_volume
    >>> round(depth_ft(tank, storage_volume.volume_gal(tank, 7.25)), 9)
    7.25
    """
    full = _gal(shape, shape.depth_ft)
    low = shape.rows[0][1] if isinstance(shape, StageTable) else 0.0
    if not math.isfinite(volume_gal) or not low <= volume_gal <= full * (1 + 1e-12):
        raise StorageShapeError(
            f"{volume_gal:,.0f} gal is outside what this storage holds ({low:,.0f} to "
            f"{full:,.0f} gal)."
        )
    if isinstance(shape, StageTable):
        return _between(tuple((volume, depth) for depth, volume in shape.rows), volume_gal)
    if isinstance(shape, (Pond, RoundPond, HorizontalCylinder)):
        return _bisect(shape, volume_gal)
    return min(volume_gal / GAL_PER_CUFT / surface_sqft(shape, 0), shape.depth_ft)


_gal = volume_gal  # depth_ft() has an argument of that name


def _bisect(shape: Shape, wanted_gal: float) -> float:
    low, high = 0.0, shape.depth_ft
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if _gal(shape, middle) < wanted_gal:
            low = middle
        else:
            high = middle
    return high
