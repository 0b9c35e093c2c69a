"""What the plan in force allows a field in a crop year, and how much may still be hauled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from farmrecords.calculations.manure_test import ManureTestError
from farmrecords.calculations.maximum import NutrientLimit, left_under_limits
from farmrecords.calculations.nutrients import Applied
from farmrecords.calculations.units import UnitError
from farmrecords.farm.models import Storage
from farmrecords.loads import amounts
from farmrecords.loads.nutrients import content_of
from farmrecords.loads.problems import problem_words
from farmrecords.measurements.models import ManureTest
from farmrecords.plan.models import PlannedCrop, PlanVersion

KIND_OF_FORM = {"liquid": "gal", "solid": "lb"}


@dataclass(frozen=True)
class Limits:
    """The plan's limits for one field and crop year; several crops of a year are added up.

    None: the plan in force states no such limit for the field.
    """

    plan: PlanVersion | None
    crops: tuple[PlannedCrop, ...]
    n_lb_per_ac: float | None
    p2o5_lb_per_ac: float | None
    n_counts: str = "total"


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


def limits_of(plan: PlanVersion | None, crops: Iterable[PlannedCrop]) -> Limits:
    """The limits of a field's crops in one plan version."""
    found = tuple(crops)
    counted = {crop.n_counts for crop in found}
    return Limits(
        plan=plan,
        crops=found,
        n_lb_per_ac=_total(found, "n_limit_lb_per_ac"),
        p2o5_lb_per_ac=_total(found, "p2o5_limit_lb_per_ac"),
        n_counts=counted.pop() if len(counted) == 1 else "total",
    )


def _total(crops: Sequence[PlannedCrop], name: str) -> float | None:
    values = [getattr(crop, name) for crop in crops]
    return None if not values or None in values else float(sum(values))


def left_of(
    limits: Limits,
    acres: float | None,
    total: Applied,
    storage: Storage,
    test: ManureTest | None,
    typical_milli: Sequence[int],
) -> Left:
    """How much of a storage's manure the limits still allow over the whole field."""
    kind = KIND_OF_FORM[test.form if test else storage.form]
    why = _cannot_tell(limits, acres, total, test)
    if why or acres is None or test is None:
        return Left(storage, kind, None, None, "", test, why)
    try:
        content = content_of(test)
    except (ManureTestError, UnitError) as trouble:
        return Left(storage, kind, None, None, "", test, problem_words(trouble))
    bearing: list[NutrientLimit] = []
    for name, limit, pounds, concentration in (
        ("N", limits.n_lb_per_ac, total.n_lb, content.total_n),
        ("P2O5", limits.p2o5_lb_per_ac, total.p2o5_lb, content.p2o5),
    ):
        if limit is None or pounds is None:
            continue
        if concentration is None:
            return Left(
                storage, kind, None, None, name, test,
                _("The test of %(storage)s does not state %(name)s.")
                % {"storage": storage, "name": name},
            )  # fmt: skip
        bearing.append(NutrientLimit(name, limit, pounds, concentration))
    left = left_under_limits(bearing, acres, content.form, typical_milli)
    if left is None:
        return Left(storage, kind, None, None, "", test, _("No limit bears on this manure."))
    return Left(storage, kind, left.amount_milli, left.loads, left.limited_by, test)


def _cannot_tell(
    limits: Limits, acres: float | None, total: Applied, test: ManureTest | None
) -> str:
    """Why nothing can be said about what is left; empty when something can."""
    if limits.n_lb_per_ac is None and limits.p2o5_lb_per_ac is None:
        return _("The plan in force states no limit for this field and crop year.")
    if acres is None:
        return _("The field has no boundary and no stated acres.")
    if limits.n_lb_per_ac is not None and limits.n_counts != "total":
        return _("The N limit counts available N, which is not worked out here.")
    if limits.n_lb_per_ac is not None and total.n_lb is None:
        return _("A load of the year has no test that states its N.")
    if limits.p2o5_lb_per_ac is not None and total.p2o5_lb is None:
        return _("A load of the year has no test that states its P2O5.")
    if test is None:
        return _("The storage has no manure test.")
    return ""
