"""What each kind of record is entered with in the tests of the common pages."""

from __future__ import annotations

from typing import Any

from farmrecords.farm.models import AnimalGroup
from farmrecords.people.models import Membership
from farmrecords.plan.models import PlanVersion
from tests import builders
from tests.book.desk import Desk

# An entry that is changed in the amendment, and its new value as typed.
CHANGES: dict[str, tuple[str, str]] = {
    "transfers": ("amount_text", "170,000"),
    "fertilizer": ("n_lb_per_ac", "31"),
    "harvests": ("yield_amount", "19.5"),
    "statements": ("looked_how", "read the bills of the year again"),
    "soil-tests": ("value_soil_p", "13"),
    "inspections": ("found", "rust at the float"),
    "deficiencies": ("description", "burrow on the east berm"),
    "discharges": ("volume_text", "300"),
    "calibrations": ("width_ft", "28"),
    "fields": ("name", "Lower meadow"),
    "field-facts": ("slope_pct", "7"),
    "features": ("name", "Mill brook"),
    "storages": ("depth_ft", "11"),
    "spreaders": ("rated_width_ft", "32"),
    "animals": ("name", "Dry cows"),
    "animal-counts": ("roof_head", "351"),
    "plans": ("planner_name", "R. Amsel"),
    "crops": ("yield_goal", "21"),
    "people": ("certificate_number", "H-77"),
    "grants": ("period_to_on", "2026-11-30"),
}


def entries(desk: Desk, kind: str) -> dict[str, Any]:
    """What the page of a kind sends, the records it points to made first."""
    return FORMS[kind](desk)


def _transfer(desk: Desk) -> dict[str, Any]:
    return {
        "direction": "out", "moved_on": "2026-04-21", "amount_text": "180,000",
        "amount_unit": "gal", "storage": str(desk.pit.pk), "receiver_name": "Orla Fenn",
        "receiver_address": "9 Kiln Lane", "test": str(desk.test.pk),
        "analysis_given_on": "2026-04-20",
    }  # fmt: skip


def _fertilizer(desk: Desk) -> dict[str, Any]:
    return {
        "field": str(desk.field.pk), "spread_on": "2026-04-20", "crop_year": "2026",
        "product": "urea", "n_lb_per_ac": "30", "p2o5_lb_per_ac": "0", "k2o_lb_per_ac": "0",
    }  # fmt: skip


def _harvest(desk: Desk) -> dict[str, Any]:
    return {
        "field": str(desk.field.pk), "harvested_on": "2026-04-20", "crop_year": "2026",
        "crop": "rye silage", "yield_amount": "6.5", "yield_unit": "ton",
    }  # fmt: skip


def _statement(desk: Desk) -> dict[str, Any]:
    return {
        "subject": "fertilizer", "field": str(desk.other.pk), "from_on": "2026-01-01",
        "to_on": "2026-04-21", "looked_how": "read the bills of the year",
    }  # fmt: skip


def _soil(desk: Desk) -> dict[str, Any]:
    return {
        "field": str(desk.field.pk), "sampled_on": "2026-04-01", "depth_in": "6",
        "extractant": "modified Morgan", "laboratory": "Soil lab", "value_soil_p": "12",
        "unit_soil_p": "ppm", "value_soil_ph": "6.4", "unit_soil_ph": "pH",
    }  # fmt: skip


def _inspection(desk: Desk) -> dict[str, Any]:
    return {
        "kind": "water_lines", "inspected_on": "2026-04-22", "storage": str(desk.pit.pk),
        "found": "no leak",
    }  # fmt: skip


def _deficiency(desk: Desk) -> dict[str, Any]:
    return {
        "storage": str(desk.pit.pk), "found_on": "2026-04-20",
        "description": "burrow on the west berm",
    }  # fmt: skip


def _discharge(desk: Desk) -> dict[str, Any]:
    return {
        "from_production_area": "on", "happened_on": "2026-04-20",
        "happened_at": "2026-04-20T06:10", "storage": str(desk.pit.pk), "volume_text": "200",
        "cause": "burst hose", "receiving_water": "ditch", "aware_at": "2026-04-20T06:15",
        "told_at": "2026-04-20T07:00",
    }  # fmt: skip


def _calibration(desk: Desk) -> dict[str, Any]:
    return {
        "spreader": str(desk.spreader.pk), "calibrated_on": "2026-04-02", "method": "weighed",
        "load_text": "5,600", "load_unit": "gal", "width_ft": "29",
    }  # fmt: skip


def _field(_desk: Desk) -> dict[str, Any]:
    return {
        "number": "77", "name": "Upper meadow", "aliases_text": "hill, back forty",
        "began_on": "2026-03-01", "control": "rented", "stated_ac": "12.5",
    }  # fmt: skip


def _facts(desk: Desk) -> dict[str, Any]:
    return {
        "field": str(desk.field.pk), "from_on": "2026-04-01", "control": "rented",
        "stated_ac": "14", "slope_pct": "6", "tile": "none",
    }  # fmt: skip


def _feature(_desk: Desk) -> dict[str, Any]:
    return {
        "kind": "stream_perennial", "name": "Mill creek", "shape": "line",
        "corners": "44.10000, -73.20000\n44.10100, -73.20100", "down_gradient": "yes",
        "line_source": "walked", "uncertainty_ft": "10", "from_on": "2026-01-01",
    }  # fmt: skip


def _storage(_desk: Desk) -> dict[str, Any]:
    return {
        "name": "North tank", "form": "liquid", "material": "manure", "species": "dairy",
        "shape": "cylinder", "diameter_ft": "80", "depth_ft": "12", "is_open": "on",
        "level_datum": "bottom", "began_on": "2020-01-01",
    }  # fmt: skip


def _spreader(_desk: Desk) -> dict[str, Any]:
    return {
        "name": "Red tanker", "kind": "tanker", "form": "liquid", "rated_load_text": "6,000",
        "rated_load_unit": "gal", "rated_width_ft": "30", "discharge_side": "both", "cells": "0",
    }  # fmt: skip


def _animals(desk: Desk) -> dict[str, Any]:
    return {
        "name": "Milking herd", "kind": "dairy_mature", "storage": str(desk.pit.pk),
        "has_liquid_system": "true",
    }  # fmt: skip


def _count(desk: Desk) -> dict[str, Any]:
    group = AnimalGroup.objects.first() or builders.save(
        AnimalGroup(operation=desk.operation, name="Herd", kind="dairy_mature")
    )
    return {
        "group": str(group.pk), "counted_on": "2026-04-01", "open_head": "0", "roof_head": "350"
    }  # fmt: skip


def _plan(_desk: Desk) -> dict[str, Any]:
    return {
        "label": "2026 b", "from_on": "2026-04-01", "document": "plan of April 2026",
        "planner_name": "R. Amsler", "by_certified_planner": "true", "approach": "linear",
    }  # fmt: skip


def _crop(desk: Desk) -> dict[str, Any]:
    plan = PlanVersion.objects.first() or builders.make_plan(desk.operation)
    return {
        "plan": str(plan.pk), "field": str(desk.field.pk), "crop_year": "2026",
        "crop": "corn silage", "yield_goal": "20", "yield_unit": "ton",
        "n_limit_lb_per_ac": "150", "n_counts": "available", "p2o5_limit_lb_per_ac": "60",
    }  # fmt: skip


def _member(_desk: Desk) -> dict[str, Any]:
    return {
        "sign_in": "luis", "display_name": "Luis Arroyo", "language": "es",
        "password": "eight-tall-poplars", "role": "crew", "from_on": "2026-04-01",
    }  # fmt: skip


def _grant(desk: Desk) -> dict[str, Any]:
    member = Membership.objects.filter(role="inspector").first() or builders.make_member(
        desk.operation, "inspector"
    )
    return {
        "membership": str(member.pk), "period_from_on": "2026-01-01",
        "period_to_on": "2026-12-31", "ends_on": "2027-01-31",
    }  # fmt: skip


FORMS = {
    "transfers": _transfer,
    "fertilizer": _fertilizer,
    "harvests": _harvest,
    "statements": _statement,
    "soil-tests": _soil,
    "inspections": _inspection,
    "deficiencies": _deficiency,
    "discharges": _discharge,
    "calibrations": _calibration,
    "fields": _field,
    "field-facts": _facts,
    "features": _feature,
    "storages": _storage,
    "spreaders": _spreader,
    "animals": _animals,
    "animal-counts": _count,
    "plans": _plan,
    "crops": _crop,
    "people": _member,
    "grants": _grant,
}
