"""Geometry as it is stored: GeoJSON in WGS84 lon/lat, checked before it is kept.

Repair is a question for intake; here a geometry is accepted or refused, never changed.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import shapely
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

GRID_DEG = 1e-7
VERTICES_AT_MOST = 20_000  # bound of one upload, the project's choice


def to_shape(geojson: dict[str, Any] | None) -> BaseGeometry | None:
    """The stored GeoJSON as a shapely geometry in lon/lat."""
    return shape(geojson) if geojson else None


def to_geojson(geometry: BaseGeometry) -> dict[str, Any]:
    """A shapely geometry as plain GeoJSON with lists, seven decimals (about 0.02 ft).

    Rounding alone can make an outline cross itself; then it is laid on the grid of seven decimals
    as a whole, so that what was a sound outline stays one.
    """
    rounded = _rounded(geometry)
    if not rounded.is_valid and geometry.is_valid:
        rounded = _rounded(shapely.set_precision(geometry, GRID_DEG))
    return _told(rounded)


def _told(geometry: BaseGeometry) -> dict[str, Any]:
    """GeoJSON of a geometry: areas straight from their corners, which is how most ground comes."""
    if geometry.is_empty or geometry.has_z or geometry.geom_type not in ("Polygon", "MultiPolygon"):
        told: dict[str, Any] = json.loads(shapely.to_geojson(geometry))
        return told
    rings = [
        [shapely.get_coordinates(ring).tolist() for ring in (part.exterior, *part.interiors)]
        for part in shapely.get_parts(geometry)
    ]
    single = geometry.geom_type == "Polygon"
    return {"type": geometry.geom_type, "coordinates": rings[0] if single else rings}


def _rounded(geometry: BaseGeometry) -> BaseGeometry:
    return shapely.transform(geometry, lambda places: np.round(places, 7), include_z=True)


def check_any_geometry(value: Any) -> None:
    """Refuse what is no valid geometry on earth, saying where it fails."""
    _checked(value)


def check_areas(value: Any) -> None:
    """Refuse a boundary that is no valid polygon or multipolygon."""
    geometry = _checked(value)
    if geometry.geom_type not in ("Polygon", "MultiPolygon"):
        raise ValidationError(
            _(
                "A field boundary must be a closed outline, but this is a %(kind)s. Close the "
                "outline, or import it as a feature instead."
            )
            % {"kind": geometry.geom_type}
        )


def _checked(value: Any) -> BaseGeometry:
    try:
        geometry = shape(value)
    except Exception as error:
        raise ValidationError(_("The outline cannot be read: %(why)s.") % {"why": error}) from error
    if geometry.is_empty:
        raise ValidationError(_("The outline is empty."))
    coordinates = shapely.get_coordinates(geometry)
    if len(coordinates) > VERTICES_AT_MOST:
        raise ValidationError(
            _("The outline has %(n)d corner points; at most %(max)d are taken.")
            % {"n": len(coordinates), "max": VERTICES_AT_MOST}
        )
    for lon, lat in coordinates:
        _check_lon_lat(lon, lat)
    if not geometry.is_valid:
        raise ValidationError(
            _("The outline crosses or touches itself (%(why)s). Redraw it there.")
            % {"why": explain_validity(geometry)}
        )
    return geometry


def _check_lon_lat(lon: float, lat: float) -> None:
    if -180 <= lon <= 180 and -90 <= lat <= 90:
        return
    swapped = -90 <= lon <= 90 and -180 <= lat <= 180
    hint = _("Latitude and longitude look swapped.") if swapped else _("Use degrees, WGS84.")
    raise ValidationError(
        _("Longitude %(lon)s, latitude %(lat)s is not a place on earth. %(hint)s")
        % {"lon": lon, "lat": lat, "hint": hint}
    )
