"""The ground of one part of a load: from its track, else as noted, else the whole field."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from shapely.errors import GEOSException
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import GeometryError
from farmrecords.calculations.rate import rate_per_ac, rate_unit
from farmrecords.calculations.setback_geometry import acres_outside
from farmrecords.calculations.swath import SwathError, footprint, possible_footprint
from farmrecords.farm.acres import acres_of, boundary_of
from farmrecords.farm.geometry import to_geojson
from farmrecords.farm.models import FieldVersion, Spreader
from farmrecords.history.errors import FileChanged
from farmrecords.loads import tracks
from farmrecords.loads.models import Load, LoadPart


@dataclass
class Ground:
    """What is known of the ground of a part, and how far manure may have reached.

    `covered_from` is track, noted, whole_field or None. `reach` is what distances are measured
    from: the ground of the track, else the boundary of the field; `reach_from` says which. It is
    None when neither is known, and then no distance can be told.
    """

    part: LoadPart
    version: FieldVersion | None
    boundary_ac: float | None
    covered_ac: float | None = None
    swept_ac: float | None = None
    covered_from: str | None = None
    outside_ac: float | None = None
    footprint: BaseGeometry | None = None
    reach: BaseGeometry | None = None
    reach_from: str | None = None
    uncertainty_ft: float = 0.0
    trouble: str = ""

    def told(self, load: Load) -> dict[str, Any]:
        """The facts of the part as kept, without its distances."""
        rate = None
        if self.covered_ac:
            rate = rate_per_ac(self.part.amount_milli, load.amount_kind, self.covered_ac)  # type: ignore[arg-type]
        return {
            "part": self.part.number,
            "field": str(self.part.field_id),
            "field_version": str(self.version.pk) if self.version else None,
            "field_version_rev": self.version.rev if self.version else None,
            "boundary_ac": self.boundary_ac,
            "covered_ac": self.covered_ac,
            "swept_ac": self.swept_ac,
            "covered_from": self.covered_from,
            "rate_per_ac": rate,
            "rate_unit": rate_unit(load.amount_kind),  # type: ignore[arg-type]
            "outside_ac": self.outside_ac,
            "footprint": to_geojson(self.footprint) if self.footprint is not None else None,
            "distances_from": self.reach_from,
            "trouble": self.trouble,
            "distances": [],
        }


def ground_of(
    part: LoadPart, version: FieldVersion | None, spreader: Spreader | None, width: Decimal | None
) -> Ground:
    """The ground of a part with the boundary, spreader and width in force on its day."""
    ground = Ground(part, version, acres_of(version)[0])
    if part.track_sha256:
        _from_track(ground, spreader, width)
    if ground.covered_from is None and part.area_ac:
        ground.covered_ac, ground.covered_from = float(part.area_ac), "noted"
    elif ground.covered_from is None and ground.boundary_ac:
        ground.covered_ac, ground.covered_from = ground.boundary_ac, "whole_field"
    boundary = boundary_of(version)
    if ground.reach is None and boundary is not None and version is not None:
        ground.reach, ground.reach_from = boundary, "boundary"
        ground.uncertainty_ft = float(version.uncertainty_ft)
    return ground


def _from_track(ground: Ground, spreader: Spreader | None, width: Decimal | None) -> None:
    """Fill in what the track tells; a track that tells nothing leaves its reason.

    The reason is kept in English; pages say it with `problem_words` in the reader's language.
    """
    if spreader is None or width is None:
        ground.trouble = (
            "The track tells no ground: the working width of the spreader is not known."
        )
        return
    side, throw = spreader.discharge_side, spreader.throw_ft
    try:
        track = tracks.track_of(ground.part.track_sha256)
        swath = footprint(track.points, float(width), side)  # type: ignore[arg-type]
        reach = swath.geometry
        if side == "unknown" or (throw is not None and throw > width):
            reach = possible_footprint(
                track.points,
                float(width),
                side,  # type: ignore[arg-type]
                float(throw) if throw is not None else None,
            )
    except (SwathError, GeometryError, GEOSException, FileChanged) as trouble:
        ground.trouble = str(trouble)
        return
    ground.covered_ac, ground.swept_ac = swath.covered_ac, swath.swept_ac
    ground.covered_from, ground.footprint = "track", swath.geometry
    ground.reach, ground.reach_from = reach, "track"
    ground.uncertainty_ft = track.uncertainty_ft
    boundary = boundary_of(ground.version)
    if boundary is not None:
        ground.outside_ac = acres_outside(swath.geometry, boundary)
