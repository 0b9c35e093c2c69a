"""Item (ii): what was generated, as far as the records can tell; solid and liquid apart.

What left the storages is exact. What was generated is that, plus the change of what stands in them,
less what others brought; for liquid storages the change follows from level readings near the first
and the last day.
"""

from __future__ import annotations

import datetime as dt

from farmrecords.calculations.units import whole
from farmrecords.farm.models import Storage
from farmrecords.farm.shapes import gallons_at
from farmrecords.measurements.models import StorageLevel
from farmrecords.report.amounts import amount_figure, totals_by_kind
from farmrecords.report.figures import Figure, figure
from farmrecords.report.model import Generated
from farmrecords.report.rows import LEVEL_DAYS, Rows

METHOD = (
    "What left the storages in the period (loads of the operation's own manure, and transfers), "
    "plus the change of what stood in the liquid storages between level readings within "
    f"{LEVEL_DAYS} days of the first and the last day, less the manure received from others into "
    "a storage. Rain and wash water that reached the storages are in it."
)
NO_STORAGE = (
    " Receipts that name no storage are taken as spread where they arrived, and are not taken off."
)
NO_SOLID_STOCK = "the stock of solid manure on the first and the last day"


def generated_of(rows: Rows) -> Generated:
    """Item (ii): the estimate, the method, and the parts it is made of."""
    left, came = totals_by_kind(_what_left(rows)), totals_by_kind(_what_came(rows))
    liquid_left, solid_left = amount_figure(left["gal"], "gal"), amount_figure(left["lb"], "lb")
    change, missing = _liquid_change(rows)
    has_liquid = any(s.form == "liquid" for s in rows.storages) or left["gal"] or came["gal"]
    has_solid = any(s.form == "solid" for s in rows.storages) or left["lb"] or came["lb"]
    liquid_total = None if change is None else float(whole(left["gal"] - came["gal"])) + change
    if liquid_total is not None and liquid_total < 0:
        missing = "more was received than left the storages; a level, a load or a receipt is wrong"
        liquid_total = None
    method = METHOD + (NO_STORAGE if any(not row.storage_id for row in rows.received) else "")
    return Generated(
        liquid=figure(liquid_total, "gal", 0, missing=missing) if has_liquid else liquid_left,
        solid=figure(None, "tons", 2, missing=NO_SOLID_STOCK) if has_solid else solid_left,
        method=method if liquid_total is not None and has_liquid else "not stated",
        liquid_left=liquid_left,
        solid_left=solid_left,
        liquid_change=figure(change, "gal", 0, missing=missing),
        solid_change=figure(None, "tons", 2, missing=NO_SOLID_STOCK)
        if has_solid
        else figure(0, "tons", 2),
        liquid_received=amount_figure(came["gal"], "gal"),
        solid_received=amount_figure(came["lb"], "lb"),
    )


def _what_came(rows: Rows) -> list[tuple[int, str]]:
    """What others brought into the storages; a receipt without a storage went to a field."""
    return [(row.amount_milli, row.amount_kind) for row in rows.received if row.storage_id]


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
        if storage.form != "liquid" or not storage.is_used(rows.first_on, rows.last_on):
            continue
        at = [gallons_at(storage, _near(rows, storage, on)) for on in (rows.first_on, rows.last_on)]
        if at[0] is None or at[1] is None:
            days = (f"{rows.first_on:%Y-%m-%d}", f"{rows.last_on:%Y-%m-%d}")
            on = [day for day, gallons in zip(days, at, strict=True) if gallons is None]
            lacking.append(f"{storage.name} on {' and '.join(on)}")
        else:
            change += at[1] - at[0]
    if lacking:
        return None, "a level or the shape of " + "; ".join(lacking)
    return change, ""


def _near(rows: Rows, storage: Storage, on: dt.date) -> StorageLevel | None:
    readings = [row for row in rows.levels if row.storage_id == storage.pk]
    within = [row for row in readings if abs((row.read_on - on).days) <= LEVEL_DAYS]
    return min(within, key=lambda row: (abs((row.read_on - on).days), row.read_on), default=None)


def change_words(change: Figure) -> str:
    """The change of stock with its sign."""
    if change.value is None:
        return change.words
    sign = "+" if change.value > 0 else ""
    return f"{sign}{change.value:,f} {change.unit}"
