"""Builders for tests: small valid records, written through the history like any other."""

from __future__ import annotations

import datetime as dt
import itertools
from decimal import Decimal
from typing import Any

from farmrecords.calculations.available_nitrogen import systems
from farmrecords.farm.models import Feature, Field, FieldVersion, Spreader, Storage
from farmrecords.history import write
from farmrecords.loads.models import Load, LoadDraw, LoadPart
from farmrecords.measurements.models import ManureTest, SoilTest
from farmrecords.people.access import Seat, seat_for
from farmrecords.people.models import (
    Grant,
    Jurisdiction,
    Membership,
    Operation,
    Permit,
    Person,
)
from farmrecords.plan.models import NitrogenChoice, PermitCondition, PlannedCrop, PlanVersion

_numbers = itertools.count(1)
FIRST_DAY = dt.date(2023, 1, 1)

# A square of 40.290596 ac, as pyproj and geographiclib 2.1 agree.
SQUARE = {
    "type": "Polygon",
    "coordinates": [
        [[-89.5, 43.0], [-89.495, 43.0], [-89.495, 43.0036], [-89.5, 43.0036], [-89.5, 43.0]]
    ],
}


def make_person(username: str = "", **values: Any) -> Person:
    name = username or f"person{next(_numbers)}"
    values.setdefault("display_name", name.title())
    return Person.objects.create_user(username=name, password="a long password", **values)


def actor(person: Person | None = None, role: str = "office") -> write.Actor:
    return write.Actor(id=(person or make_person()).pk, role=role)


def save(obj: Any, parts: dict[str, list[Any]] | None = None, by: Any = None) -> Any:
    """Write one new record through the history and return it."""
    with write.change(by=by or actor(), channel="web") as change:
        change.create(obj, parts=parts or {}, reason_code="entry", reason_text="")
    return obj


def amend(obj: Any, **values: Any) -> Any:
    """Amend a record through the history and return it."""
    with write.change(by=actor(), channel="web") as change:
        change.amend(obj, base_rev=obj.rev, values=values, reason_code="mistake")
    return obj


def make_operation(
    slug: str = "", stack: tuple[str, ...] = ("us", "us-vt"), **values: Any
) -> Operation:
    name = slug or f"farm{next(_numbers)}"
    values.setdefault("name", name.title())
    values.setdefault("time_zone", "America/New_York")
    operation = save(Operation(slug=name, log=write.open_log(values["name"]), **values))
    save(Jurisdiction(operation=operation, from_on=FIRST_DAY, stack=list(stack)))
    save(
        Permit(
            operation=operation,
            from_on=FIRST_DAY,
            size_class="large",
            is_permitted=True,
            subpart="C",
            approach="linear",
            period_kind="calendar",
        )
    )
    return operation


def make_member(operation: Operation, role: str, person: Person | None = None) -> Membership:
    return save(
        Membership(
            operation=operation, person=person or make_person(), role=role, from_on=FIRST_DAY
        )
    )


def make_grant(membership: Membership, first: dt.date, last: dt.date) -> Grant:
    return save(
        Grant(
            membership=membership,
            operation=membership.operation,
            period_from_on=first,
            period_to_on=last,
        )
    )


def make_seat(operation: Operation, role: str = "office") -> Seat:
    """A seat of the role, with a grant over all years for planner and inspector."""
    membership = make_member(operation, role)
    if role in ("planner", "inspector"):
        make_grant(membership, dt.date(2020, 1, 1), dt.date(2030, 12, 31))
    return seat_for(membership.person, operation.slug)


def make_field(
    operation: Operation, number: str = "", boundary: Any = SQUARE, **values: Any
) -> Field:
    number = number or str(next(_numbers))
    field = save(
        Field(operation=operation, number=number, name=f"Field {number}", began_on=FIRST_DAY)
    )
    save(
        FieldVersion(
            operation=operation, field=field, from_on=FIRST_DAY, boundary=boundary, **values
        )
    )
    return field


def make_feature(operation: Operation, kind: str, geometry: Any, **values: Any) -> Feature:
    values.setdefault("line_source", "surveyed")
    values.setdefault("down_gradient", "yes")
    values.setdefault("from_on", FIRST_DAY)
    return save(Feature(operation=operation, kind=kind, geometry=geometry, **values))


def make_storage(operation: Operation, name: str = "", **values: Any) -> Storage:
    values = {
        "form": "liquid",
        "shape": "rectangular",
        "length_ft": Decimal(100),
        "width_ft": Decimal(50),
        "depth_ft": Decimal(10),
    } | values
    return save(
        Storage(
            operation=operation,
            name=name or f"Storage {next(_numbers)}",
            began_on=FIRST_DAY,
            **values,
        )
    )


def make_spreader(operation: Operation, **values: Any) -> Spreader:
    values = {
        "kind": "tanker",
        "form": "liquid",
        "rated_width_ft": Decimal(30),
        "discharge_side": "both",
    } | values
    return save(Spreader(operation=operation, name=f"Spreader {next(_numbers)}", **values))


def make_manure_test(storage: Storage, sampled_on: dt.date, **values: Any) -> ManureTest:
    """A liquid test of 25 lb N, 10 lb NH4-N, 12 lb P2O5, 20 lb K2O per 1,000 gal."""
    values.setdefault("form", storage.form)
    unit = "lb/1000 gal" if storage.form == "liquid" else "lb/ton"
    values.setdefault(
        "results",
        [
            {"analyte": analyte, "value": value, "unit": unit, "basis": "as_is"}
            for analyte, value in (
                ("total_n", "25"),
                ("ammonium_n", "10"),
                ("p2o5", "12"),
                ("k2o", "20"),
            )
        ],
    )
    return save(
        ManureTest(operation=storage.operation, storage=storage, sampled_on=sampled_on, **values)
    )


def make_soil_test(field: Field, sampled_on: dt.date, p_ppm: str = "12") -> SoilTest:
    results = [{"analyte": "soil_p", "value": p_ppm, "unit": "ppm", "basis": "dry"}]
    return save(
        SoilTest(
            operation=field.operation,
            field=field,
            sampled_on=sampled_on,
            extractant="modified Morgan",
            depth_in=Decimal("6.0"),
            results=results,
        )
    )


def make_plan(operation: Operation, from_on: dt.date = FIRST_DAY) -> PlanVersion:
    return save(
        PlanVersion(operation=operation, from_on=from_on, label=f"Plan of {from_on:%Y-%m-%d}")
    )


def make_nitrogen_choice(operation: Operation, **values: Any) -> NitrogenChoice:
    """The choice of a system from the first day on: by default New York's two factors."""
    given = {"system": "NY", "from_on": FIRST_DAY, "document": "plan of 2023"} | values
    given.setdefault("version", systems()[given["system"]].version)
    return save(NitrogenChoice(operation=operation, **given))


def make_planned_crop(
    plan: PlanVersion, field: Field, crop_year: int, n_lb: str = "160", p2o5_lb: str = "80"
) -> PlannedCrop:
    return save(
        PlannedCrop(
            operation=plan.operation,
            plan=plan,
            field=field,
            crop_year=crop_year,
            crop="corn silage",
            yield_goal=Decimal(20),
            yield_unit="ton",
            n_limit_lb_per_ac=Decimal(n_lb),
            p2o5_limit_lb_per_ac=Decimal(p2o5_lb),
        )
    )


def make_load(
    field: Field,
    storage: Storage,
    day: dt.date = dt.date(2026, 4, 20),
    gallons: int = 6500,
    by: Any = None,
    area_ac: Decimal | None = None,
    track_sha256: str = "",
    **values: Any,
) -> Load:
    """A liquid load of whole gallons on one field from one storage, at noon UTC of the day."""
    start = dt.datetime.combine(day, dt.time(12), tzinfo=dt.UTC)
    values = {
        "method": "surface",
        "measured_by": "rated",
        "amount_text": str(gallons),
        "amount_unit": "gal",
        "amount_milli": gallons * 1000,
        "amount_kind": "gal",
        "crop_year": day.year,
        "started_at": start,
        "ended_at": start + dt.timedelta(minutes=12),
        "started_offset_min": -240,
    } | values
    load = Load(operation=field.operation, local_day=day, **values)
    part = LoadPart(field=field, number=1, amount_milli=load.amount_milli, area_ac=area_ac)
    part.track_sha256 = track_sha256
    draw = LoadDraw(storage=storage, number=1, amount_milli=load.amount_milli)
    return save(load, {"parts": [part], "draws": [draw]}, by=by)


def make_condition(operation: Operation, **values: Any) -> PermitCondition:
    """A condition of the operation's permit: by default 150 ft from drinking-water wells."""
    given = {
        "kind": "distance",
        "text": "Keep 150 ft from drinking-water wells",
        "value": "150",
        "unit": "ft",
        "feature_kinds": ["well_drinking"],
        "document": "permit of 2026",
        "from_on": dt.date(2026, 1, 1),
    }
    return save(PermitCondition(operation=operation, **given | values))
