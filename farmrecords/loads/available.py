"""Available nitrogen of each share, by the system the operation chose, and what earlier years give.

A figure always carries its system, version, factors and evidence. Where the operation chose no
system, or the load lacks a fact the system asks for, there is no figure and `why` names it.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from farmrecords.calculations.available_nitrogen import (
    AvailabilityError,
    Available,
    EarlierEvent,
    NitrogenSystem,
    later_evidence,
    residual_credit_lb_per_ac,
)
from farmrecords.calculations.available_words import (
    SpreadFacts,
    Words,
    available_in,
    available_lb,
    material_for,
    units_per_ac,
    words_for,
)
from farmrecords.calculations.manure_test import ManureContent, ManureTestError
from farmrecords.calculations.nutrients import NutrientError
from farmrecords.calculations.units import UnitError
from farmrecords.calculations.worksheet import Worksheet, WorksheetError, run_worksheet
from farmrecords.loads.amounts import plain
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.nutrients import content_of
from farmrecords.loads.problems import problem_words
from farmrecords.measurements.models import ManureTest
from farmrecords.people.models import Operation
from farmrecords.plan.models import NitrogenChoice

TROUBLES = (AvailabilityError, ManureTestError, NutrientError, UnitError)
HOUR_S = 3600
EARLIER_YEARS = 2


@dataclass(frozen=True)
class AvailableN:
    """Available N of one share in the first year, in pounds; None with the reason in `why`."""

    n_lb: float | None
    why: str = ""
    choice: NitrogenChoice | None = None
    words: Words | None = None
    found: Available | None = None

    @property
    def system_words(self) -> str:
        """System, version and evidence, as shown beside the figure."""
        if self.choice is None or self.found is None:
            return ""
        how = _("read in its source") if self.is_firm else _("partly from memory or assumed")
        return f"{self.choice}: {how}"

    @property
    def is_firm(self) -> bool:
        """Whether every factor was read in its source, none remembered and no word assumed."""
        return bool(
            self.found and self.words and self.found.evidence == "read" and not self.words.assumed
        )


@dataclass(frozen=True)
class Residual:
    """What manure of the two crop years before still gives, lb/ac; None with the reason."""

    lb_per_ac: float | None
    why: str = ""
    evidence: str = "read"


NOTHING_LEFT = Residual(0.0)


class Choices:
    """The systems an operation chose, by day; read once."""

    def __init__(self, operation: Operation) -> None:
        rows = NitrogenChoice.objects.filter(operation=operation, voided=False)
        self._rows = sorted(rows, key=lambda row: row.from_on, reverse=True)

    def on(self, day: dt.date) -> NitrogenChoice | None:
        """The choice in force on the day."""
        return next((row for row in self._rows if row.holds_on(day)), None)

    def of(self, load: Load, amount_milli: int) -> AvailableN:
        """Available N in an amount of a load, as it was spread and by its content test."""
        return self.as_spread(load, amount_milli, load.content_test)

    def as_spread(self, load: Load, amount_milli: int, test: ManureTest | None) -> AvailableN:
        """The same by another test: what the amount would give, spread as this load was."""
        choice = self.on(load.local_day)
        table = choice.table if choice else None
        if choice is None or table is None:
            return AvailableN(None, self.none_on(load.local_day), choice)
        if test is None:
            return AvailableN(None, _("No manure test is named for the load."), choice)
        try:
            content = content_of(test)
            words = words_for(table, facts_of_spreading(load, content))
            found = available_in(content, table, words, choice.reading)
            kind: Any = load.amount_kind
            pounds = available_lb(amount_milli, kind, content, found.available_n)
        except TROUBLES as trouble:
            return AvailableN(None, problem_words(trouble), choice)
        return AvailableN(pounds, "", choice, words, found)

    def none_on(self, day: dt.date) -> str:
        """Why there is no system on a day."""
        choice = self.on(day)
        if choice is None:
            return _("The operation chose no system of available nitrogen for this day.")
        return _("The version “%(version)s” of the chosen system is not held here.") % {
            "version": choice.version
        }

    def sheet(self, load: Load, amount_milli: int) -> Worksheet | None:
        """The share worked step by step; None where there is no figure."""
        found = self.of(load, amount_milli)
        if found.words is None or found.choice is None or load.content_test is None:
            return None
        content = content_of(load.content_test)
        names = ("form", "total_n", "ammonium_n", "organic_n", "nitrate_n")
        given: dict[str, Any] = {name: getattr(content, name) for name in names}
        given |= {
            "system": found.choice.system,
            "material": found.words.material,
            "application": found.words.application,
            "weather": found.choice.reading or None,
            "amount": plain(amount_milli),
            "unit": load.amount_kind,
        }
        known = {name: value for name, value in given.items() if value is not None}
        try:
            return run_worksheet("available_nitrogen", known)
        except WorksheetError:
            return None


def facts_of_spreading(load: Load, content: ManureContent | None = None) -> SpreadFacts:
    """What the load, its storages and its test say; what they do not say is None."""
    stores = [draw.storage for draw in load.draws.all()]
    if not stores and load.content_test and load.content_test.storage:
        stores = [load.content_test.storage]
    species = {store.species for store in stores}
    material = {store.material for store in stores}
    end = load.ended_at or load.started_at
    method, hours, days = load.method, None, None
    if load.incorporated_at:
        hours = max((load.incorporated_at - end).total_seconds(), 0) / HOUR_S
        zone = load.started_local.tzinfo
        days = (load.incorporated_at.astimezone(zone).date() - end.astimezone(zone).date()).days
        method = "incorporated" if method == "surface" else method
    return SpreadFacts(
        species=species.pop() or None if len(species) == 1 else None,
        material=material.pop() if len(material) == 1 else None,
        form=content.form if content else None,
        method=method,
        month=load.local_day.month,
        solids_pct=content.solids_pct if content else None,
        incorporated_after_h=hours,
        incorporated_after_days=days,
        growing_crop=load.growing_crop,
        residue=None if load.residue_pct is None else load.residue_pct > 0,
    )


class EarlierManure:
    """What manure of the two crop years before gives each field; read once, when first asked."""

    def __init__(
        self,
        operation: Operation,
        crop_year: int,
        acres: Mapping[UUID, float | None],
        choices: Choices,
    ) -> None:
        self.operation, self.crop_year = operation, crop_year
        self.acres, self.choices = acres, choices

    def on(self, field_id: UUID) -> Residual:
        """What a field still gets from it, in pounds per acre over the whole field."""
        if self._not_in_book:
            return Residual(None, self._not_in_book)
        parts = self._parts.get(field_id, [])
        return _residual(parts, self.crop_year, self.acres.get(field_id), self.choices)

    @cached_property
    def _not_in_book(self) -> str:
        rows = Load.objects.filter(operation=self.operation).counted()  # type: ignore[attr-defined]
        began = rows.order_by("crop_year").values_list("crop_year", flat=True).first()
        if began is None or began > self.crop_year - EARLIER_YEARS:
            return _("Loads of the two crop years before are not all in the book.")
        return ""

    @cached_property
    def _parts(self) -> dict[UUID, list[LoadPart]]:
        rows = LoadPart.objects.filter(
            field__in=list(self.acres),
            load__operation=self.operation,
            load__voided=False,
            load__status="counted",
            load__crop_year__range=(self.crop_year - EARLIER_YEARS, self.crop_year - 1),
        )
        found: dict[UUID, list[LoadPart]] = defaultdict(list)
        ordered = rows.order_by("load__local_day", "load__id", "number")
        for row in ordered.select_related("load__content_test__storage").prefetch_related(
            "load__draws__storage"
        ):
            found[row.field_id].append(row)
        return dict(found)


def _residual(
    parts: Sequence[LoadPart], crop_year: int, acres: float | None, choices: Choices
) -> Residual:
    if not parts:
        return NOTHING_LEFT
    if not acres:
        return Residual(None, _("The field has no boundary and no stated acres."))
    credit, evidence = 0.0, "read"
    for part in parts:
        choice = choices.on(part.load.local_day)
        table = choice.table if choice else None
        if table is None:
            return Residual(None, choices.none_on(part.load.local_day))
        try:
            event = _event(part, table, acres)
            credit += residual_credit_lb_per_ac(crop_year, [event], table)
        except TROUBLES as trouble:
            return Residual(None, problem_words(trouble))
        if later_evidence(table, event.material) != "read":
            evidence = "memory"
    return Residual(credit, "", evidence)


def _event(part: LoadPart, table: NitrogenSystem, acres: float) -> EarlierEvent:
    load = part.load
    if load.content_test is None:
        raise AvailabilityError(_("A load of an earlier crop year has no manure test."))
    content = content_of(load.content_test)
    material = material_for(table, facts_of_spreading(load, content))
    kind: Any = load.amount_kind
    units = units_per_ac(part.amount_milli, kind, content, acres)
    return EarlierEvent(load.crop_year, units, content, material)
