"""Soil survey files (SSURGO): tables and map-unit polygons, as delivered for a survey area.

The form read is the survey area's ZIP file (tabular/*.txt without headings, pipe-delimited and
quoted, their column order in mstabcol.txt). Every value comes as text or null; null is not known
and never zero.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from farmrecords.formats.archives import Archive
from farmrecords.formats.common import FormatError, ReadResult, shown
from farmrecords.formats.features import settled
from farmrecords.formats.numerals import plain_float
from farmrecords.formats.shapes import Box, Drawn, FeatureRow
from farmrecords.formats.shp import dbf_rows, shapes_of
from farmrecords.formats.text import decode_text

# table -> file in tabular/ [memory]
FILES = {"mapunit": "mapunit", "component": "comp", "chorizon": "chorizon", "comonth": "comonth"}
MOST_TABLE_ROWS = 200_000
MAX_SURVEY_POLYGONS = 100_000
_ORDER_AGAIN = "Order the survey area again and load its ZIP file unchanged."
Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class Horizon:
    """One layer of a soil, with depths in centimetres; texts and numbers as published."""

    top_cm: float | None
    bottom_cm: float | None
    name: str
    values: Row = field(hash=False)

    def number(self, column: str) -> float | None:
        """A column as a number, None when it is null or no number."""
        return plain_float(self.values.get(column, "").strip())


@dataclass(frozen=True, slots=True)
class Component:
    """One soil within a map unit; `values` holds every column as published."""

    cokey: str
    mukey: str
    name: str
    percent: float | None
    values: Row = field(hash=False)
    horizons: tuple[Horizon, ...] = ()
    flooding: tuple[str, ...] = ()

    def number(self, column: str) -> float | None:
        """A column as a number, None when it is null or no number."""
        return plain_float(self.values.get(column, "").strip())

    def text(self, column: str) -> str:
        """A column as text, empty when it is null."""
        return self.values.get(column, "").strip()

    @property
    def surface(self) -> Horizon | None:
        """The mineral horizon at the top: organic layers (names with O) are passed over."""
        known = [h for h in self.horizons if h.top_cm is not None]
        mineral = [h for h in known if not h.name.lstrip("0123456789").startswith("O")]
        return min(mineral, key=lambda h: h.top_cm or 0.0, default=None)


@dataclass(frozen=True, slots=True)
class MapUnit:
    """One map unit with its soils."""

    mukey: str
    symbol: str
    name: str
    components: tuple[Component, ...]


@dataclass(frozen=True)
class SoilTables:
    """The map units of a survey by key, and the date of its data (to be shown with values)."""

    units: dict[str, MapUnit]
    saved: str = ""


def read_soil_tables(data: bytes) -> ReadResult[SoilTables]:
    """The tables of a survey area's ZIP file, as the only item of the result."""
    archive = Archive(data)
    tables = {name: list(_table(archive, name)) for name in FILES}
    saved = next((row.get("saverest", "") for row in _table(archive, "sacatalog")), "")
    return _result(tables, saved)


def _table(archive: Archive, table: str) -> Iterator[Row]:
    """The rows of a table, under the column names that mstabcol.txt gives."""
    member = _member(archive, FILES.get(table, table))
    if member is None:
        return
    columns = _columns(archive, table)
    for number, cells in _cells(archive.read(member), member):
        if len(cells) != len(columns):
            raise FormatError(
                f"Row {number} of {shown(member)} has {len(cells)} values, not {len(columns)}.",
                _ORDER_AGAIN,
            )
        yield dict(zip(columns, cells, strict=True))


def _member(archive: Archive, name: str) -> str | None:
    found = archive.named(f"/{name}.txt") or [n for n in archive.names if n == f"{name}.txt"]
    return found[0] if found else None


def _columns(archive: Archive, table: str) -> list[str]:
    """Column names of a table in order: mstabcol holds table, sequence, physical name first."""
    member = _member(archive, "mstabcol")
    if member is None:
        raise FormatError("The archive has no mstabcol.txt with the column names.", _ORDER_AGAIN)
    named: dict[int, str] = {}
    for number, cells in _cells(archive.read(member), member):
        if len(cells) < 3:
            raise FormatError(f"Row {number} of {shown(member)} is too short.", _ORDER_AGAIN)
        sequence = plain_float(cells[1])
        if cells[0].lower() == table and sequence is not None:
            named[int(sequence)] = cells[2].lower()
    if not named:
        raise FormatError(f"mstabcol.txt does not name the columns of {table}.", _ORDER_AGAIN)
    return [named[at] for at in sorted(named)]


def _cells(data: bytes, member: str) -> Iterator[tuple[int, list[str]]]:
    if not data:
        return
    text, _, _ = decode_text(data)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter="|", strict=True)
    try:
        for number, cells in enumerate(reader, 1):
            if number > MOST_TABLE_ROWS:
                raise FormatError(f"{shown(member)} is too long.", "Order a smaller area.")
            if cells:
                yield number, cells
    except csv.Error as error:
        raise FormatError(
            f"{shown(member)} cannot be divided into rows ({error}).", _ORDER_AGAIN
        ) from None


def _result(tables: dict[str, list[Row]], saved: str) -> ReadResult[SoilTables]:
    """Map units with their components put together by key."""
    components = _components(tables)
    units = {
        row["mukey"]: MapUnit(
            row["mukey"],
            row.get("musym", ""),
            row.get("muname", ""),
            tuple(components.get(row["mukey"], [])),
        )
        for row in tables["mapunit"]
        if row.get("mukey")
    }
    if not units:
        raise FormatError("The file holds no soil map units.", _ORDER_AGAIN)
    bare = sum(1 for unit in units.values() if not unit.components)
    warnings = [f"{bare} map units have no soils in the tables."] if bare else []
    return ReadResult([SoilTables(units, saved)], [], warnings)


def _components(tables: dict[str, list[Row]]) -> dict[str, list[Component]]:
    """Components by map unit, with their horizons and flooding."""
    horizons: dict[str, list[Horizon]] = {}
    for row in tables["chorizon"]:
        depth = Horizon(
            plain_float(row.get("hzdept_r", "")),
            plain_float(row.get("hzdepb_r", "")),
            row.get("hzname", ""),
            row,
        )
        horizons.setdefault(row.get("cokey", ""), []).append(depth)
    flooding: dict[str, list[str]] = {}
    for row in tables["comonth"]:
        if row.get("flodfreqcl"):
            flooding.setdefault(row.get("cokey", ""), []).append(row["flodfreqcl"])
    components: dict[str, list[Component]] = {}
    for row in tables["component"]:
        cokey, mukey = row.get("cokey", ""), row.get("mukey", "")
        component = Component(
            cokey=cokey,
            mukey=mukey,
            name=row.get("compname", ""),
            percent=plain_float(row.get("comppct_r", "")),
            values=row,
            horizons=tuple(sorted(horizons.get(cokey, []), key=_depth)),
            flooding=tuple(flooding.get(cokey, [])),
        )
        components.setdefault(mukey, []).append(component)
    return components


def _depth(horizon: Horizon) -> float:
    return float("inf") if horizon.top_cm is None else horizon.top_cm


def read_soil_polygons(data: bytes, near: Box) -> ReadResult[FeatureRow]:
    """The map-unit polygons of a survey area's ZIP file that touch `near`.

    `name` is the map symbol, `kind` the map-unit key. The spatial files are WGS84 degrees.
    """
    archive = Archive(data)
    layers = [n for n in archive.named(".shp") if n.rpartition("/")[2].startswith("soilmu_a")]
    if not layers:
        raise FormatError("The archive holds no soil map (soilmu_a_….shp).", _ORDER_AGAIN)
    table = layers[0].removesuffix(".shp") + ".dbf"
    if table not in archive.names:
        raise FormatError("The soil map has no table beside it.", _ORDER_AGAIN)
    rows = dbf_rows(archive.read(table), "latin-1", MAX_SURVEY_POLYGONS)
    shapes = shapes_of(archive.read(layers[0]), near=near)
    return settled(_soil_shapes(shapes, rows))


def _soil_shapes(
    shapes: Iterator[tuple[str, Any]], rows: Iterator[dict[str, Any]]
) -> Iterator[Drawn]:
    for number, ((shape, coordinates), row) in enumerate(zip(shapes, rows, strict=False), 1):
        if shape == "elsewhere":
            continue
        plain = {key.upper(): value for key, value in row.items()}
        symbol, key = str(plain.get("MUSYM") or ""), str(plain.get("MUKEY") or "")
        yield Drawn(number, symbol, key, plain, shape, coordinates)
