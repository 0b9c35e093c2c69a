"""May I spread here? The answer for a load that is only planned, by the judge of recorded loads.

Distances close a part of the field: what surely keeps every one of them is the open ground, and a
load on that ground is judged like any other. A rule that is then not met closes the field. A fact
that is missing makes the answer "cannot tell", named with what is missing. Rules known from memory
only decide nothing and are listed apart.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any
from uuid import UUID

from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import GeometryError, area_ac
from farmrecords.calculations.maximum import on_acres
from farmrecords.calculations.rate import rate_per_ac, rate_unit
from farmrecords.calculations.setback_geometry import cut_out, share_of_area
from farmrecords.calculations.units import Amount, Kind
from farmrecords.farm.acres import acres_of, boundary_of, place_of
from farmrecords.farm.models import Feature, Field, FieldVersion, Spreader, Storage
from farmrecords.findings.judging import Judge
from farmrecords.findings.load_facts import part_facts
from farmrecords.findings.spreadable import FORM_OF_KIND, Manner, spreadable_of
from farmrecords.findings.zones import Known
from farmrecords.history import clock
from farmrecords.loads.distances import distances, search_ft
from farmrecords.loads.ground import Ground
from farmrecords.loads.limits import Left
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.surroundings import Surroundings
from farmrecords.loads.year import FieldYear, field_year
from farmrecords.rules.ahead import Ahead, Change, Most, ahead
from farmrecords.rules.asks import DistanceAsk, closing_ask
from farmrecords.rules.facts import Facts
from farmrecords.rules.findings import OUTCOMES, Finding

NOON = dt.time(12)
DAYS_TRIED = 14
# Less open ground than this share of the field counts as none.
SLIVER = 0.005
# Laid on each distance: the judge is told distances to a hundredth of a foot.
MARGIN_FT = 0.05


@dataclass(frozen=True)
class Asked:
    """What is planned: from which storage, with what, how, how much, when, on what ground."""

    storage: Storage
    on: dt.date
    method: str
    spreader: Spreader | None = None
    incorporated_within_h: Decimal | None = None
    amount: Amount | None = None
    ground: str = "unknown"


@dataclass(frozen=True)
class Keep:
    """A feature that closes a part of the field, and the rule that asks the largest distance."""

    feature: Feature
    ask: DistanceAsk


@dataclass(frozen=True)
class Answer:
    """The answer for one field: "open", "partly_open", "closed" or "cannot_tell", and why."""

    field: Field
    verdict: str
    findings: tuple[Finding, ...]
    undecided: tuple[Finding, ...]
    missing: tuple[str, ...]
    changes: tuple[Change, ...]
    keeps: tuple[Keep, ...]
    acres: float | None
    open_ac: float | None
    rate: float | None
    kind: str
    most: tuple[tuple[Most, float | None], ...]
    left: Left | None
    planned: Amount | None

    @property
    def is_too_much(self) -> bool:
        """Whether the planned amount is more than the plan leaves for the field."""
        if self.planned is None or self.left is None or self.left.amount_milli is None:
            return False
        return self.planned.kind == self.left.kind and self.planned.milli > self.left.amount_milli

    @property
    def against(self) -> list[Finding]:
        """What stands against it."""
        return [one for one in self.findings if one.outcome == "not_met"]

    @property
    def untold(self) -> list[Finding]:
        """What cannot be told."""
        return [one for one in self.findings if one.outcome == "cannot_tell"]


class Asking:
    """Answers for many fields of one operation, its records read once."""

    def __init__(self, operation: Any, asked: Asked) -> None:
        self.operation = operation
        self.asked = asked
        self.judge = Judge(operation)
        self.supply = Surroundings(operation)
        self.features = list(Feature.objects.filter(operation=operation, voided=False))
        self.search_ft = max(
            search_ft(self.judge.around.conditions, self.features), self.judge.around.asked_ft
        )
        self.started_at = self._start()

    def answer(self, field: Field, year: FieldYear | None) -> Answer:
        """The answer for one field; `year` tells what the plan still allows."""
        around, on = self.judge.around, self.asked.on
        version = around.version(field.pk, on)
        stack = around.stack(field, on)
        whole_ac, _source = acres_of(version)
        ground, keeps = self._open_ground(field, version, stack)
        open_ac = _acres(ground)
        over_ac = open_ac if ground is not None else whole_ac
        reach = boundary_of(version) if ground is None or ground.is_empty else ground
        facts = self._facts(field, version, reach, over_ac)
        said = ahead(
            self.judge.rulebook,
            stack,
            facts,
            on,
            recorded_later=self._recorded_later(stack),
            days_ahead=DAYS_TRIED,
            confirmed=self.judge.confirmed,
        )
        decided = [one for one in said.findings if one.standing != "memory"]
        left, asked_amount = self._left(self._year_of(field, year)), self.asked.amount
        return Answer(
            field=field,
            verdict=_verdict(decided, whole_ac, open_ac, left),
            findings=tuple(sorted(decided, key=_weight)),
            undecided=tuple(one for one in said.findings if one.standing == "memory"),
            missing=_missing(decided),
            changes=_helping(said),
            keeps=keeps,
            acres=whole_ac,
            open_ac=open_ac,
            rate=_rate(facts, self._kind()),
            kind=self._kind(),
            most=tuple(self._most(said, open_ac)),
            left=left,
            planned=asked_amount,
        )

    def _start(self) -> dt.datetime:
        now, zone = clock.now(), self.operation.zone
        if self.asked.on == now.astimezone(zone).date():
            return now
        return dt.datetime.combine(self.asked.on, NOON, tzinfo=zone)

    def _kind(self) -> Kind:
        if self.asked.amount is not None:
            return self.asked.amount.kind
        return "gal" if self.asked.storage.form == "liquid" else "lb"

    def _load(self, field: Field) -> tuple[Load, LoadPart]:
        """The planned load as a record that is never written."""
        asked, zone = self.asked, self.operation.zone
        offset = self.started_at.astimezone(zone).utcoffset() or dt.timedelta(0)
        worked = None
        if asked.method == "incorporated" and asked.incorporated_within_h is not None:
            worked = self.started_at + dt.timedelta(hours=float(asked.incorporated_within_h))
        test = self.supply.rate_test(asked.storage, asked.on)
        milli = asked.amount.milli if asked.amount else None
        load = Load(
            operation=self.operation,
            local_day=asked.on,
            started_at=self.started_at,
            started_offset_min=round(offset.total_seconds() / 60),
            crop_year=self.judge.around.crop_year(field.pk, asked.on),
            spreader=asked.spreader,
            method=asked.method,
            incorporated_at=worked,
            amount_milli=milli,  # type: ignore[misc]  # no amount yet: never written
            amount_kind=self._kind(),
            ground=asked.ground,
            rate_test=test,
            content_test=test,
        )
        return load, LoadPart(load=load, field=field, number=1, amount_milli=milli)  # type: ignore[misc]

    def _facts(
        self, field: Field, version: FieldVersion | None, reach: Any, over_ac: float | None
    ) -> Facts:
        load, part = self._load(field)
        kind = self._kind()
        rate = (
            rate_per_ac(part.amount_milli, kind, over_ac) if part.amount_milli and over_ac else None
        )
        kept = {
            "covered_from": "noted" if over_ac else None,
            "covered_ac": over_ac,
            "rate_per_ac": rate,
            "rate_unit": rate_unit(kind),
            "distances": self._distances(version, reach),
            "distances_from": None if reach is None or version is None else "planned",
            "searched_ft": self.search_ft,
        }
        return part_facts(self.judge.around, load, part, kept, self.asked.storage)

    def _distances(self, version: FieldVersion | None, reach: Any) -> list[dict[str, Any]]:
        if reach is None or version is None:
            return []
        ground = Ground(LoadPart(number=1), version, None)
        ground.reach, ground.reach_from = reach, "planned"
        ground.uncertainty_ft = float(version.uncertainty_ft)
        return distances([(ground, self.asked.on)], self.features, self.search_ft)[0]

    def _open_ground(
        self, field: Field, version: FieldVersion | None, stack: tuple[str, ...]
    ) -> tuple[BaseGeometry | None, tuple[Keep, ...]]:
        """The ground that surely keeps every distance, and the distances; None: no boundary."""
        boundary = boundary_of(version)
        if boundary is None:
            return None, ()
        facts = self._facts(field, version, boundary, None)
        places = {str(row.pk): row for row in self.features}
        rows = self._distances(version, boundary)
        asked: list[Keep] = []
        kept_clear = []
        for row, seen in zip(rows, facts.features, strict=True):
            closing = closing_ask(self.judge.rulebook, stack, facts, seen, self.asked.on)
            if closing:
                feature, (ask, asked_ft) = places[row["feature"]], closing
                asked.append(Keep(feature, replace(ask, asked_ft=asked_ft)))
                reach_ft = float(asked_ft) + row["uncertainty_ft"] + MARGIN_FT
                kept_clear.append((place_of(feature), reach_ft))
        left, cutting = cut_out(boundary, kept_clear)
        return left, tuple(asked[number] for number in cutting)

    def _recorded_later(self, stack: tuple[str, ...]) -> list[str]:
        """Rules that ask for records of what has not happened yet."""
        standing = self.judge.rulebook.for_stack(stack, self.asked.on, "load")
        return [one.rule.id for one in standing if one.rule.check == "records"]

    def _most(self, said: Ahead, open_ac: float | None) -> Iterator[tuple[Most, float | None]]:
        """The least cap of the rules for this kind of manure, and what it is on the open acres."""
        wanted = "gal" if self._kind() == "gal" else "ton"
        for most in said.most:
            if wanted in most.fact:
                total = None if open_ac is None else on_acres(float(most.amount), open_ac)
                yield most, total

    def _year_of(self, field: Field, year: FieldYear | None) -> FieldYear | None:
        """The year of the crop that the manure is for; the given one where it is that."""
        crop_year = self.judge.around.crop_year(field.pk, self.asked.on)
        if year is None or year.crop_year == crop_year:
            return year
        return field_year(field, crop_year, until=self.asked.on)

    def _left(self, year: FieldYear | None) -> Left | None:
        """What the plan leaves from the storage, on the acres such manure may go on."""
        storage = self.asked.storage
        supplies = year.supplies if year else ()
        supply = next((one for one in supplies if one.storage.pk == storage.pk), None)
        if year is None or supply is None:
            return None
        around, on = self.judge.around, self.asked.on
        stack = around.stack(year.field, on)
        known = Known(around.permit(on), stack, self.judge.rulebook, around)
        manner = Manner(on, self.asked.method, FORM_OF_KIND[supply.kind])
        features = [row for row in self.features if row.holds_on(on)]
        ground = spreadable_of(year, features, manner, known)
        return year.left_from(supply, ground.acres)


def answers(
    operation: Any, asked: Asked, fields: Iterable[Field], years: dict[UUID, FieldYear]
) -> list[Answer]:
    """The answer for each field, in their order."""
    asking = Asking(operation, asked)
    return [asking.answer(field, years.get(field.pk)) for field in fields]


def _verdict(
    findings: Iterable[Finding],
    whole_ac: float | None,
    open_ac: float | None,
    left: Left | None,
) -> str:
    outcomes = {one.outcome for one in findings}
    share = share_of_area(open_ac, whole_ac) if whole_ac and open_ac is not None else None
    if "not_met" in outcomes or (share is not None and share <= SLIVER):
        return "closed"
    if left is not None and left.amount_milli == 0:
        return "closed"
    if "cannot_tell" in outcomes or share is None:
        return "cannot_tell"
    return "open" if share >= 1 - SLIVER else "partly_open"


def _helping(said: Ahead) -> tuple[Change, ...]:
    """The changes that better the answer: a no that ends, or fewer facts that are missing."""
    if said.answer is False:
        return said.changes
    return tuple(one for one in said.changes if set(one.missing) < set(said.missing))


def _acres(ground: BaseGeometry | None) -> float | None:
    if ground is None:
        return None
    if ground.is_empty:
        return 0.0
    try:
        return area_ac(ground)
    except GeometryError:
        return None


def _missing(findings: Iterable[Finding]) -> tuple[str, ...]:
    names = [name for one in findings if one.outcome == "cannot_tell" for name in one.missing]
    return tuple(dict.fromkeys(names))


def _rate(facts: Facts, kind: str) -> float | None:
    rate = facts.get("load.rate_gal_per_ac" if kind == "gal" else "load.rate_ton_per_ac")
    return float(rate) if isinstance(rate, Decimal) else None


def _weight(finding: Finding) -> tuple[int, str]:
    return OUTCOMES.index(finding.outcome), finding.rule_id
