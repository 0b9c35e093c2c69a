"""Item (ii): what was generated, as far as the records can tell; solid and liquid apart.

What left the storages is exact. What was generated is that, plus the change of what stands in them;
for liquid storages the change follows from level readings near the first and the last day.
"""

from __future__ import annotations

import datetime as dt

from farmrecords.calculations.storage_volume import (
    Pond,
    Rectangular,
    Shape,
    StageTable,
    StorageShapeError,
    VerticalCylinder,
    volume_gal,
)
from farmrecords.calculations.units import whole
from farmrecords.farm.models import Storage
from farmrecords.measurements.models import StorageLevel
from farmrecords.report.amounts import amount_figure, totals_by_kind
from farmrecords.report.figures import Figure, figure
from farmrecords.report.model import Generated
from farmrecords.report.rows import LEVEL_DAYS, Rows

METHOD = (
    "What left the storages in the period (loads of the operation's own manure, and transfers), "
    "plus the change of what stood in the liquid storages between level readings within "
    f"{LEVEL_DAYS} days of the first and the last day. Rain and wash water that reached the "
    "storages are in it."
)
NO_SOLID_STOCK = "the stock of solid manure on the first and the last day"


def generated_of(rows: Rows) -> Generated:
    """Item (ii): the estimate, the method, and the parts it is made of."""
    left = totals_by_kind(_what_left(rows))
    liquid_left, solid_left = amount_figure(left["gal"], "gal"), amount_figure(left["lb"], "lb")
    change, missing = _liquid_change(rows)
    has_liquid = any(s.form == "liquid" for s in rows.storages) or left["gal"]
    has_solid = any(s.form == "solid" for s in rows.storages) or left["lb"]
    liquid_total = None if change is None else float(whole(left["gal"])) + change
    return Generated(
        liquid=figure(liquid_total, "gal", 0, missing=missing) if has_liquid else liquid_left,
        solid=figure(None, "tons", 2, missing=NO_SOLID_STOCK) if has_solid else solid_left,
        method=METHOD if liquid_total is not None and has_liquid else "not stated",
        liquid_left=liquid_left,
        solid_left=solid_left,
        liquid_change=figure(change, "gal", 0, missing=missing),
        solid_change=figure(None, "tons", 2, missing=NO_SOLID_STOCK)
        if has_solid
        else figure(0, "tons", 2),
    )


def _what_left(rows: Rows) -> list[tuple[int, str]]:
    drawn = [
        (draw.amount_milli, load.amount_kind)
        for load in rows.loads
        if load.origin == "own"
        for draw in load.draws.all()
    ]
    return drawn + [(row.amount_milli, row.amount_kind) for row in rows.transfers]


def _liquid_change(rows: Rows) -> tuple[float | None, str]:
    """Gallons that stood in the liquid storages more on the last day than on the first."""
    change = 0.0
    lacking = []
    for storage in rows.storages:
        if storage.form != "liquid" or not _in_use(storage, rows):
            continue
        at = [_gallons(storage, _near(rows, storage, on)) for on in (rows.first_on, rows.last_on)]
        if at[0] is None or at[1] is None:
            days = (f"{rows.first_on:%Y-%m-%d}", f"{rows.last_on:%Y-%m-%d}")
            on = [day for day, gallons in zip(days, at, strict=True) if gallons is None]
            lacking.append(f"{storage.name} on {' and '.join(on)}")
        else:
            change += at[1] - at[0]
    if lacking:
        return None, "a level or the shape of " + "; ".join(lacking)
    return change, ""


def _in_use(storage: Storage, rows: Rows) -> bool:
    ended = storage.ended_on and storage.ended_on < rows.first_on
    return storage.began_on <= rows.last_on and not ended


def _near(rows: Rows, storage: Storage, on: dt.date) -> StorageLevel | None:
    readings = [row for row in rows.levels if row.storage_id == storage.pk]
    within = [row for row in readings if abs((row.read_on - on).days) <= LEVEL_DAYS]
    return min(within, key=lambda row: (abs((row.read_on - on).days), row.read_on), default=None)


def _gallons(storage: Storage, reading: StorageLevel | None) -> float | None:
    shape = shape_of(storage)
    if shape is None or reading is None or reading.reading_ft is None:
        return None
    depth = float(reading.reading_ft)
    if storage.level_datum == "top":
        depth = shape.depth_ft - depth
    try:
        return volume_gal(shape, depth)
    except StorageShapeError:
        return None


def shape_of(storage: Storage) -> Shape | None:
    """The storage's shape for its volume; None where a size is missing."""
    length, width = storage.length_ft, storage.width_ft
    depth, diameter = storage.depth_ft, storage.diameter_ft
    try:
        if storage.shape == "stage_table" and storage.stage_table:
            return StageTable(tuple((float(d), float(v)) for d, v in storage.stage_table))
        if storage.shape == "cylinder" and diameter and depth:
            return VerticalCylinder(float(diameter), float(depth))
        if not (length and width and depth):
            return None
        if storage.shape == "rectangular":
            return Rectangular(float(length), float(width), float(depth))
        if storage.shape == "pond" and storage.side_slope is not None:
            slopes = (float(storage.side_slope),) * 2
            return Pond.from_top(float(length), float(width), float(depth), slopes, slopes)
    except (StorageShapeError, TypeError, ValueError):
        return None
    return None


def change_words(change: Figure) -> str:
    """The change of stock with its sign."""
    if change.value is None:
        return change.words
    sign = "+" if change.value > 0 else ""
    return f"{sign}{change.value:,f} {change.unit}"
