"""From the projection a file is in to WGS84 longitude and latitude, saying how it was done."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError, ProjError

from farmrecords.formats.common import FormatError, shown
from farmrecords.formats.shapes import each_position

MAX_PRJ_CHARACTERS = 10_000
_LIKELY = "Ask who made the file for its .prj file, or export it as WGS84 (EPSG:4326)."


@dataclass(frozen=True)
class Projection:
    """A projection and the operations that lead from it to WGS84.

    The library may choose between several by place, so which were used is known only afterwards.
    """

    crs: CRS
    transformer: Transformer
    used: dict[str, float] = field(default_factory=dict)

    def to_wgs84(self, coordinates: Any) -> Any:
        """Nested coordinates as WGS84 longitude, latitude; raises when one cannot be placed."""
        positions = list(each_position(coordinates))
        if not positions:
            return coordinates
        xs, ys = np.array(positions, dtype=float).T
        try:
            lons, lats = self.transformer.transform(xs, ys, errcheck=True)
        except ProjError:
            raise FormatError("A position lies outside the file's projection.", _LIKELY) from None
        self._note_use()
        moved = iter(list(zip(lons.tolist(), lats.tolist(), strict=True)))
        return _refilled(coordinates, moved)

    def _note_use(self) -> None:
        try:
            operation = self.transformer.get_last_used_operation()
        except ProjError:
            operation = self.transformer
        self.used[operation.description] = operation.accuracy

    @property
    def notes(self) -> tuple[str, ...]:
        """The operations used, and a warning where an old datum makes setbacks doubtful."""
        notes = [
            f"Projection {self.crs.name}; operation to WGS84: {description} (stated accuracy "
            f"{f'{accuracy:g} m' if accuracy >= 0 else 'not stated'})."
            for description, accuracy in sorted(self.used.items())
        ]
        # Shift and accuracy: reference on data formats, section 2.5 [measured].
        if self.crs.datum and "1927" in self.crs.datum.name:
            notes.append(
                "The file is on the datum of 1927. Without grid files a position may be off by 8 "
                "to 20 m, which matters for setbacks: have the lines checked in the field."
            )
        return tuple(notes)


def _refilled(coordinates: Any, moved: Any) -> Any:
    if isinstance(coordinates, tuple):
        return next(moved)
    return [_refilled(inner, moved) for inner in coordinates]


def projection_of(text: str) -> Projection:
    """The projection of a .prj file (WKT) or of a code such as EPSG:26916."""
    stripped = text.strip()
    if len(stripped) > MAX_PRJ_CHARACTERS:
        raise FormatError("The .prj file is too long.", _LIKELY)
    upper = stripped.upper()
    # Such definitions make the library open files of the machine it runs on.
    if "PARAMETERFILE" in upper or ("NADGRIDS" in upper and "@NULL" not in upper):
        raise FormatError("The projection points to other files, which are not read.", _LIKELY)
    try:
        crs = _code(upper) if upper.startswith("EPSG:") else CRS.from_wkt(stripped)
        crs = crs.to_2d()
        if not (crs.is_projected or crs.is_geographic) or crs.is_bound:
            raise CRSError("kind")
        transformer = Transformer.from_crs(crs, 4326, always_xy=True)
    except (CRSError, ProjError, UnicodeError, ValueError):
        raise FormatError(f"The projection “{shown(stripped)}” is not known.", _LIKELY) from None
    return Projection(crs, transformer)


def _code(upper: str) -> CRS:
    digits = upper.removeprefix("EPSG:")
    if not (digits.isascii() and digits.isdigit() and len(digits) <= 6):
        raise CRSError("code")
    return CRS.from_epsg(int(digits))
