"""Item (viii) of the annual report as plain data: tests, fields, and what narrative filers add."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from farmrecords.report.figures import Address, Figure
from farmrecords.report.land import LandMap

NOT_WORKED_OUT = Figure(None, "lb", "not worked out")


@dataclass(frozen=True)
class Statement:
    """Who stated that there was none of something, for which days, and how it was looked for.

    `about` names the field when it is about one field alone.
    """

    stated_by: str
    stated_on: dt.date
    from_on: dt.date | None
    to_on: dt.date | None
    looked_how: str
    about: str = ""


@dataclass(frozen=True)
class Reported:
    """One value of a laboratory sheet, as it stands there."""

    analyte: str
    value: str
    unit: str
    basis: str


@dataclass(frozen=True)
class TestRow:
    """One manure test that loads of the period rest on: as reported, and as used here."""

    source: str
    form: str
    sampled_on: dt.date
    laboratory: str
    reported: tuple[Reported, ...]
    n: Figure
    p2o5: Figure
    p: Figure
    notes: tuple[str, ...]
    records: Address | None = None


@dataclass(frozen=True)
class CropRow:
    """A crop on a field: when planted, when taken off, what it yielded."""

    crop_year: int
    crop: str
    planted_on: dt.date | None
    harvested_on: dt.date | None
    yields: Figure


@dataclass(frozen=True)
class AppliedRow:
    """What one form of manure brought to a field in the period."""

    form: str
    loads: int
    amount: Figure
    per_field_ac: Figure


@dataclass(frozen=True)
class Nutrients:
    """Pounds that manure brought to a field in the period, in all and per acre of the field."""

    n_lb: Figure
    p2o5_lb: Figure
    n_lb_per_ac: Figure
    p2o5_lb_per_ac: Figure
    p_lb_per_ac: Figure
    available_n_lb: Figure = NOT_WORKED_OUT
    available_n_lb_per_ac: Figure = NOT_WORKED_OUT
    available_by: tuple[str, ...] = ()


@dataclass(frozen=True)
class AvailableRow:
    """How a load's available N was found: system, version, its words, factors and evidence."""

    n_lb: Figure
    system: str = ""
    version: str = ""
    material: str = ""
    application: str = ""
    reading: str = ""
    factors: tuple[tuple[str, str], ...] = ()
    evidence: str = ""
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True)
class MaximumRow:
    """The largest amount that the plan's limits allow, from one manure test, for one crop year.

    `missing` holds whole sentences: why there is no amount.
    """

    crop_year: int
    crop: str
    plan: str
    n_limit: Figure
    p2o5_limit: Figure
    counts: str
    test: str
    amount: Figure
    per_ac: Figure
    set_by: str
    applied: Figure
    spreadable_ac: Figure
    acres_from: str
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class LoadRow:
    """A load's part on the field."""

    number: int
    local_day: dt.date
    start: str
    amount: Figure
    covered_ac: Figure
    covered_from: str
    per_ac: Figure
    method: str
    source: str
    test: str
    n_lb: Figure
    p2o5_lb: Figure
    available: AvailableRow | None = None
    records: Address | None = None


@dataclass(frozen=True)
class LoadTotal:
    """What the loads of one form brought to a field; solid and liquid have a total each."""

    amount: Figure
    n_lb: Figure
    p2o5_lb: Figure


@dataclass(frozen=True)
class FieldItem:
    """Item (viii) for one field.

    `is_under_control`: owned, rented or leased on the day of its last load, 122.23(b)(3); None
    when its control is not entered.
    """

    number: str
    name: str
    field_ac: Figure
    covered_ac: Figure
    covered_basis: str
    control: str
    is_under_control: bool | None
    crops: tuple[CropRow, ...]
    applied: tuple[AppliedRow, ...]
    nutrients: Nutrients
    maximum: tuple[MaximumRow, ...]
    loads: tuple[LoadRow, ...]
    totals: tuple[LoadTotal, ...]
    land: LandMap | None
    notes: tuple[str, ...] = ()
    records: Address | None = None


@dataclass(frozen=True)
class SoilTestRow:
    """One soil test of the period."""

    field: str
    sampled_on: dt.date
    laboratory: str
    extractant: str
    depth_in: Decimal | None
    reported: tuple[Reported, ...]


@dataclass(frozen=True)
class FertilizerRow:
    """One fertilizer pass of the period."""

    field: str
    spread_on: dt.date
    product: str
    n_lb_per_ac: Figure
    p2o5_lb_per_ac: Figure


@dataclass(frozen=True)
class InputRow:
    """What the plan put into the yearly calculation for one field and crop year."""

    field: str
    crop_year: int
    crop: str
    yield_goal: Figure
    n_limit: Figure
    n_credit: Figure
    fertilizer_n: Figure
    fertilizer_p2o5: Figure
    n_for_manure: Figure
    soil_p: str
    rate_basis: str
    residual_n: Figure | None = None


@dataclass(frozen=True)
class Narrative:
    """What the narrative rate approach adds to item (viii)."""

    soil_tests: tuple[SoilTestRow, ...]
    inputs: tuple[InputRow, ...]
    fertilizer: tuple[FertilizerRow, ...]
    fertilizer_statements: tuple[Statement, ...]
    fertilizer_words: str
