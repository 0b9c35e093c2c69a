"""What the rules may look at for a storage's period and for its discharges.

Nothing entered is not none: a storage of which no level is entered at all is unknown, one of which
some are entered is held to every week.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from farmrecords.calculations.rounds import (
    freeboard_ft,
    hours_between,
    longest_gap_days,
    weeks_without,
)
from farmrecords.farm.models import Storage
from farmrecords.farm.shapes import depth_of
from farmrecords.findings.farm_rows import FarmPeriod
from farmrecords.findings.load_facts import operation_facts
from farmrecords.measurements.models import Discharge
from farmrecords.rules.facts import Facts


def storage_facts(period: FarmPeriod, storage: Storage) -> Iterator[Facts]:
    """The facts of the storage's period: once, or once for each of its discharges."""
    around = period.around
    values = operation_facts(around.permit(period.day)) | _design(storage)
    values |= {"documents.held": period.papers(), "asked.on": period.today}
    if storage.form == "liquid":
        values |= _levels(period, storage)
    own = [row for row in period.discharges if row.storage_id == storage.pk]
    values["storage.overflowed"] = _overflowed(period, storage, own)
    for of_one in [discharge_facts(row) for row in own] or [{}]:
        known = {k: v for k, v in (values | of_one).items() if v is not None}
        yield Facts(known)


def _design(storage: Storage) -> dict[str, Any]:
    """The storage as it was built. A stack may lie on a pad or in a field; that is not entered."""
    parts = (storage.solids_allowance_gal, storage.treatment_volume_gal)
    total = storage.design_volume_gal
    is_written = None not in (*parts, total, storage.design_days)
    # The parts entered are not all the parts, so their sum can only show a volume too small.
    least = sum(part for part in parts if part is not None)
    has_mark = storage.pump_out_ft is not None
    storm = has_mark and storage.storm_depth_in is not None and storage.storm_source
    return {
        "storage.kind": None if storage.shape == "stack" else "structure",
        "storage.liquid": storage.form == "liquid",
        "storage.liquid_open": storage.form == "liquid" and storage.is_open,
        "storage.marker": True if has_mark else None,
        "storage.marker_minimum": "recorded" if storm else None,
        "storage.design": "recorded" if is_written else None,
        "storage.total_gal": total,
        "storage.parts_gal": least if total is not None and least > total else None,
        "storage.freeboard_design_ft": storage.freeboard_ft,
        "storage.must_pump_level_ft": storage.pump_out_ft,
        "discharge.storm_25yr_in": storage.storm_depth_in,
    }


def _levels(period: FarmPeriod, storage: Storage) -> dict[str, Any]:
    """Weeks and days without a level, and the highest level, as far as levels are entered."""
    rows = period.levels.get(storage.pk, [])
    if not rows and storage.pk not in period.missed_levels:
        return {}
    first = max(period.first_on, storage.began_on)
    last = min(period.day, storage.ended_on or period.day)
    days = [row.read_on for row in rows]
    depths = [depth for row in rows if (depth := depth_of(storage, row)) is not None]
    highest = max(depths, default=None)
    values: dict[str, Any] = {
        "storage.weeks_missed": weeks_without(days, first, last),
        "storage.longest_gap_days": longest_gap_days(days, first, last),
        "storage.level_ft": _hundredths(highest),
    }
    if highest is not None and storage.depth_ft:
        values["storage.freeboard_ft"] = _hundredths(
            freeboard_ft(float(storage.depth_ft), max(highest, 0.0))
        )
    return values


def _hundredths(feet: float | None) -> Decimal | None:
    """Feet as levels are read, to a hundredth; the noise of binary numbers decides nothing."""
    return None if feet is None else Decimal(f"{feet:.2f}")


def _overflowed(period: FarmPeriod, storage: Storage, own: list[Discharge]) -> bool | None:
    """True where a discharge is entered, False where none is stated, else unknown.

    A discharge that names no storage leaves open which one it was.
    """
    if any(row.from_production_area for row in own):
        return True
    unnamed = any(row.from_production_area and row.storage_id is None for row in period.discharges)
    return False if not unnamed and period.states_none("discharges", storage.pk) else None


def discharge_facts(row: Discharge) -> dict[str, Any]:
    """The facts of one discharge: what is written down of it, and when the agency knew."""
    is_whole = bool(row.happened_at and row.volume_text.strip())
    values: dict[str, Any] = {"discharge.recorded": "recorded" if is_whole else "not_recorded"}
    if row.aware_at and row.told_at and row.told_at >= row.aware_at:
        values["discharge.oral_hours"] = hours_between(row.aware_at, row.told_at)
    if row.aware_at and row.written_on:
        aware_on = row.aware_at.astimezone(row.operation.zone).date()
        values["discharge.written_days"] = max((row.written_on - aware_on).days, 0)
    return values
