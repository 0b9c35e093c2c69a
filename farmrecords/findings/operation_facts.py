"""What the rules may look at for the operation's period: animals, plan, rounds, deficiencies."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any

from farmrecords.calculations.rounds import (
    begun_months,
    days_without,
    longest_gap_days,
    weeks_without,
)
from farmrecords.findings.farm_rows import FarmPeriod
from farmrecords.findings.load_facts import operation_facts
from farmrecords.measurements.models import Deficiency
from farmrecords.plan.models import PlanVersion
from farmrecords.rules.facts import Facts
from farmrecords.rules.vocabulary_farm import OPERATION, SECTORS

# Types of the annual report in the rows of the size table, by liquid system or not.
SECTOR_OF = {
    ("dairy_mature", None): "dairy_mature",
    ("veal", None): "veal",
    ("beef_cattle", None): "cattle_other",
    ("dairy_heifers", None): "cattle_other",
    ("swine_ge55", None): "swine_ge55",
    ("swine_lt55", None): "swine_lt55",
    ("horses", None): "horses",
    ("sheep", None): "sheep",
    ("turkeys", None): "turkeys",
    ("layers", True): "layers_broilers_liquid",
    ("layers", False): "layers_dry",
    ("broilers", True): "layers_broilers_liquid",
    ("broilers", False): "chickens_dry",
    ("ducks", True): "ducks_liquid",
    ("ducks", False): "ducks_dry",
}
METHODS = OPERATION["operation.mortality_method"].choices
LIQUID = "liquid_system"


def farm_facts(period: FarmPeriod) -> Iterator[Facts]:
    """The facts of the operation's period: once, or once for each deficiency and plan change."""
    values: dict[str, Any] = operation_facts(period.around.permit(period.day))
    values |= animal_facts(period)
    values |= _plan(period)
    values |= _rounds(period)
    values |= _mortality(period)
    values |= {
        "operation.storage_days": _storage_days(period),
        "operation.manure_test_gap_months": _test_gap_months(period),
        "documents.held": period.papers(),
        "asked.on": period.today,
        # The history refuses to remove a record; what is void stays readable.
        "operation.deleted_before_term": False,
    }
    changes = _plan_changes(period)
    for of_one in [*map(_deficiency_of(period), period.deficiencies), *changes] or [{}]:
        known = {name: value for name, value in (values | of_one).items() if value is not None}
        yield Facts(known)


def animal_facts(period: FarmPeriod) -> dict[str, Any]:
    """Heads by row of the size table, from the latest count of each group by the day.

    A row of which no group is entered is unknown, as is one with a group that was never counted.
    """
    heads: dict[str, Any] = {}
    for group in period.groups:
        names = _sectors(group)
        count = period.counts.get(group.pk)
        for name in names:
            known = len(names) == 1 and count is not None and heads.get(name, 0) is not None
            heads[name] = (
                heads.get(name, 0) + count.open_head + count.roof_head
                if known and count is not None
                else None
            )
    return {f"animals.{name}": heads.get(name) for name in SECTORS}


def _sectors(group: Any) -> list[str]:
    """The row of a group; both rows where liquid or dry is not entered; none for other kinds."""
    if (plain := SECTOR_OF.get((group.kind, None))) is not None:
        return [plain]
    systems = (True, False) if group.has_liquid_system is None else (group.has_liquid_system,)
    return [name for one in systems if (name := SECTOR_OF.get((group.kind, one)))]


def _plan(period: FarmPeriod) -> dict[str, Any]:
    plan: PlanVersion | None = period.around.plan(period.day)
    if plan is None:
        return {}
    return {
        "operation.plan_in_force_count": 1,  # the newest of the day; the others ended with it
        "operation.plan_file": "recorded" if plan.document else None,
        "operation.plan_changed": False,
        "plan.implemented_on": plan.from_on,
    }


def _plan_changes(period: FarmPeriod) -> list[dict[str, Any]]:
    """Each version that came into force in the period after an earlier one."""
    versions = sorted(period.around.plans, key=lambda row: row.from_on)
    return [
        {
            "operation.plan_changed": True,
            "operation.plan_change_notice_on": row.approved_on,
            "operation.plan_change_in_force_on": row.from_on,
        }
        for row in versions[1:]
        if period.first_on <= row.from_on <= period.day
    ]


def _rounds(period: FarmPeriod) -> dict[str, Any]:
    """Weeks and days without a look, for those kinds of which any look is entered."""
    first, last = period.first_on, period.day
    values: dict[str, Any] = {}
    if days := period.inspections.get("diversions"):
        values["operation.diversion_weeks_missed"] = weeks_without(days, first, last)
        values["operation.diversion_gap_days"] = longest_gap_days(days, first, last)
    if days := period.inspections.get("water_lines"):
        values["operation.water_line_days_missed"] = days_without(days, first, last)
    if period.inspections.get("equipment"):
        values["operation.equipment_inspected"] = "recorded"
    return values


def _mortality(period: FarmPeriod) -> dict[str, Any]:
    """That dead animals are written down, or none stated; a method in other words is unknown."""
    rows = period.mortalities
    if not rows:
        stated = period.states_none("mortality")
        return (
            {"operation.mortality": "recorded", "operation.mortality_method": "other"}
            if (stated)
            else {}
        )
    methods = {row.method.strip().lower().replace(" ", "_") for row in rows}
    known = methods <= set(METHODS)
    method = LIQUID if LIQUID in methods else (min(methods) if known else None)
    return {"operation.mortality": "recorded", "operation.mortality_method": method}


def _storage_days(period: FarmPeriod) -> int | None:
    """Days of storage of the farm's only storage of manure; of several it cannot be told."""
    days = [row.design_days for row in period.storages if row.material == "manure"]
    return days[0] if len(days) == 1 else None


def _test_gap_months(period: FarmPeriod) -> int | None:
    """The most months between tests of a storage while loads drew from it; unknown without one."""
    gaps: list[int] = []
    for storage, drawn in period.drawn_on.items():
        samples = sorted(row.sampled_on for row in period.tests.get(storage, []))
        before = [day for day in samples if day <= drawn[0]]
        if not before:
            return None
        within = [day for day in samples if drawn[0] < day <= drawn[-1]]
        points = [before[-1], *within, drawn[-1]]
        gaps += [begun_months(earlier, later) for earlier, later in itertools.pairwise(points)]
    return max(gaps, default=None)


def _deficiency_of(period: FarmPeriod) -> Any:
    """Facts of one deficiency: days until it was put right, or until the day that is judged."""

    def facts_of(row: Deficiency) -> dict[str, Any]:
        is_right = row.corrected_on is not None and row.corrected_on <= period.day
        until = row.corrected_on if is_right and row.corrected_on else period.day
        return {
            "deficiency.open_days": (until - row.found_on).days,
            "deficiency.explained": bool(row.explanation.strip()),
        }

    return facts_of
