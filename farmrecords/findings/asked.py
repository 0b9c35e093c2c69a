"""Facts that the rules in force ask of a record and that no other record tells: they are entered.

Facts of a field, a load and a feature are kept with it, those of the plan with a planned crop, and
those of the operation with its permit facts.

Everything else is gathered from what the book holds anyway, and is not offered for entering.
"""

from __future__ import annotations

from collections.abc import Sequence

from farmrecords.rules.model import Rule
from farmrecords.rules.reads import facts_read
from farmrecords.rules.rulebook import Rulebook
from farmrecords.rules.walks import conditions_of

# Told by plans, tests, plantings, tracks and the load's own entries.
TOLD = frozenset(
    {
        "field.cover_crop",
        "field.fiv",
        "field.fiv_tested_on",
        "field.growing_crop",
        "field.nutrient_assessed_on",
        "field.p_index_class",
        "field.p_index_evaluated",
        "field.p_index_procedure",
        "field.p_index_value",
        "field.p_limited",
        "field.p_surplus_lb_per_ac",
        "field.residue_pct",
        "field.slope_pct",
        "field.soil_p_extractant",
        "field.soil_p_ppm",
        "field.tile",
        "feature.buffer_permanent",
        "feature.buffer_unspread",
        "feature.buffer_width_ft",
        "feature.built_on",
        "feature.distance_ft",
        "feature.documents",
        "feature.down_gradient",
        "feature.farthest_ft",
        "feature.kind",
        "feature.uncertainty_ft",
        "load.cover_crop",
        "load.day",
        "load.field_in_plan",
        "load.incorporated_same_date",
        "load.incorporated_within_h",
        "load.method",
        "load.p2o5_lb_per_ac",
        "load.rate_gal_per_ac",
        "load.rate_ton_per_ac",
        "load.whole_field_gal_per_ac",
        "load.whole_field_ton_per_ac",
        "operation.animal_units",
        "operation.approach",
        "operation.confinement",
        "operation.deleted_before_term",
        "operation.diversion_gap_days",
        "operation.diversion_weeks_missed",
        "operation.equipment_inspected",
        "operation.manure_test_gap_months",
        "operation.mortality",
        "operation.mortality_method",
        "operation.npdes",
        "operation.permit_facts",
        "operation.permitted",
        "operation.plan_change_in_force_on",
        "operation.plan_change_notice_on",
        "operation.plan_changed",
        "operation.plan_file",
        "operation.plan_in_force_count",
        "operation.programme",
        "operation.size_class",
        "operation.storage_days",
        "operation.subpart",
        "operation.water_line_days_missed",
        "plan.n_basis",
        "plan.n_limit_lb_per_ac",
        "plan.p2o5_limit_lb_per_ac",
        "plan.p2o5_removal_lb_per_ac",
        "plan.yield_goal",
    }
)


def asked_facts(book: Rulebook, stack: Sequence[str], kind: str) -> tuple[str, ...]:
    """Names of the facts of a kind of record that rules of the stack ask and nobody else tells."""
    asked = {
        name
        for rule in book.rules
        if rule.jurisdiction in stack
        for name in _reads(rule)
        if name.startswith(f"{kind}.")
    }
    return tuple(sorted(asked - TOLD))


def _reads(rule: Rule) -> tuple[str, ...]:
    read = facts_read(rule)
    return tuple(one.fact for one in conditions_of(rule)) if read is None else read
