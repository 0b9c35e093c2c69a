"""Fields over the period: the same sums as a field's year, over the days of the report."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass
from typing import Any

from farmrecords.farm.acres import acres_of
from farmrecords.farm.models import Field
from farmrecords.loads.facts import facts_for
from farmrecords.loads.limits import limits_of
from farmrecords.loads.models import LoadPart
from farmrecords.loads.nutrients import pounds_in
from farmrecords.loads.year_figures import FieldYear, YearPart
from farmrecords.report.figures import Address, Figure, figure
from farmrecords.report.rows import Rows, version_of

NO_ACRES = "neither acres nor a boundary are entered"


@dataclass(frozen=True)
class FieldAcres:
    """Acres of a field on a day, and whether its boundary or the plan gives them."""

    acres: float | None
    source: str

    def figure(self, records: Address | None = None) -> Figure:
        """The acres as printed."""
        return figure(self.acres, "ac", 1, missing=NO_ACRES, records=records)


def field_acres(field: Field, on: dt.date) -> FieldAcres:
    """The field's acres on the day: inside the boundary, else as the plan states them."""
    return FieldAcres(*acres_of(version_of(field, on)))


class Work:
    """What the loads of the period brought to each field, worked out once per load."""

    def __init__(self, rows: Rows) -> None:
        self.rows = rows
        self._kept = facts_for(rows.loads)

    def on(self, field: Field) -> FieldYear:
        """The period on one field, in the order of its loads."""
        parts = tuple(self._part(part) for part in self.rows.parts_by_field[field.pk])
        on = parts[-1].load.local_day
        acres = field_acres(field, on)
        return FieldYear(
            field=field,
            crop_year=on.year,
            until=self.rows.last_on,
            version=version_of(field, on),
            acres=acres.acres,
            acres_from=acres.source,
            parts=parts,
            fertilizers=(),
            harvests=(),
            limits=limits_of(None, ()),
        )

    def _part(self, part: LoadPart) -> YearPart:
        load = part.load
        pounds, missing = pounds_in(part.amount_milli, load.amount_kind, load.content_test)
        told = self._kept[load.pk].parts
        facts: dict[str, Any] = next((row for row in told if row["part"] == part.number), {})
        return YearPart(load, part, pounds, missing, facts, self.rows.nitrogen)


def covered_basis(year: FieldYear) -> str:
    """How the acres covered are known."""
    known = Counter(row.facts.get("covered_from") for row in year.parts)
    if known[None]:
        return f"{known[None]} of {len(year.parts)} loads state no acres"
    if known["whole_field"]:
        return f"whole field, because {known['whole_field']} of {len(year.parts)} loads state none"
    words = []
    if known["track"]:
        words.append(f"tracks of {known['track']} loads, each piece of ground once")
    if known["noted"]:
        words.append(f"acres noted for {known['noted']} loads, added up")
    return "; ".join(words) + ("; at most the field" if year.covered_ac == year.acres else "")
