"""What a drawing is made from: plain numbers, days and words, no records.

Lengths on the land are feet in a local frame (x east, y north); callers project with
`calculations.geodesy` first. Polygons use the nesting of a GeoJSON MultiPolygon: a list of
polygons, each a list of rings, the first ring the outline and the others holes.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

Point = tuple[float, float]
Ring = Sequence[Point]
MultiPolygon = Sequence[Sequence[Ring]]
Outcome = Literal["met", "not_met", "cannot_tell", "notice"]


@dataclass(frozen=True)
class Zone:
    """Ground near a feature where spreading is closed (hatched) or limited (dotted outline)."""

    label: str
    polygons: MultiPolygon
    closed: bool = True


@dataclass(frozen=True)
class Landmark:
    """A feature drawn by its shape: a point, a line or an outline, with its name."""

    label: str
    points: Sequence[Point]
    kind: Literal["point", "line", "outline"] = "point"


@dataclass(frozen=True)
class Swath:
    """Ground covered by spreading, shaded by its amount per acre."""

    polygons: MultiPolygon
    amount_per_ac: float
    label: str = ""


@dataclass(frozen=True)
class Track:
    """The way the spreader drove."""

    points: Sequence[Point]
    label: str = ""


@dataclass(frozen=True)
class Period:
    """First and last day of a strip, both drawn."""

    first_on: date
    last_on: date

    def __post_init__(self) -> None:
        if self.last_on <= self.first_on:
            raise ValueError(
                f"A period must end after it begins; given {self.first_on} to {self.last_on}. "
                "Give the last day as a later day."
            )

    @classmethod
    def calendar_year(cls, year: int) -> "Period":
        return cls(date(year, 1, 1), date(year, 12, 31))

    @property
    def days(self) -> int:
        return (self.last_on - self.first_on).days + 1


@dataclass(frozen=True)
class LoadTick:
    """What was spread on one day, in the unit of the band."""

    on: date
    amount: float


@dataclass(frozen=True)
class ClosedWindow:
    """Days on which spreading is closed, both ends included."""

    first_on: date
    last_on: date
    label: str = ""


@dataclass(frozen=True)
class LevelReading:
    """A level on a day, as a share of full (band) or in feet above the floor (level line)."""

    on: date
    value: float


@dataclass(frozen=True)
class LevelMark:
    """A height on a storage: pump-out line, storm storage, freeboard, solids."""

    label: str
    height_ft: float


@dataclass(frozen=True)
class RectangularTank:
    """Upright walls; the section is drawn along the length."""

    length_ft: float
    depth_ft: float


@dataclass(frozen=True)
class UprightTank:
    """A cylinder standing on its end."""

    diameter_ft: float
    depth_ft: float


@dataclass(frozen=True)
class EarthenPond:
    """Sloping sides; the section is drawn along the length at the top of the berm."""

    top_length_ft: float
    depth_ft: float
    side_slope: float  # feet out for one foot down


StorageShape = RectangularTank | UprightTank | EarthenPond


@dataclass(frozen=True)
class Words:
    """The words printed in drawings, so that the caller can give them in another language."""

    months: Sequence[str] = (
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    )  # fmt: skip
    north: str = "N"
    today: str = "today"
    feet: str = "ft"
    metres: str = "m"
    band_scale: str = "top: {amount} {unit} in a day"
    band_level: str = "line: level, top is full"
    band_level_over: str = "line: level"
    full: str = "full"
    level_axis: str = "level, ft above the floor"
    no_reading: str = "no reading"
    level: str = "level"
    depth: str = "depth"
    berm: str = "berm"
    times_height: str = "height drawn {times} times"
    pattern_bars: str = "caught in the trays, one pass"
    pattern_line: str = "with neighbouring passes {feet} ft apart"
    pattern_axis: str = "feet from the track"
    effective_width: str = "effective width"
    no_spreading: str = "no spreading"
    way_driven: str = "way driven"
    marks: dict[str, str] = field(
        default_factory=lambda: {
            "met": "met",
            "not_met": "not met",
            "cannot_tell": "cannot tell",
            "notice": "notice",
        }
    )


ENGLISH = Words()
