"""The yearly calculation of a permit's rate terms, frozen with everything it was made from.

The linear approach limits what manure brings; the narrative approach limits what all sources bring
and takes off credits, fertilizer and soil nitrogen first. The result is a plain snapshot: inputs,
version of the method and figures, none of which change afterwards. Who and when belong to the
record that keeps it.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from .manure_test import Form
from .maximum import amount_per_ac, on_acres, units_under_limit
from .nutrients import NutrientError
from .spans import last_day_of_span

Approach = Literal["linear", "narrative"]
METHOD_VERSION = "rate-terms 1"
SOURCE = "40 CFR 122.42(e)(5)(i)-(ii); check figures on Montana State's step 5 (derived)"


@dataclass(frozen=True)
class RateInputs:
    """Everything the calculation of one field, crop and manure rests on.

    Limits in pounds per acre: of manure alone (linear) or of all sources (narrative). The manure's
    N is counted as the plan counts it, in pounds per 1,000 gal (liquid) or ton (solid); P2O5 as
    applied. ``spreadable_ac`` is the field less setbacks.
    """

    approach: Approach
    field_name: str
    crop: str
    crop_year: int
    form: Form
    spreadable_ac: float
    is_p_limited: bool
    n_limit_lb_per_ac: float
    p2o5_limit_lb_per_ac: float | None
    manure_n_lb_per_unit: float
    manure_p2o5_lb_per_unit: float | None
    legume_credit_lb_per_ac: float = 0.0
    residual_manure_n_lb_per_ac: float = 0.0
    soil_n_lb_per_ac: float = 0.0
    fertilizer_n_lb_per_ac: float = 0.0
    other_n_lb_per_ac: float = 0.0
    fertilizer_p2o5_lb_per_ac: float = 0.0
    other_p2o5_lb_per_ac: float = 0.0
    nitrogen_system: str = ""
    tests: Mapping[str, str] = field(default_factory=dict)

    @property
    def n_deductions(self) -> Mapping[str, float]:
        """What other sources bring, by name, pounds of N per acre."""
        return {
            "legume credit": self.legume_credit_lb_per_ac,
            "residual manure N": self.residual_manure_n_lb_per_ac,
            "soil N": self.soil_n_lb_per_ac,
            "fertilizer N": self.fertilizer_n_lb_per_ac,
            "other N": self.other_n_lb_per_ac,
        }

    @property
    def p2o5_deductions(self) -> Mapping[str, float]:
        """What other sources bring, by name, pounds of P2O5 per acre."""
        return {
            "fertilizer P2O5": self.fertilizer_p2o5_lb_per_ac,
            "other P2O5": self.other_p2o5_lb_per_ac,
        }


@dataclass(frozen=True)
class RateSnapshot:
    """The frozen calculation: inputs, version, results. Units: 1,000 gal (liquid) or ton (solid).

    Its worksheet holds the same, and is kept word for word as JSON.

    ``amount`` is gallons or tons for the whole spreadable field.
    """

    inputs: RateInputs
    method_version: str
    n_units_per_ac: float
    p2o5_units_per_ac: float | None
    units_per_ac: float
    set_by: str
    amount: float


EXAMPLE = RateInputs(
    "narrative", "North 40", "corn", 2025, "solid", 40.0, False, 160.0, 50.0, 8.53, 18.0,
    legume_credit_lb_per_ac=40.0, fertilizer_n_lb_per_ac=10.0, soil_n_lb_per_ac=30.0,
)  # fmt: skip


def yearly_rate(inputs: RateInputs) -> RateSnapshot:
    """Return the largest amount of this manure the terms allow, with its inputs frozen.

    Narrative deductions come off the limits, never below 0; a linear limit is for manure alone and
    refuses deductions. Nitrogen decides; on a field limited by phosphorus the lesser of the two.
    Raises NutrientError for a figure below 0, a manure that holds nothing, or a missing P figure on
    a field limited by phosphorus. Source: 40 CFR 122.42(e)(5), shape derived.

    >>> snapshot = yearly_rate(EXAMPLE)  # 80 / 8.53 on 40 ac
    >>> round(snapshot.units_per_ac, 4), round(snapshot.amount, 2), snapshot.set_by
    (9.3787, 375.15, 'N')
    """
    _check(inputs)
    by_n = units_under_limit(
        "N",
        inputs.n_limit_lb_per_ac,
        sum(inputs.n_deductions.values()),
        inputs.manure_n_lb_per_unit,
    )
    by_p = None
    if inputs.p2o5_limit_lb_per_ac is not None and inputs.manure_p2o5_lb_per_unit:
        by_p = units_under_limit(
            "P2O5",
            inputs.p2o5_limit_lb_per_ac,
            sum(inputs.p2o5_deductions.values()),
            inputs.manure_p2o5_lb_per_unit,
        )
    if inputs.is_p_limited and by_p is None:
        raise NutrientError(
            "Phosphorus limits this field, but its P2O5 limit or the manure's P2O5 is missing."
        )
    units, set_by = by_n, "N"
    if inputs.is_p_limited and by_p is not None and by_p < by_n:
        units, set_by = by_p, "P2O5"
    amount = on_acres(amount_per_ac(units, inputs.form), inputs.spreadable_ac)
    return RateSnapshot(inputs, METHOD_VERSION, by_n, by_p, units, set_by, amount)


def _check(inputs: RateInputs) -> None:
    deducted = {**inputs.n_deductions, **inputs.p2o5_deductions}
    figures = {"N limit": inputs.n_limit_lb_per_ac, "spreadable acres": inputs.spreadable_ac}
    if inputs.p2o5_limit_lb_per_ac is not None:
        figures["P2O5 limit"] = inputs.p2o5_limit_lb_per_ac
    for name, value in {**figures, **deducted}.items():
        if not (math.isfinite(value) and value >= 0):
            raise NutrientError(f"{name} is {value}; it must be 0 or more.")
    held = inputs.manure_p2o5_lb_per_unit
    if held is not None and not (math.isfinite(held) and held >= 0):
        raise NutrientError(f"P2O5 of the manure is {held}; it must be 0 or more.")
    if not (math.isfinite(inputs.manure_n_lb_per_unit) and inputs.manure_n_lb_per_unit > 0):
        raise NutrientError(
            f"The manure holds {inputs.manure_n_lb_per_unit} lb of N: no amount follows from it."
        )
    if inputs.approach == "linear" and any(deducted.values()):
        given = ", ".join(name for name, value in deducted.items() if value)
        raise NutrientError(
            f"A linear limit is for manure alone, but {given} is given. Leave it at 0, or use the "
            "narrative approach."
        )


def is_recent_test(sampled_on: dt.date, applied_on: dt.date, most_months: int) -> bool:
    """Return whether a test was taken within so many months before the day of application.

    The same day of the month counts as within; a test taken afterwards does not. The number of
    months is law and comes from the rule files.

    >>> is_recent_test(dt.date(2024, 5, 2), dt.date(2025, 4, 20), 12)
    True
    >>> is_recent_test(dt.date(2024, 5, 2), dt.date(2025, 5, 3), 12)
    False
    """
    return sampled_on <= applied_on <= last_day_of_span(sampled_on, most_months, "month")
