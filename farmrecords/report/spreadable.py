"""Acres of a field that manure of the period may go on, from the rows of the report."""

from __future__ import annotations

from farmrecords.farm.models import Feature
from farmrecords.findings.spreadable import FORM_OF_KIND, Manner, Spreadable, spreadable_of
from farmrecords.findings.zones import Known, known_from
from farmrecords.loads.models import Load
from farmrecords.loads.year_figures import FieldYear
from farmrecords.report.rows import Rows, in_force


def spreadable_by_kind(rows: Rows, year: FieldYear) -> dict[str, Spreadable]:
    """The spreadable acres for the last load of each kind of amount ("gal", "lb")."""
    last = {load.amount_kind: load for load in year.loads}
    found = {}
    for kind, load in last.items():
        manner = Manner(load.local_day, load.method, FORM_OF_KIND[kind])
        features = features_on(rows, load)
        found[kind] = spreadable_of(year, features, manner, known_for(rows, year, load))
    return found


def features_on(rows: Rows, load: Load) -> list[Feature]:
    """The features that stood on the day of the load."""
    return [row for row in rows.features if row.holds_on(load.local_day)]


def known_for(rows: Rows, year: FieldYear, load: Load) -> Known:
    """The permit facts, stack and rulebook that held for the field on the day of the load."""
    stack = year.version.stack if year.version else None
    if not stack:
        held = in_force(rows.stacks, load.local_day)
        stack = held.stack if held else ()
    permit = in_force(rows.permits, load.local_day)
    day = load.local_day
    return known_from(permit, stack, rows.conditions, year.field, day, rows.around)
