"""Phosphate of several crop years on the same ground, where a rule of the field asks for it.

A sum is told only when the book holds every year of it: loads since the first of them or before,
and fertilizer of each year entered or stated to be none. Acres noted without a track do not tell
whether the loads of two years lie on the same ground.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from farmrecords.calculations import nutrients
from farmrecords.findings.load_facts import COVERED
from farmrecords.findings.surroundings import Surroundings
from farmrecords.loads.year import FieldYear, operation_years, years_of
from farmrecords.rules.reads import facts_read
from farmrecords.rules.rulebook import packaged_rulebook

SUMS = {"year.p2o5_2yr_lb_per_ac": 2, "year.p2o5_3yr_lb_per_ac": 3}


def sums_of_years(around: Surroundings, year: FieldYear, stack: Sequence[str]) -> dict[str, Any]:
    """Phosphate on the ground that got most in the crop years up to this one, lb/ac."""
    return {name: _p2o5(around, year, SUMS[name]) for name in _asked(tuple(stack))}


@lru_cache(maxsize=256)
def _asked(stack: tuple[str, ...]) -> tuple[str, ...]:
    read = {
        name
        for rule in packaged_rulebook().rules
        if rule.jurisdiction in stack and rule.subject == "field_year"
        for name in facts_read(rule) or ()
    }
    return tuple(name for name in SUMS if name in read)


def _p2o5(around: Surroundings, year: FieldYear, count: int) -> float | None:
    first = year.crop_year - count + 1
    held = around.once(("crop years",), lambda: operation_years(around.operation))
    if not held or min(held) > first or not year.acres:
        return None
    years = [year, *(_earlier(around, year, number) for number in range(first, year.crop_year))]
    ground = COVERED if sum(bool(one.parts) for one in years) == 1 else ("track",)
    if not all(_is_told(one, ground) for one in years):
        return None
    spread = [row.on_ground for one in years for row in one.parts]
    passes = [one for each in years for one in each.passes()]
    least = max(one.least_ac for one in years)
    return nutrients.field_year(year.acres, spread, passes, least).heaviest_per_ac.p2o5_lb


def _earlier(around: Surroundings, year: FieldYear, crop_year: int) -> FieldYear:
    every = around.once(("years", crop_year), lambda: years_of(around.operation, crop_year))
    found: FieldYear = every[year.field.pk]
    return found


def _is_told(year: FieldYear, ground: Sequence[str]) -> bool:
    """Whether all that went on the field in the year is known, and where."""
    placed = all(row.facts.get("covered_from") in ground for row in year.parts)
    return placed and (bool(year.fertilizers) or year.no_fertilizer)
