"""What the rules may look at for one part of a load: gathered from the records, never guessed.

A name that is left out is unknown to the rules; a missing fact never becomes a value here.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from farmrecords.calculations.nutrients import Applied, per_acre
from farmrecords.calculations.units import whole
from farmrecords.farm.further import further_facts
from farmrecords.farm.models import Storage
from farmrecords.findings.assumptions import span
from farmrecords.findings.feature_facts import features_near
from farmrecords.findings.plan_facts import plan_facts
from farmrecords.findings.surroundings import Surroundings
from farmrecords.history import clock
from farmrecords.loads.amounts import in_unit
from farmrecords.loads.available import Choices
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.nutrients import pounds_in
from farmrecords.measurements.rain import rain_of
from farmrecords.measurements.results import value_of
from farmrecords.people.models import Permit
from farmrecords.rules.facts import Facts
from farmrecords.rules.vocabulary import FEATURE_KINDS

DAY_H = span("weather_window_h")
DURING_H = span("weather_during_h")
FEDERAL = "npdes"
# How the acres a part covered must be known for a figure on each of them.
COVERED = ("track", "noted")
ORIGIN_WORDS = {"own": "own_storage", "received": "received", "other_farm": "received"}
# Names of extractants as laboratories write them, without spaces and dashes. A number of the law
# belongs to one of them: Bray 2, Mehlich 1 and the plain Morgan are others.
EXTRACTANTS = {
    "bray1": "bray1",
    "brayp1": "bray1",
    "brayi": "bray1",
    "olsen": "olsen",
    "mehlich3": "mehlich3",
    "mehlichiii": "mehlich3",
    "m3": "mehlich3",
    "modifiedmorgan": "modified_morgan",
}
# Names that leave open which extractant of several it was.
UNSAID = ("bray", "mehlich", "morgan")


def part_facts(
    around: Surroundings,
    load: Load,
    part: LoadPart,
    kept: dict[str, Any] | None,
    storage: Storage | None = None,
) -> Facts:
    """The facts of one part of a load, with the features near its ground.

    A load that is only planned names its `storage` here; a recorded one has its draws.
    """
    on = load.local_day
    values: dict[str, Any] = {}
    values |= around.once(("operation", on), lambda: operation_facts(around.permit(on)))
    values |= _material(load, _storages_of(load, storage))
    values |= _load(around, load, part, kept)
    values |= _ground(load)
    field_id, crop_year = part.field_id, load.crop_year
    values |= around.once(
        ("field", field_id, crop_year, on), lambda: field_facts(around, field_id, crop_year, on)
    )
    values |= _tests(around, load, part, on)
    values |= _weather(around, load)
    values |= _papers(around, load, part, on)
    values |= _looked_for(around, part.field_id, kept, on)
    values |= further_facts("load", load.further)
    values["load.equipment_inspected_on"] = around.equipment_inspected_on(load.spreader_id, on)
    known = {name: value for name, value in values.items() if value is not None}
    return Facts(known, features_near(around, part.field_id, kept, load.started_at))


def operation_facts(permit: Permit | None) -> dict[str, Any]:
    """The permit facts in force, in the words of the rules."""
    if permit is None:
        return {}
    return {
        "operation.size_class": permit.size_class if permit.size_class != "none" else None,
        "operation.subpart": permit.subpart or None,
        "operation.approach": permit.approach if permit.approach != "none" else None,
        "operation.programme": permit.programme or None,
        "operation.permitted": permit.is_permitted,
        "operation.npdes": _is_federal(permit),
        "operation.animal_units": permit.animal_units,
        "operation.confinement": permit.is_confinement,
        "operation.permit_facts": "recorded" if permit.number else "not_recorded",
        **further_facts("operation", permit.further),
    }


def _is_federal(permit: Permit) -> bool | None:
    """Whether the discharge permit is the federal one; unknown for a permit of another name."""
    if permit.programme == FEDERAL:
        return True
    return None if permit.is_permitted else False


def _storages_of(load: Load, planned: Storage | None) -> list[Storage]:
    return [planned] if planned else [draw.storage for draw in load.draws.all()]


def _form(load: Load, storages: list[Storage]) -> str | None:
    """Liquid or solid as the storage holds it, else as the test says; pounds say neither."""
    forms = {storage.form for storage in storages}
    test = load.content_test or load.rate_test
    if not forms and test:
        forms = {test.form}
    if not forms and load.amount_kind == "gal":
        forms = {"liquid"}
    return forms.pop() if len(forms) == 1 else None


def _material(load: Load, storages: list[Storage]) -> dict[str, Any]:
    storage = storages[0] if storages else None
    test = load.content_test or load.rate_test
    solids = value_of(test.results, "solids_pct") if test else None
    stored_in = {
        "pond": "earthen",
        "stack": "stack",
        "rectangular": "formed",
        "cylinder": "formed",
    }
    return {
        "material.class": storage.material if storage else "manure",
        "material.form": _form(load, storages),
        "material.solids_pct": Decimal(solids["value"]) if solids else None,
        "material.origin": ORIGIN_WORDS[load.origin],
        "material.species": (storage.species or None) if storage else None,
        "material.stored_in": stored_in.get(storage.shape) if storage else None,
    }


def _load(
    around: Surroundings, load: Load, part: LoadPart, kept: dict[str, Any] | None
) -> dict[str, Any]:
    end = load.ended_at or load.started_at
    method, within_h, same_date = load.method, None, None
    if load.incorporated_at:
        within_h = Decimal(round((load.incorporated_at - end).total_seconds())) / 3600
        within_h = max(within_h, Decimal(0))
        local = load.incorporated_at.astimezone(load.started_local.tzinfo)
        same_date = local.date() == load.local_day
        method = "incorporated" if method == "surface" else method
    elif method in ("surface", "irrigated"):
        same_date = False
    amount = whole(part.amount_milli) if part.amount_milli else None
    return {
        "load.day": load.local_day,
        "load.start_at": load.started_local,
        "load.end_at": load.ended_local,
        "load.method": method,
        "load.incorporated_within_h": within_h,
        "load.incorporated_same_date": same_date,
        **_rate(kept),
        "load.p2o5_lb_per_ac": _p2o5(load, part, kept),
        "load.first_year_n_lb_per_ac": _first_year_n(around, load, part, kept),
        "load.amount_gal": amount if load.amount_kind == "gal" else None,
        "load.amount_ton": in_unit(part.amount_milli, "lb")
        if part.amount_milli and load.amount_kind == "lb"
        else None,
        "load.receiver_spread": load.origin == "received",
    }


def _rate(kept: dict[str, Any] | None) -> dict[str, Any]:
    """The rate on the covered acres, or only the mean of the whole field, which it never is below.

    What lies between the two is not known, so the mean stands under its own name.
    """
    covered = kept["covered_from"] if kept else None
    if kept is None or covered is None:
        return {}
    basis = "whole_field" if covered == "whole_field" else "covered"
    name = "load.whole_field_" if basis == "whole_field" else "load.rate_"
    return {"load.rate_basis": basis, f"{name}{kept['rate_unit']}": kept["rate_per_ac"]}


def _p2o5(load: Load, part: LoadPart, kept: dict[str, Any] | None) -> float | None:
    """Pounds of phosphate on each covered acre; unknown without a test or covered acres."""
    if kept is None or kept["covered_from"] not in COVERED or not part.amount_milli:
        return None
    pounds, _missing = pounds_in(part.amount_milli, load.amount_kind, load.content_test)
    return per_acre(pounds, kept["covered_ac"]).p2o5_lb


def _first_year_n(
    around: Surroundings, load: Load, part: LoadPart, kept: dict[str, Any] | None
) -> float | None:
    """Available N on each covered acre; asked on standing forage alone, from read factors alone."""
    if not load.further.get("topdressed_forage") or kept is None or not part.amount_milli:
        return None
    choices = around.once(("nitrogen choices",), lambda: Choices(around.operation))
    found = choices.of(load, part.amount_milli)
    if kept["covered_from"] not in COVERED or not found.is_firm or found.n_lb is None:
        return None
    return per_acre(Applied(found.n_lb, None, None), kept["covered_ac"]).n_lb


def _ground(load: Load) -> dict[str, Any]:
    if load.ground == "unknown":
        return {"ground.snow_in": load.snow_in, "ground.frozen_depth_in": load.frozen_depth_in}
    bare = load.ground in ("dry", "wet", "saturated")
    snow = load.snow_in if load.snow_in is not None else (Decimal(0) if bare else None)
    return {
        "ground.state": load.ground,
        "ground.frozen": True if load.ground == "frozen" else (False if bare else None),
        "ground.frozen_depth_in": load.frozen_depth_in,
        "ground.snow_in": snow,
        "ground.ice_in": Decimal(0) if bare else None,
        "ground.saturated": load.ground == "saturated" if bare else None,
    }


def field_facts(around: Surroundings, field_id: Any, crop_year: int, on: dt.date) -> dict[str, Any]:
    """The field's facts in force on the day."""
    version, risk = around.version(field_id, on), around.risk(field_id, crop_year, on)
    crops = around.planned(field_id, crop_year, on)
    values: dict[str, Any] = {}
    if version:
        tile = {"none": False, "random": True, "patterned": True}
        values |= {"field.slope_pct": version.slope_pct, "field.tile": tile.get(version.tile)}
        values |= further_facts("field", version.further)
    if risk:
        values |= {
            "field.p_index_value": risk.value,
            "field.p_index_procedure": risk.procedure,
            "field.p_index_class": risk.risk_class or None,
            "field.nutrient_assessed_on": risk.evaluated_on,
        }
    values["field.p_index_evaluated"] = True if risk else None
    if any(around.states_none("multi_year_p", on, who) for who in (None, field_id)):
        values.setdefault("field.p_surplus_lb_per_ac", Decimal(0))
    values |= _soil(around, field_id, on)
    papers = around.papers(field_id, on)
    if any(row.kind == "winter_field" and row.field_id == field_id for row in papers):
        values["field.winter_listed"] = True
    values["field.cover_crop"] = around.cover_crop(field_id, on)
    if crops:
        values["field.p_limited"] = any(crop.is_p_limited for crop in crops)
        values |= plan_facts(around, field_id, crop_year, crops)
    return values


def _soil(around: Surroundings, field_id: Any, on: dt.date) -> dict[str, Any]:
    test = around.soil_test(field_id, on)
    if test is None:
        return {}
    values: dict[str, Any] = {
        "soil_test.sampled_on": test.sampled_on,
        "soil_test.depth_in": test.depth_in,
        "soil_test.method": _recorded(test.sampling_method and test.laboratory_method),
    }
    phosphorus, fiv = value_of(test.results, "soil_p"), value_of(test.results, "soil_p_fiv")
    values["soil_test.results"] = _recorded(phosphorus or fiv)
    if phosphorus and phosphorus["unit"] == "ppm":
        values["field.soil_p_ppm"] = Decimal(phosphorus["value"])
        values["field.soil_p_extractant"] = extractant_named(test.extractant)
    if fiv:
        values["field.fiv"] = Decimal(fiv["value"])
        values["field.fiv_tested_on"] = test.sampled_on
    return values


def extractant_named(written: str) -> str | None:
    """The extractant a laboratory wrote; `other` where it is named and none the rules know."""
    named = "".join(letter for letter in written.lower() if letter.isalnum())
    known = next((word for key, word in EXTRACTANTS.items() if named.startswith(key)), None)
    open_names = ("", *UNSAID, *(f"{name}p" for name in UNSAID))
    return known or (None if named in open_names else "other")


def _recorded(present: object) -> str:
    return "recorded" if present else "not_recorded"


def _tests(around: Surroundings, load: Load, part: LoadPart, on: dt.date) -> dict[str, Any]:
    planned = around.planned(part.field_id, load.crop_year, on)
    values: dict[str, Any] = {
        "field.growing_crop": load.growing_crop,
        "field.residue_pct": load.residue_pct,
        "load.field_in_plan": bool(planned) if around.plan(on) else None,
        "load.cover_crop": _cover_crop(around, part.field_id, on),
    }
    test = load.rate_test
    if test:
        nitrogen = value_of(test.results, "total_n") or value_of(test.results, "tkn")
        phosphorus = value_of(test.results, "p2o5") or value_of(test.results, "p")
        values |= {
            "manure_test.sampled_on": test.sampled_on,
            "manure_test.results": _recorded(nitrogen and phosphorus),
            "manure_test.method": _recorded(test.sampling_method and test.laboratory_method),
        }
    return values


def _cover_crop(around: Surroundings, field_id: Any, on: dt.date) -> str | None:
    if around.cover_crop(field_id, on):
        return "growing"
    return "within_14_days" if around.cover_crop_soon(field_id, on) else None


def settles_at(load: Load) -> dt.datetime:
    """When the last window after the load is over; findings before may change with time alone."""
    return (load.ended_at or load.started_at) + DAY_H


def _weather(around: Surroundings, load: Load) -> dict[str, Any]:
    start, end = load.started_at, load.ended_at or load.started_at
    now = clock.now()
    before = rain_of(around.readings(start - DAY_H, start), start - DAY_H, start)
    after = rain_of(around.readings(end, end + DAY_H), end, end + DAY_H)
    forecast = around.forecast(start)
    values: dict[str, Any] = {
        "asked.at": now,
        "weather.before_24h": _recorded(around.is_recorded(start - DAY_H, start)),
        "weather.during": _recorded(around.is_recorded(start - DURING_H, end + DURING_H)),
        "weather.after_due_at": settles_at(load),
        "weather.rain_before_in": before.rain_in,
        "weather.rain_after_in": after.rain_in,
        "forecast.kept": forecast is not None,
    }
    if now >= end + DAY_H:
        values["weather.after_24h"] = _recorded(around.is_recorded(end, end + DAY_H))
    if forecast:
        values |= {
            "forecast.amount_in": forecast.rain_in,
            "forecast.probability_pct": forecast.probability_pct,
            "forecast.horizon_h": forecast.horizon_h,
        }
    return values


def _papers(around: Surroundings, load: Load, part: LoadPart, on: dt.date) -> dict[str, Any]:
    held = {
        row.paper
        for row in around.papers(part.field_id, on)
        if row.paper and row.feature_id is None and row.holds_at(load.started_at)
    }
    return {"documents.held": tuple(sorted(held))}


def _looked_for(
    around: Surroundings, field_id: Any, kept: dict[str, Any] | None, on: dt.date
) -> dict[str, Any]:
    """That every feature is on the map, where somebody states it and the map was searched so far.

    Facts kept for nearer distances than the rules now ask say nothing of features beyond them.
    """
    stated = around.once(
        ("no features", field_id, on), lambda: around.states_none("features", on, field_id)
    )
    if not stated or kept is None or kept["searched_ft"] < around.asked_ft:
        return {}
    if kept["distances_from"] is None and around.features:
        return {}
    return {"features.mapped": True, "features.none_stated": tuple(FEATURE_KINDS)}
