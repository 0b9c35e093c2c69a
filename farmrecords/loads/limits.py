"""What the plan in force allows a field in a crop year, and how much may still be hauled.

One place says which limit binds and what it counts; the field's year, the phone, the findings and
the report all ask here. Source of the shape: 40 CFR 122.42(e)(5)(i)-(ii) (read; the formula is
derived from it).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from farmrecords.calculations.manure_test import ManureTestError
from farmrecords.calculations.maximum import NutrientLimit, left_under_limits
from farmrecords.calculations.nutrients import Applied
from farmrecords.calculations.units import UnitError
from farmrecords.farm.models import Storage
from farmrecords.loads import amounts
from farmrecords.loads.available import NOTHING_LEFT, AvailableN, Residual
from farmrecords.loads.models import Fertilizer
from farmrecords.loads.nutrients import content_of
from farmrecords.loads.problems import problem_words
from farmrecords.measurements.models import ManureTest
from farmrecords.people.models import Permit
from farmrecords.plan.models import PlannedCrop, PlanVersion

KIND_OF_FORM = {"liquid": "gal", "solid": "lb"}
CROP_YEAR_BEGINS = (9, 1)  # working assumption: from the September before its harvest


@dataclass(frozen=True)
class Limits:
    """The plan's limits for one field and crop year; several crops of a year are added up.

    A limit is None when the plan in force states no such limit for the field. `approach` is
    "linear", "narrative", or "" when it cannot be told. `n_counts` is "total", "available",
    "mixed" when the crops differ, or "" without crops.
    """

    plan: PlanVersion | None
    crops: tuple[PlannedCrop, ...]
    n_lb_per_ac: float | None
    p2o5_lb_per_ac: float | None
    n_counts: str = ""
    approach: str = ""
    n_credit_lb_per_ac: float | None = None

    @property
    def credit_has_manure(self) -> bool | None:
        """Whether the credits hold manure of earlier years; None when not stated for every crop."""
        said = {crop.credit_has_manure for crop in self.crops}
        return said.pop() if len(said) == 1 else None

    @property
    def is_p_limited(self) -> bool:
        """Whether the plan limits the field by phosphorus in the crop year."""
        return any(crop.is_p_limited for crop in self.crops)

    @property
    def names(self) -> str:
        """The crops, named together."""
        return ", ".join(crop.crop for crop in self.crops)


@dataclass(frozen=True)
class Term:
    """One nutrient of the plan as it binds the manure of a field and crop year.

    `binds`: N always does where the plan lists a crop; P2O5 only where the plan limits the field
    by phosphorus; None when the plan lists no crop for the field. `counts` is "manure" under the
    linear approach, "all_sources" under the narrative one, "" when the approach cannot be told.
    `elsewhere_lb_per_ac` is what other sources use up of the limit: nothing under the linear
    approach; fertilizer, and for N the credits, under the narrative one. `why` says why the
    pounds left for manure cannot be told, and is empty when they can. `measures` is "available"
    where the pounds are available N, else "total".
    """

    nutrient: str
    binds: bool | None
    counts: str
    limit_lb_per_ac: float | None
    elsewhere_lb_per_ac: float | None
    why: str = ""
    measures: str = "total"

    @property
    def manure_lb_per_ac(self) -> float | None:
        """Pounds per acre that manure may bring in the crop year, at least 0; None with `why`."""
        if self.why or self.limit_lb_per_ac is None or self.elsewhere_lb_per_ac is None:
            return None
        return max(0.0, self.limit_lb_per_ac - self.elsewhere_lb_per_ac)


@dataclass(frozen=True)
class Terms:
    """The two terms of a field and crop year."""

    n: Term
    p2o5: Term

    @property
    def binding(self) -> tuple[Term, ...]:
        """The terms that bind, N first."""
        return tuple(term for term in (self.n, self.p2o5) if term.binds)

    @property
    def why(self) -> str:
        """Why what the plan allows cannot be told; empty when it can."""
        if self.n.binds is None:
            return self.n.why
        return next((term.why for term in self.binding if term.why), "")


@dataclass(frozen=True)
class Supply:
    """A storage manure may come from: its newest test known, and its loads of the crop year."""

    storage: Storage
    test: ManureTest | None
    typical_milli: tuple[int, ...] = ()

    @property
    def kind(self) -> str:
        """The kind of amount its manure is measured in: "gal" or "lb"."""
        return KIND_OF_FORM[self.test.form if self.test else self.storage.form]


@dataclass(frozen=True)
class Left:
    """What may still be hauled from one storage before a limit of the plan is reached.

    `amount_milli` is None when it cannot be told; `why` then says why. It is 0 at or over a
    limit. `loads` counts typical loads of that storage; None when it has none in the year.
    """

    storage: Storage
    kind: str
    amount_milli: int | None
    loads: float | None
    limited_by: str
    test: ManureTest | None
    why: str = ""

    @property
    def shown(self) -> str:
        """The amount in gallons or tons, or why it cannot be told."""
        if self.amount_milli is None:
            return self.why
        return amounts.shown(self.amount_milli, self.kind)


def crop_year_days(crop_year: int) -> tuple[dt.date, dt.date]:
    """The days that fertilizer and manure for a crop year may fall on: September to December."""
    return dt.date(crop_year - 1, *CROP_YEAR_BEGINS), dt.date(crop_year, 12, 31)


def rate_approach(permit: Permit | None, plan: PlanVersion | None) -> str:
    """The rate approach: "linear" or "narrative"; "" when permit and plan differ or say none."""
    stated = {row.approach for row in (permit, plan) if row is not None} - {"none"}
    return stated.pop() if len(stated) == 1 else ""


def limits_of(
    plan: PlanVersion | None, crops: Iterable[PlannedCrop], permit: Permit | None = None
) -> Limits:
    """The limits of a field's crops in one plan version, under the permit of the same day."""
    found = tuple(crops)
    counted = {crop.n_counts for crop in found}
    return Limits(
        plan=plan,
        crops=found,
        n_lb_per_ac=_total(found, "n_limit_lb_per_ac"),
        p2o5_lb_per_ac=_total(found, "p2o5_limit_lb_per_ac"),
        n_counts="mixed" if len(counted) > 1 else next(iter(counted), ""),
        approach=rate_approach(permit, plan),
        n_credit_lb_per_ac=_total(found, "n_credit_lb_per_ac"),
    )


def _total(crops: Sequence[PlannedCrop], name: str) -> float | None:
    values = [getattr(crop, name) for crop in crops]
    return None if not values or None in values else float(sum(values))


def terms_of(
    limits: Limits,
    fertilizers: Sequence[Fertilizer],
    no_fertilizer: bool,
    residual: Callable[[], Residual] = lambda: NOTHING_LEFT,
) -> Terms:
    """Which limits bind and what they leave for manure; the one place that decides it.

    `fertilizers` are those of the field and crop year; `no_fertilizer` is whether a statement
    says that there was none. N binds; P2O5 binds only on a field limited by phosphorus. A linear
    limit is for manure alone, a narrative one for all sources: fertilizer comes off, and the
    credits off N. Where N counts as available, what manure of earlier years still gives
    (`residual`) comes off too, unless the plan's credits hold it. Source: 40 CFR 122.42(e)(5)
    (derived).
    """
    counts = {"linear": "manure", "narrative": "all_sources"}.get(limits.approach, "")
    listed = bool(limits.crops)
    spread = {
        "N": sum((row.n_lb_per_ac for row in fertilizers), Decimal(0)),
        "P2O5": sum((row.p2o5_lb_per_ac for row in fertilizers), Decimal(0)),
    }
    earlier = _earlier(limits, residual) if counts == "all_sources" else NOTHING_LEFT
    terms = []
    for nutrient, limit, credit, binds in (
        ("N", limits.n_lb_per_ac, limits.n_credit_lb_per_ac, True),
        ("P2O5", limits.p2o5_lb_per_ac, 0.0, limits.is_p_limited),
    ):
        elsewhere: float | None = None
        if counts == "manure":
            elsewhere = 0.0
        elif counts and credit is not None and (fertilizers or no_fertilizer):
            elsewhere = credit + float(spread[nutrient])
        why = _why(limits, nutrient, limit, credit, known=bool(fertilizers) or no_fertilizer)
        measures = "available" if nutrient == "N" and limits.n_counts == "available" else "total"
        if measures == "available" and elsewhere is not None:
            why = why or earlier.why
            elsewhere = None if earlier.lb_per_ac is None else elsewhere + earlier.lb_per_ac
        bound = binds if listed else None
        terms.append(Term(nutrient, bound, counts, limit, elsewhere, why, measures))
    return Terms(*terms)


def _earlier(limits: Limits, residual: Callable[[], Residual]) -> Residual:
    """What manure of earlier years takes off a limit of available N; 0 where a credit holds it."""
    if limits.n_counts != "available" or limits.credit_has_manure:
        return NOTHING_LEFT
    found = residual()
    if limits.credit_has_manure is None and found.lb_per_ac != 0:
        return Residual(
            None, _("The plan does not say whether its N credits include manure of earlier years.")
        )
    return found


def _why(
    limits: Limits, nutrient: str, limit: float | None, credit: float | None, *, known: bool
) -> str:
    """Why the pounds left for manure cannot be told; empty when they can."""
    if not limits.crops:
        return _("The plan in force has no crop for this field and crop year.")
    if limit is None:
        return _("The plan in force states no %(name)s limit for this field and crop year.") % {
            "name": nutrient
        }
    if nutrient == "N" and limits.n_counts == "mixed":
        return _("Of the crops of the year some count total N and some available N.")
    if not limits.approach:
        return _("The permit and the plan name different rate approaches, or none.")
    if limits.approach == "linear":
        return ""
    if credit is None:
        return _("The plan states no N credits for the crop; enter them, or 0.")
    if not known:
        return _("No fertilizer is entered, and nobody stated that there was none.")
    return ""


def left_of(
    terms: Terms,
    acres: float | None,
    manure: Applied,
    supply: Supply,
    available: AvailableN | None = None,
) -> Left:
    """How much of a storage's manure the terms still allow on the acres.

    `manure` is what the manure of the crop year brought so far, in pounds as the terms count
    them. `available` is what a unit of the storage's manure would give, for a limit of available
    N; or why the pounds of either cannot be told.
    """
    storage, test, kind = supply.storage, supply.test, supply.kind
    why = _cannot_tell(terms, acres, manure, test, available)
    if why or acres is None or test is None:
        return Left(storage, kind, None, None, "", test, why)
    try:
        content = content_of(test)
    except (ManureTestError, UnitError) as trouble:
        return Left(storage, kind, None, None, "", test, problem_words(trouble))
    bearing: list[NutrientLimit] = []
    for term in terms.binding:
        allowed, pounds = term.manure_lb_per_ac, _pounds(manure, term)
        held = content.total_n if term.nutrient == "N" else content.p2o5
        if term.measures == "available" and available is not None:
            held = available.found.available_n if available.found else None
        if held is None:
            words = _("The test of %(storage)s does not state %(name)s.")
            words %= {"storage": storage, "name": term.nutrient}
            return Left(storage, kind, None, None, term.nutrient, test, words)
        if allowed is not None and pounds is not None:
            bearing.append(NutrientLimit(term.nutrient, allowed, pounds, held))
    left = left_under_limits(bearing, acres, content.form, supply.typical_milli)
    if left is None:
        return Left(storage, kind, None, None, "", test, _("No limit bears on this manure."))
    return Left(storage, kind, left.amount_milli, left.loads, left.limited_by, test)


def _pounds(manure: Applied, term: Term) -> float | None:
    return manure.n_lb if term.nutrient == "N" else manure.p2o5_lb


def _cannot_tell(
    terms: Terms,
    acres: float | None,
    manure: Applied,
    test: ManureTest | None,
    available: AvailableN | None,
) -> str:
    """Why nothing can be said about what is left; empty when something can."""
    if terms.why:
        return terms.why
    if acres is None:
        return _("The field has no boundary and no stated acres.")
    if terms.n.measures == "available" and available is not None and available.why:
        return available.why
    for term in terms.binding:
        if _pounds(manure, term) is None:
            return _("A load of the year has no test that states its %(name)s.") % {
                "name": term.nutrient
            }
    if test is None:
        return _("The storage has no manure test.")
    return ""
