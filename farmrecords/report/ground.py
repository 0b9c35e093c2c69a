"""Acres of fields: as the plan states them, as the boundary measures, and as they were covered."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import shapely

from farmrecords.calculations.geodesy import LocalPlane, area_ac
from farmrecords.farm.geometry import to_shape
from farmrecords.farm.models import Field
from farmrecords.loads.models import LoadPart
from farmrecords.report.figures import Figure, figure
from farmrecords.report.rows import version_of


@dataclass(frozen=True)
class FieldAcres:
    """Acres of a field on a day, and whether the plan states them or the boundary measures them."""

    acres: Decimal | None
    source: str

    @property
    def figure(self) -> Figure:
        """The acres as printed."""
        return figure(self.acres, "ac", 1, missing="neither acres nor a boundary are entered")


def field_acres(field: Field, on: dt.date) -> FieldAcres:
    """The field's acres: those stated in the plan, else those inside the boundary."""
    version = version_of(field, on)
    if version is None:
        return FieldAcres(None, "")
    if version.stated_ac is not None:
        return FieldAcres(version.stated_ac, "stated")
    shape = to_shape(version.boundary)
    if shape is None:
        return FieldAcres(None, "")
    return FieldAcres(Decimal(repr(round(area_ac(shape), 6))), "measured")


@dataclass(frozen=True)
class Coverage:
    """Acres that the parts of a period covered, each piece of ground once, and how it is known."""

    acres: float | None
    basis: str

    @property
    def figure(self) -> Figure:
        """The acres as printed."""
        return figure(self.acres, "ac", 1, missing=self.basis)


def coverage(parts: list[tuple[LoadPart, dict[str, Any]]], acres: Decimal | None) -> Coverage:
    """The ground the parts covered on one field, at most the field itself.

    Ground known from tracks counts once however often it was driven. Acres that were only noted
    are added up. Where neither is known the whole field is taken, and the words say so.
    """
    if acres is None:
        return Coverage(None, "neither acres nor a boundary are entered")
    whole = float(acres)
    shapes, noted, unknown = [], 0.0, 0
    for _part, facts in parts:
        footprint = to_shape(facts.get("footprint"))
        if footprint is not None:
            shapes.append(footprint)
        elif facts.get("covered_from") == "noted" and facts.get("covered_ac"):
            noted += float(facts["covered_ac"])
        else:
            unknown += 1
    if unknown:
        return Coverage(whole, f"whole field: {unknown} of {len(parts)} loads state no acres")
    tracked = union_ac(shapes) if shapes else 0.0
    words = []
    if shapes:
        words.append(f"tracks of {len(shapes)} loads, each piece of ground once")
    if noted:
        words.append(f"acres noted for {len(parts) - len(shapes)} loads, added up")
    if tracked + noted > whole:
        words.append("at most the field")
    return Coverage(min(tracked + noted, whole), "; ".join(words))


def union_ac(shapes: list[Any]) -> float:
    """Acres of the ground that at least one of the shapes covers."""
    plane = LocalPlane.centred_on(shapely.GeometryCollection(shapes))
    # a millimetre grid keeps edges that nearly coincide from failing the union
    joined = shapely.union_all([plane.project(shape) for shape in shapes], grid_size=0.001)
    return area_ac(plane.unproject(joined)) if not joined.is_empty else 0.0
