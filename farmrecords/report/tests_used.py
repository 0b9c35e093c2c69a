"""The manure tests that the period's loads rest on: as reported, and as used here."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from farmrecords.calculations.manure_test import ManureTestError
from farmrecords.calculations.units import UnitError, p2o5_to_p
from farmrecords.loads.nutrients import content_of
from farmrecords.measurements.models import ManureTest
from farmrecords.measurements.results import ANALYTES
from farmrecords.report.figures import Address, Figure, figure
from farmrecords.report.model import Reported, TestRow
from farmrecords.report.rows import Rows

CONTENT_UNIT = {"liquid": "lb/1,000 gal", "solid": "lb/ton"}


def tests_of(rows: Rows) -> tuple[TestRow, ...]:
    """Each test that says what was in a load of the period, or from which a rate was set."""
    found: dict[Any, ManureTest] = {}
    for load in rows.loads:
        for test in (load.content_test, load.rate_test):
            if test is not None:
                found.setdefault(test.pk, test)
    ordered = sorted(found.values(), key=lambda t: (source_of(t), t.sampled_on, str(t.pk)))
    return tuple(_row(test) for test in ordered)


def source_of(test: ManureTest) -> str:
    """The storage, or the words for a source that is not one."""
    return test.storage.name if test.storage else test.source


def test_words(test: ManureTest | None) -> str:
    """How a test is named in a table: its source and sampling day."""
    return f"{source_of(test)} {test.sampled_on:%Y-%m-%d}" if test else ""


def reported_values(results: list[dict[str, str]]) -> tuple[Reported, ...]:
    """The values of a laboratory sheet, as they stand there."""
    return tuple(
        Reported(
            str(ANALYTES.get(row["analyte"], row["analyte"])),
            row["value"],
            row["unit"],
            {"as_is": "as is", "dry": "dry"}.get(row.get("basis") or "", ""),
        )
        for row in results
    )


def _row(test: ManureTest) -> TestRow:
    unit = CONTENT_UNIT[test.form]
    notes: tuple[str, ...]
    try:
        content = content_of(test)
        n, p2o5, notes = content.total_n, content.p2o5, content.notes
        missing = "the sheet does not state it"
    except (ManureTestError, UnitError) as trouble:
        n = p2o5 = None
        notes, missing = (str(trouble),), "the sheet cannot be used as it stands"
    return TestRow(
        source_of(test),
        test.form,
        test.sampled_on,
        test.laboratory,
        reported_values(test.results),
        figure(n, unit, 2, missing=missing),
        figure(p2o5, unit, 2, missing=missing),
        phosphorus(p2o5, unit, 2, missing),
        notes,
        Address("manure_test", (("pk", str(test.pk)),)),
    )


def phosphorus(p2o5: float | None, unit: str, places: int, missing: str) -> Figure:
    """The same amount as elemental phosphorus."""
    if p2o5 is None:
        return figure(None, unit, places, missing=missing)
    return figure(float(p2o5_to_p(Decimal(repr(p2o5)))), unit, places)
