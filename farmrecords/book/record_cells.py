"""The values of a record in the words of a page."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext as _

from farmrecords.book.record_kind import Column, Kind, label_of
from farmrecords.measurements.results import ANALYTES

EMPTY = "—"


def cell(record: Any, column: Column) -> str:
    """One value in words; nothing recorded is a dash."""
    if isinstance(column, str):
        return _said(record, record._meta.get_field(column))
    value = column[1](record)
    return EMPTY if value in (None, "", []) else str(value)


def head(kind: Kind, column: Column) -> str:
    """The words above a column."""
    return label_of(kind, column) if isinstance(column, str) else str(column[0])


def facts(kind: Kind, record: Any) -> list[tuple[str, str]]:
    """Everything a record says: (label, words), what was computed from it first."""
    rows = [(str(words), cell(record, (words, told))) for words, told in kind.also]
    return rows + [(label_of(kind, name), cell(record, name)) for name in _shown(kind)]


def _shown(kind: Kind) -> list[str]:
    units = {amount.unit for amount in kind.amounts if amount.unit}
    names = [*kind.fields, *(name for name in kind.own if name not in kind.fields)]
    return [name for name in names if name not in units]


def _said(record: Any, field: Any) -> str:
    value = getattr(record, field.name)
    if value is None or value in ("", [], {}):
        return EMPTY
    if isinstance(field, models.ForeignKey):
        return str(value)
    if field.choices:
        return str(dict(field.flatchoices).get(value, value))
    words = plain(value)
    unit = getattr(record, field.name.replace("_text", "_unit"), "")
    return f"{words} {unit}" if unit and field.name.endswith("_text") else words


def plain(value: Any) -> str:
    """A value of any column in words."""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, dt.datetime):
        return f"{timezone.localtime(value):%Y-%m-%d %H:%M}"
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    if isinstance(value, list):
        return "; ".join(_one(item) for item in value)
    if isinstance(value, dict):
        return place(value)
    return str(value)


def _one(item: Any) -> str:
    if isinstance(item, dict) and "analyte" in item:
        name = ANALYTES.get(item["analyte"], item["analyte"])
        unit = item.get("unit")
        figure = f"{name} {item.get('value')}"
        return figure if str(unit) == str(name) else f"{figure} {unit}"  # pH is its own unit
    if isinstance(item, list | tuple):
        return ": ".join(str(one) for one in item)
    return str(item)


def place(geometry: dict[str, Any]) -> str:
    """A place in words: what shape, and its corners."""
    if "type" not in geometry:
        return ", ".join(f"{name} {value}" for name, value in geometry.items())
    corners = list(points_of(geometry))
    if len(corners) == 1:
        return f"{corners[0][1]}, {corners[0][0]}"
    kind = _("area") if "Polygon" in geometry["type"] else _("line")
    return _("%(kind)s with %(n)d corners") % {"kind": kind, "n": len(corners)}


def points_of(geometry: dict[str, Any]) -> list[tuple[Any, Any]]:
    """The corners (lon, lat) of a stored place, of all its pieces."""

    def walk(part: Any) -> list[tuple[Any, Any]]:
        if part and not isinstance(part[0], list | tuple):
            return [(part[0], part[1])]
        return [corner for piece in part for corner in walk(piece)]

    return walk(geometry.get("coordinates", []))
