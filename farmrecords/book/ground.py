"""Where manure went on one field, in a day or a crop year: gathered for the page and as GeoJSON."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from farmrecords.book.map_data import collection, field_rows, map_row
from farmrecords.calculations.geodesy import area_ac
from farmrecords.calculations.ground_cover import (
    Cover,
    ThrowShares,
    cell_for,
    cover_of,
    shares_within,
    throw_shares,
)
from farmrecords.calculations.rate import share_of_highest
from farmrecords.calculations.rate_grid import Cell, RateRange, range_of_rates, rate_by_cell
from farmrecords.farm.acres import boundary_of
from farmrecords.farm.geometry import to_geojson
from farmrecords.farm.models import Field, FieldVersion
from farmrecords.findings.pictures import near_features
from farmrecords.findings.zones import zones_of
from farmrecords.loads import amounts, tracks
from farmrecords.loads.facts import facts_for
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.surroundings import Surroundings
from farmrecords.measurements.models import WeatherReading

NEAREST_WIND = dt.timedelta(hours=1)
DEFAULT_WIDTH_FT = 30.0  # only for finding strips, where no spreader tells its width


@dataclass
class Pass:
    """One load's share on the field: its amount, ground where known, and the wind on a throw."""

    load: Load
    part: LoadPart
    told: dict[str, Any]
    ground: BaseGeometry | None
    amount: float
    throw: ThrowShares | None = None
    wind: WeatherReading | None = None


@dataclass
class ZoneShare:
    """Ground to keep off: how much of it was covered, and with how much."""

    label: str
    zone_ac: float
    covered_ac: float
    amount: float
    ground: BaseGeometry


@dataclass
class GroundPicture:
    """Everything the page tells; figures of loads with known ground only."""

    version: FieldVersion | None
    kind: str
    passes: list[Pass] = field(default_factory=list)
    unknown: list[Pass] = field(default_factory=list)
    cover: Cover | None = None
    cells: list[Cell] = field(default_factory=list)
    cell_ft: float = 0.0
    zones: list[ZoneShare] = field(default_factory=list)

    @property
    def unit(self) -> str:
        """The unit of amounts on this page."""
        return amounts.unit_word(self.kind, 2)

    @property
    def rate_unit(self) -> str:
        """The unit of rates on this page."""
        return amounts.rate_word(self.kind)

    @property
    def cell_rates(self) -> RateRange | None:
        """The lowest, middle and highest rate of the cells."""
        return range_of_rates(self.cells)


def picture_of(land: Field, loads: Sequence[Load], on: dt.date, kind: str) -> GroundPicture:
    """The ground of a field under the given loads, with boundary, features and rules of the day.

    Amounts are those of one kind (gallons or tons); loads of the other kind stay out.
    """
    version = land.version_on(on)
    found = GroundPicture(version, kind)
    around = Surroundings(land.operation)
    kept = facts_for(loads)
    widths = []
    for load in loads:
        if load.amount_kind != kind:
            continue
        for part in load.parts.all():
            if part.field_id != land.pk:
                continue
            one = _pass(load, part, kept[load.pk].parts, kind)
            (found.passes if one.ground is not None else found.unknown).append(one)
        if width := around.width_of(load.spreader, load.local_day):
            widths.append(float(width))
    boundary = boundary_of(version)
    if boundary is None or not found.passes:
        return found
    _lay(found, boundary, max(widths, default=DEFAULT_WIDTH_FT))
    _keep_off(found, land, boundary, on)
    _wind(found, land)
    return found


def _pass(load: Load, part: LoadPart, parts: list[dict[str, Any]], kind: str) -> Pass:
    told = next((row for row in parts if row["part"] == part.number), {})
    ground = shape(told["footprint"]) if told.get("footprint") else None
    return Pass(load, part, told, ground, float(amounts.in_unit(part.amount_milli, kind)))


def _lay(found: GroundPicture, boundary: BaseGeometry, width_ft: float) -> None:
    grounds = [(one.ground, one.amount) for one in found.passes if one.ground is not None]
    swept = sum(one.told.get("swept_ac") or 0.0 for one in found.passes)
    found.cover = cover_of(boundary, [ground for ground, _amount in grounds], width_ft, swept)
    found.cell_ft = cell_for(boundary)
    found.cells = rate_by_cell(grounds, found.cell_ft)


def _keep_off(found: GroundPicture, land: Field, boundary: BaseGeometry, on: dt.date) -> None:
    first = found.passes[0].load
    form = "liquid" if found.kind == "gal" else "solid"
    features = near_features(land, boundary, on)
    grounds = [(one.ground, one.amount) for one in found.passes if one.ground is not None]
    for label, zone in zones_of(land, boundary, features, on, method=first.method, form=form):
        covered, amount = shares_within(grounds, zone)
        found.zones.append(ZoneShare(label, area_ac(zone), covered, amount, zone))


def _wind(found: GroundPicture, land: Field) -> None:
    """How a one-sided throw lay to the wind of the hour, where both are known."""
    sided = [
        one
        for one in found.passes
        if one.load.spreader is not None and one.load.spreader.discharge_side in ("left", "right")
    ]
    readings = _readings(land, [one.load.started_at for one in sided])
    for one in sided:
        one.wind = min(
            (r for r in readings if abs(r.observed_at - one.load.started_at) <= NEAREST_WIND),
            key=lambda reading, at=one.load.started_at: abs(reading.observed_at - at),  # type: ignore[misc]
            default=None,
        )
        if one.wind is None or one.wind.wind_from_deg is None or one.load.spreader is None:
            continue
        side = one.load.spreader.discharge_side
        track = tracks.track_of(one.part.track_sha256)
        one.throw = throw_shares(track.points, side, float(one.wind.wind_from_deg))  # type: ignore[arg-type]


def _readings(land: Field, moments: list[dt.datetime]) -> list[WeatherReading]:
    """Readings of the wind around the moments, fetched once."""
    if not moments:
        return []
    return list(
        WeatherReading.objects.filter(
            operation=land.operation_id,
            voided=False,
            wind_from_deg__isnull=False,
            observed_at__gte=min(moments) - NEAREST_WIND,
            observed_at__lte=max(moments) + NEAREST_WIND,
        )
    )


def map_of(found: GroundPicture, land: Field, on: dt.date, layer: str) -> dict[str, Any]:
    """The map of the page: fields, zones and features, with swaths or the rate by cell."""
    rows = field_rows(land, on)
    if layer == "rate":
        shades = share_of_highest([cell.rate_per_ac for cell in found.cells])
        for cell, shade in zip(found.cells, shades, strict=True):
            label = f"{cell.rate_per_ac:,.1f} {found.rate_unit}"
            rows.append(_row(cell.ground, "swath", label, shade=shade))
        return collection(rows)
    for one in found.passes:
        label = f"{one.load.started_local:%m-%d %H:%M}"
        rows.append(_row(one.ground, "swath", label, shade=0.35))
    if found.cover is not None:
        for ground, label in (
            (found.cover.twice, _("covered twice")),
            (found.cover.missed, _("missed between passes")),
        ):
            if not ground.is_empty:
                shade = 1.0 if ground is found.cover.twice else 0.0
                rows.append(_row(ground, "swath", label, shade=shade))
    return collection(rows)


def _row(ground: Any, kind: str, label: str, **more: Any) -> dict[str, Any]:
    return map_row(to_geojson(ground), kind, label, **more)


def geojson_of(found: GroundPicture, land: Field) -> dict[str, Any]:
    """Every ground with its figures, for use elsewhere (WGS84, longitude before latitude)."""
    rows = []
    for one in found.passes:
        rows.append(
            _row(
                one.ground,
                "swath",
                str(land),
                load=str(one.load.pk),
                started=one.load.started_at.isoformat(),
                amount=round(one.amount, 3),
                unit=found.unit,
                covered_ac=one.told.get("covered_ac"),
                swept_ac=one.told.get("swept_ac"),
                rate_per_ac=one.told.get("rate_per_ac"),
                rate_unit=found.rate_unit,
            )
        )
    if found.cover is not None:
        for kind, ground, acres in (
            ("twice", found.cover.twice, found.cover.twice_ac),
            ("missed", found.cover.missed, found.cover.missed_ac),
        ):
            if not ground.is_empty:
                rows.append(_row(ground, kind, str(land), acres=acres))
    for zone in found.zones:
        rows.append(
            _row(zone.ground, "zone", zone.label, zone_ac=zone.zone_ac,
                 covered_ac=zone.covered_ac, amount=round(zone.amount, 3), unit=found.unit)
        )  # fmt: skip
    for cell in found.cells:
        rows.append(
            _row(cell.ground, "cell", str(land), column=cell.column, row=cell.row,
                 amount=round(cell.amount, 3), covered_ac=cell.covered_ac,
                 rate_per_ac=cell.rate_per_ac, unit=found.unit, cell_ft=found.cell_ft)
        )  # fmt: skip
    return collection(rows)
