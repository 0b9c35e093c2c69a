"""Amounts of the records as figures of the report. The amounts themselves come from loads."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from farmrecords.calculations.rate import rate_per_ac
from farmrecords.loads.amounts import in_unit
from farmrecords.report.figures import Address, Figure, figure

KINDS = ("gal", "lb")
UNITS = {"gal": "gal", "lb": "tons"}
PLACES = {"gal": 0, "lb": 2}
FORM_OF_KIND = {"gal": "liquid", "lb": "solid"}
FORM_WORDS = {"gal": "liquid, gallons", "lb": "solid, tons"}


def amount_figure(milli: int, kind: str, records: Address | None = None) -> Figure:
    """Thousandths of a gallon or pound as gallons or tons; the two are never added."""
    return figure(in_unit(milli, kind), UNITS[kind], PLACES[kind], records=records)


def per_acre_figure(milli: int, kind: str, acres: Decimal | float | None) -> Figure:
    """Gallons or tons per acre, or that the acres are missing."""
    unit = f"{UNITS[kind]}/ac"
    if not acres:
        return figure(None, unit, 1, missing="acres of the field")
    rate = rate_per_ac(milli, "gal" if kind == "gal" else "lb", float(acres))
    return figure(rate, unit, 1 if kind == "gal" else 2)


def totals_by_kind(rows: Iterable[tuple[int, str]]) -> dict[str, int]:
    """Thousandths added up exactly, gallons and pounds apart."""
    totals = {"gal": 0, "lb": 0}
    for milli, kind in rows:
        totals[kind] += milli
    return totals
