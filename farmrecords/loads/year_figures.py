"""The figures of one field's crop year, worked out from its loads, acres and plan."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from django.utils.translation import gettext as _
from shapely.geometry import shape

from farmrecords.calculations import nutrients
from farmrecords.calculations.geodesy import area_ac, united
from farmrecords.calculations.nutrients import NOTHING, Applied, OnGround, per_acre
from farmrecords.calculations.worksheet import Worksheet, WorksheetError, run_worksheet
from farmrecords.farm.models import Field, FieldVersion
from farmrecords.loads import amounts
from farmrecords.loads.available import (
    NOTHING_LEFT,
    AvailableN,
    Choices,
    EarlierManure,
    Residual,
)
from farmrecords.loads.limits import Left, Limits, Supply, Terms, left_of, terms_of
from farmrecords.loads.models import Fertilizer, Harvest, Load, LoadPart
from farmrecords.measurements.models import ManureTest

LEAST_AC = 0.1  # working assumption: smaller slivers of overlap do not decide
# Overlap within 10-20 % of the width is normal for even spreading [read: Utah State University
# Extension, plan step 7.1], so ground counts as heavily covered from a fifth of the covered acres.
LEAST_SHARE = 0.2


@dataclass(frozen=True)
class YearPart:
    """One load's share on the field, with its pounds and its kept facts."""

    load: Load
    part: LoadPart
    pounds: Applied
    missing: str
    facts: dict[str, Any]
    choices: Choices | None = None

    @cached_property
    def available(self) -> AvailableN:
        """The share's first-year available N, by the system chosen for its day."""
        if self.choices is None:
            return AvailableN(None)
        return self.choices.of(self.load, self.part.amount_milli)

    def as_if_of(self, test: ManureTest | None) -> AvailableN:
        """What the share would give if its manure were that of another test."""
        if self.choices is None:
            return AvailableN(None)
        return self.choices.as_spread(self.load, self.part.amount_milli, test)

    @property
    def available_on_ground(self) -> OnGround:
        """The same as the calculations take it."""
        pounds = Applied(self.available.n_lb, None, None)
        return replace(self.on_ground, applied=pounds)

    @property
    def amount(self) -> str:
        """The share as shown."""
        return amounts.shown(self.part.amount_milli, self.load.amount_kind)

    @property
    def on_ground(self) -> OnGround:
        """The share as the calculations take it."""
        footprint = self.facts.get("footprint")
        noted = self.facts.get("covered_from") == "noted"
        return OnGround(
            self.pounds,
            shape(footprint) if footprint else None,
            self.facts.get("covered_ac") if noted else None,
        )


@dataclass(frozen=True)
class FieldYear:
    """One field and crop year, up to and including `until` when it is set.

    `acres` are those of the boundary in force at the end (`acres_from` "boundary"), else as stated
    in the plan ("stated"), else None. Amounts and pounds count every load that counts, also what
    another farm put on the field. `supplies` are the storages manure may still come from.
    `no_fertilizer`: a statement says that none was spread in the crop year so far.
    """

    field: Field
    crop_year: int
    until: dt.date | None
    version: FieldVersion | None
    acres: float | None
    acres_from: str
    parts: tuple[YearPart, ...]
    fertilizers: tuple[Fertilizer, ...]
    harvests: tuple[Harvest, ...]
    limits: Limits
    no_fertilizer: bool = False
    supplies: tuple[Supply, ...] = ()
    earlier: EarlierManure | None = None

    @property
    def loads(self) -> list[Load]:
        """The loads with a share on the field, oldest first."""
        return list({row.load.pk: row.load for row in self.parts}.values())

    @property
    def load_count(self) -> int:
        """How many load records have a share on the field."""
        return len(self.loads)

    @property
    def first_load_on(self) -> dt.date | None:
        """The day of the first load."""
        return min((row.load.local_day for row in self.parts), default=None)

    @property
    def last_load_on(self) -> dt.date | None:
        """The day of the last load."""
        return max((row.load.local_day for row in self.parts), default=None)

    @property
    def has_harvest(self) -> bool:
        """Whether a yield is recorded for the crop year."""
        return any(harvest.yield_amount is not None for harvest in self.harvests)

    def milli(self, kind: str) -> int:
        """The exact sum of the shares in gallons or pounds, in thousandths."""
        return sum(r.part.amount_milli for r in self.parts if r.load.amount_kind == kind)

    @property
    def gal_milli(self) -> int:
        """Thousandths of a gallon put on the field."""
        return self.milli("gal")

    @property
    def lb_milli(self) -> int:
        """Thousandths of a pound put on the field."""
        return self.milli("lb")

    @property
    def amounts_shown(self) -> list[str]:
        """The sums as shown, gallons first; empty when nothing was spread."""
        return [amounts.shown(self.milli(k), k) for k in ("gal", "lb") if self.milli(k)]

    @cached_property
    def manure(self) -> Applied:
        """Pounds in the manure of the year."""
        return sum((row.pounds for row in self.parts), NOTHING)

    @cached_property
    def fertilizer(self) -> Applied | None:
        """Pounds in the fertilizer of the year; None when there is some but no acres are known."""
        if not self.fertilizers:
            return NOTHING
        if self.acres is None:
            return None
        rates = [
            Applied(float(f.n_lb_per_ac), float(f.p2o5_lb_per_ac), float(f.k2o_lb_per_ac))
            for f in self.fertilizers
        ]
        return sum((rate.times(self.acres) for rate in rates), NOTHING)

    @property
    def left(self) -> tuple[Left, ...]:
        """What the plan still allows over the whole field, storage by storage."""
        return self.left_over({"gal": self.acres, "lb": self.acres})

    def left_over(self, acres: Mapping[str, float | None]) -> tuple[Left, ...]:
        """The same over the acres that liquid ("gal") or solid ("lb") manure may go on."""
        return tuple(self.left_from(supply, acres[supply.kind]) for supply in self.supplies)

    def left_from(self, supply: Supply, acres: float | None) -> Left:
        """What the plan still allows from one storage over the acres."""
        if self.terms.n.measures != "available":
            return left_of(self.terms, acres, self.manure, supply)
        counted = replace(self.manure, n_lb=self.available_n_lb)
        return left_of(self.terms, acres, counted, supply, self._available_from(supply))

    def _available_from(self, supply: Supply) -> AvailableN:
        """What a unit of a storage's manure gives, spread as its last load on the field was."""
        if self.available_missing:
            return AvailableN(None, " ".join(self.available_missing))
        like = [
            row
            for row in self.parts
            if supply.storage.pk in {draw.storage_id for draw in row.load.draws.all()}
        ]
        if not like:
            return AvailableN(
                None, _("No load from it in the crop year shows how it would be spread.")
            )
        return like[-1].as_if_of(supply.test)

    @property
    def available_n_lb(self) -> float | None:
        """First-year available N of the year's manure; None while one share has no figure."""
        pounds = [row.available.n_lb for row in self.parts]
        return None if None in pounds else float(sum(n for n in pounds if n is not None))

    @property
    def available_n_lb_per_ac(self) -> float | None:
        """The same over the whole field."""
        return self._available_per_ac.n_lb

    @property
    def _available_per_ac(self) -> Applied:
        pounds = Applied(self.available_n_lb, None, None)
        return per_acre(pounds, self.acres) if self.acres else Applied(None, None, None)

    @cached_property
    def available_heaviest_lb_per_ac(self) -> float | None:
        """First-year available N of manure on the most heavily covered ground."""
        if not self.acres or self.available_n_lb is None:
            return None
        spread = [row.available_on_ground for row in self.parts]
        found = nutrients.field_year(self.acres, spread, [], self.least_ac)
        return found.heaviest_per_ac.n_lb

    @property
    def available_missing(self) -> list[str]:
        """Why available N is missing, each reason once."""
        return list(dict.fromkeys(row.available.why for row in self.parts if row.available.why))

    @property
    def available_by(self) -> list[str]:
        """The systems and versions the figures rest on, each once."""
        rows = (row.available for row in self.parts if row.available.found)
        return list(dict.fromkeys(row.system_words for row in rows))

    @property
    def is_available_firm(self) -> bool:
        """Whether every factor behind the available N was read in its source."""
        return all(row.available.is_firm for row in self.parts)

    @cached_property
    def residual(self) -> Residual:
        """What manure of the two crop years before still gives."""
        return self.earlier.on(self.field.pk) if self.earlier else NOTHING_LEFT

    @cached_property
    def terms(self) -> Terms:
        """Which of the plan's limits bind, and what they leave for manure."""
        return terms_of(self.limits, self.fertilizers, self.no_fertilizer, lambda: self.residual)

    @property
    def total(self) -> Applied:
        """Pounds of manure and fertilizer."""
        return self.manure + (self.fertilizer or Applied(None, None, None))

    @property
    def per_ac(self) -> Applied:
        """Pounds per acre over the whole field; unknown without acres."""
        return per_acre(self.total, self.acres) if self.acres else Applied(None, None, None)

    @cached_property
    def ground(self) -> nutrients.FieldYear | None:
        """The year laid on the ground (calculations), None when the acres are not known."""
        if not self.acres:
            return None
        spread = [row.on_ground for row in self.parts]
        return nutrients.field_year(self.acres, spread, self.passes(), self.least_ac)

    @cached_property
    def manure_heaviest(self) -> Applied:
        """Pounds per acre of manure alone on the most heavily covered ground."""
        if not self.fertilizers:
            return self.heaviest
        if not self.acres:
            return Applied(None, None, None)
        spread = [row.on_ground for row in self.parts]
        return nutrients.field_year(self.acres, spread, [], self.least_ac).heaviest_per_ac

    @property
    def manure_per_ac(self) -> Applied:
        """Pounds per acre of manure alone over the whole field; unknown without acres."""
        return per_acre(self.manure, self.acres) if self.acres else Applied(None, None, None)

    @cached_property
    def least_ac(self) -> float:
        """Acres of heavily covered ground that count: more than normal overlap between passes."""
        return nutrients.least_heavy_ac(self._tracked_ac, LEAST_AC, LEAST_SHARE)

    def passes(self) -> list[OnGround]:
        """The fertilizer of the year as ground over the whole field; none without acres."""
        rate = self.fertilizer
        return [OnGround(rate, None, self.acres)] if rate and self.fertilizers else []

    @property
    def heaviest(self) -> Applied:
        """Pounds per acre on the most heavily covered ground; unknown without acres."""
        return self.ground.heaviest_per_ac if self.ground else Applied(None, None, None)

    @property
    def n_lb_per_ac(self) -> float | None:
        """N over the whole field."""
        return self.per_ac.n_lb

    @property
    def p2o5_lb_per_ac(self) -> float | None:
        """P2O5 over the whole field."""
        return self.per_ac.p2o5_lb

    @property
    def k2o_lb_per_ac(self) -> float | None:
        """K2O over the whole field."""
        return self.per_ac.k2o_lb

    @property
    def n_heaviest_lb_per_ac(self) -> float | None:
        """N on the most heavily covered ground."""
        return self.heaviest.n_lb

    @property
    def p2o5_heaviest_lb_per_ac(self) -> float | None:
        """P2O5 on the most heavily covered ground."""
        return self.heaviest.p2o5_lb

    @property
    def fertilizer_n_lb_per_ac(self) -> float:
        """N from fertilizer, as entered."""
        return float(sum(f.n_lb_per_ac for f in self.fertilizers))

    @property
    def untested(self) -> int:
        """How many shares lack a figure for a nutrient."""
        return sum(bool(row.missing) for row in self.parts)

    @property
    def missing(self) -> list[str]:
        """Why figures are missing, each reason once."""
        return list(dict.fromkeys(row.missing for row in self.parts if row.missing))

    @cached_property
    def covered_ac(self) -> float | None:
        """Acres that got manure at least once, at most the field's; None when a share is unknown.

        Ground of tracks is united; acres noted without a track are added; a share without either
        counts as the whole field.
        """
        sources = {row.facts.get("covered_from") for row in self.parts}
        if not self.parts:
            return 0.0
        if None in sources:
            return None
        if "whole_field" in sources:
            return self.acres
        united = self._tracked_ac
        noted = sum(r.facts["covered_ac"] for r in self.parts if r.facts["covered_from"] == "noted")
        return min(united + noted, self.acres) if self.acres else united + noted

    @cached_property
    def _tracked_ac(self) -> float:
        """Acres of the united ground of tracks."""
        tracks = [row.on_ground.geometry for row in self.parts if row.facts.get("footprint")]
        return area_ac(united(tracks)) if tracks else 0.0

    def worksheet(self) -> Worksheet:
        """The year worked step by step. Raises WorksheetError while the acres are not known."""
        if not self.acres:
            raise WorksheetError(
                "The field has no boundary and no stated acres; enter one of them first."
            )
        rows = [_row(ground) for ground in (row.on_ground for row in self.parts)]
        return run_worksheet(
            "field_year_nutrients",
            {
                "field_ac": self.acres,
                "loads": rows,
                "fertilizer": [_row(ground) for ground in self.passes()],
                "least_ac": self.least_ac,
            },
        )


def _row(ground: OnGround) -> dict[str, Any]:
    told: dict[str, Any] = dict(zip(nutrients.NUTRIENTS, ground.applied.values, strict=True))
    told |= {"covered_ac": ground.covered_ac, "ground": ground.geometry}
    return {name: value for name, value in told.items() if value is not None}
