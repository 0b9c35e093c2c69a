"""Readers of weather, soil and water files as the bounded process calls them."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from typing import Any

import shapely

from farmrecords.formats.archives import is_zip
from farmrecords.formats.common import FormatError, Question, ReadResult, Rejected
from farmrecords.formats.gauge_csv import read_gauge
from farmrecords.formats.ghcn import read_ghcn
from farmrecords.formats.hydrography import CODE_KEYS, POSITION_UNCERTAINTY_FT, sorted_waters
from farmrecords.formats.maps import read_map
from farmrecords.formats.shapes import FeatureRow
from farmrecords.formats.ssurgo import SoilTables, read_soil_polygons, read_soil_tables
from farmrecords.formats.weather_days import WeatherRow
from farmrecords.formats.weather_service import read_forecast, read_observations

Answers = dict[str, str]
Context = dict[str, Any]
MOST_NEAR_UNITS = 2_000


def ghcn(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """Daily weather of public stations."""
    return _days(read_ghcn(data, answers=answers))


def gauge(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """Daily weather of the farm's own gauge or station; its name is asked once."""
    station = answers.get("day_station", "").strip()
    found = read_gauge(data, station=station or "own gauge", answers=answers)
    result = _days(found)
    if not station:
        asked = "What is the gauge or station called?"
        result.needs.append(Question("day_station", asked, examples=("rain gauge at the barn",)))
    return result


def _days(found: ReadResult[WeatherRow]) -> ReadResult[dict[str, Any]]:
    items = [
        dataclasses.asdict(row)
        | {"on": row.on.isoformat(), "observed_at": _hour(row.observed_at), "failed": []}
        for row in found.items
    ]
    return ReadResult(items, found.rejected, found.warnings, list(found.needs))


def _hour(at: dt.time | None) -> str:
    return f"{at:%H:%M}" if at else ""


def weather_service(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """An answer of the public weather service: observations, or a forecast."""
    if b'"validTime"' in data:
        forecast = read_forecast(data)
        text = data.decode("utf-8", "replace")
        items = [{"row_number": 1, "kind": "forecast", "text": text} for _one in forecast.items]
        return ReadResult(items, forecast.rejected, forecast.warnings, forecast.needs)
    found = read_observations(data)
    items = [
        {
            "row_number": number,
            "kind": "observation",
            "station": one.station,
            "at": one.at.isoformat(),
            "values": one.values,
            "place": one.place,
        }
        for number, one in enumerate(found.items, 1)
    ]
    nameless = [
        Rejected(
            number, "station", "", "The observation names no station.",
            "Ask the service again, or enter the weather by hand.",
        )
        for number, one in enumerate(found.items, 1)
        if not one.station
    ]  # fmt: skip
    return ReadResult(items, [*found.rejected, *nameless], found.warnings, found.needs)


def waters(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """Lines and areas of a public water map that lie near the farm, with their class as kind."""
    box = tuple(context["box"]) if context.get("box") else None
    found = read_map(data, box=None, answers=answers)
    near = [row for row in found.items if box is None or _touches(row, box)]
    told = sorted_waters(near)
    notes = list(found.warnings)
    if far := len(found.items) - len(near):
        notes.append(f"{far:,} waters lie far from the farm's land and were left out.")
    if passed := len(told.passed_over):
        notes.append(f"{passed:,} lines no distance is measured to were passed over.")
    items = [_water(row) for row in (*told.measured, *told.unknown)]
    if not items and found.ready:
        raise FormatError("No water of this map lies near the farm's land.", "Check the region.")
    return ReadResult(items, found.rejected, notes, found.needs)


def _touches(row: FeatureRow, box: Any) -> bool:
    west, south, east, north = row.geometry.bounds
    return bool(west <= box[2] and east >= box[0] and south <= box[3] and north >= box[1])


def _water(row: FeatureRow) -> dict[str, Any]:
    code = next((str(row.properties[key]) for key in CODE_KEYS if key in row.properties), "")
    names = ("gnis_name", "gnis_nam", "name")
    named = {str(key).lower(): value for key, value in row.properties.items()}
    name = row.name or next((str(named[key]) for key in names if named.get(key)), "")
    ids = ("permanent_identifier", "permanent_", "reachcode")
    return {
        "row_number": row.row_number,
        "name": name[:80],
        "kind": row.kind,
        "code": code,
        "source_id": next((str(named[key]) for key in ids if named.get(key)), "")[:60],
        "properties": {"uncertainty_ft": POSITION_UNCERTAINTY_FT},
        "geometry": shapely.to_geojson(row.geometry),
        "repaired": dataclasses.asdict(row.repaired) if row.repaired else None,
    }


def soils(data: bytes, answers: Answers, context: Context) -> ReadResult[dict[str, Any]]:
    """A soil survey: the map units near the farm's land with their polygons and soils."""
    if not is_zip(data):
        raise FormatError(
            "A soil survey comes as the ZIP file of its area.", "Bring that file in unchanged."
        )
    if not context.get("box"):
        raise FormatError(
            "No field has a boundary yet, so no soil can be laid on it.",
            "Bring in the field boundaries first.",
        )
    tables = read_soil_tables(data)
    shapes = read_soil_polygons(data, tuple(context["box"]))
    keys = {row.kind for row in shapes.items}
    if len(keys) > MOST_NEAR_UNITS:
        raise FormatError("The survey has too many map units near the farm.", "Cut it smaller.")
    items = [
        {
            "row_number": row.row_number,
            "mukey": row.kind,
            "geometry": shapely.to_geojson(row.geometry),
        }
        for row in shapes.items
    ]
    told = [_survey(one, keys) for one in tables.items]
    rejected = [*tables.rejected, *shapes.rejected]
    notes = [*tables.warnings, *shapes.warnings]
    return ReadResult([*told, *items], rejected, notes, [*tables.needs, *shapes.needs])


def _survey(tables: SoilTables, keys: set[str]) -> dict[str, Any]:
    units = {key: dataclasses.asdict(unit) for key, unit in tables.units.items() if key in keys}
    plain: dict[str, Any] = json.loads(json.dumps(units))
    return {"row_number": 0, "saved": tables.saved, "units": plain}
