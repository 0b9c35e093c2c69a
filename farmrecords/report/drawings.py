"""Map and year band of a field, made from the content alone; the same for page and PDF."""

from __future__ import annotations

from reportlab.graphics.shapes import Drawing

from farmrecords.drawing import (
    Landmark,
    LoadTick,
    Period,
    Swath,
    Zone,
    field_map,
    year_band,
)
from farmrecords.report.land import LandMap
from farmrecords.report.model import Cover, FieldItem


def scaled(drawing: Drawing, factor: float) -> Drawing:
    """The drawing made smaller with its words, so that they match the small type around it."""
    drawing.scale(factor, factor)
    drawing.width *= factor
    drawing.height *= factor
    return drawing


def map_of(field: FieldItem, *, width: float, height: float) -> Drawing | None:
    """The field's map; None without a boundary."""
    land = field.land
    if land is None or not land.boundary:
        return None
    return field_map(
        land.boundary,
        zones=[Zone(zone.label, zone.areas) for zone in land.zones],
        swaths=[Swath(swath.areas, float(swath.per_ac)) for swath in _of_one_unit(land)],
        landmarks=[
            Landmark(mark.label, mark.spots, mark.kind)  # type: ignore[arg-type]
            for mark in land.landmarks
        ],
        unit=land.unit,
        width=width,
        height=height,
    )


def _of_one_unit(land: LandMap) -> list:
    return [swath for swath in land.swaths if swath.unit == land.unit and swath.areas]


def bands_of(field: FieldItem, cover: Cover, *, width: float) -> list[Drawing]:
    """One band of the period's days for each form of manure the field took."""
    made = []
    for unit in ("gal", "tons"):
        ticks = [
            LoadTick(row.local_day, float(row.amount.value or 0))
            for row in field.loads
            if row.amount.unit == unit
        ]
        if ticks and cover.last_on > cover.first_on:
            period = Period(cover.first_on, cover.last_on)
            made.append(year_band(period, loads=ticks, unit=unit, width=width))
    return made
