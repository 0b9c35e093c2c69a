"""The database itself refuses what no record of its kind can mean, past every form."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from farmrecords.farm.models import AnimalGroup, FieldStack, Spreader, Storage
from farmrecords.history.recorded import table
from farmrecords.loads.models import Harvest, Invoice, Load, Planting, Transfer
from farmrecords.measurements.models import (
    Calibration,
    Discharge,
    ManureTest,
    Mortality,
    SoilTest,
    WeatherDay,
    WeatherReading,
)
from farmrecords.people.models import Operation, Permit
from farmrecords.plan.models import PlannedCrop
from tests import builders

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 4, 20)
BEFORE = DAY - dt.timedelta(days=1)
NOON = dt.datetime(2026, 4, 20, 12, tzinfo=dt.UTC)
AMOUNT = {"amount_text": "10", "amount_milli": 20_000_000, "amount_unit": "ton"} | {
    "amount_kind": "lb"
}


class Farm:
    """Sound rows of every kind, not yet stored; a test makes one of them unsound."""

    def __init__(self) -> None:
        self.operation = builders.make_operation()
        self.field = builders.make_field(self.operation)
        self.pit = builders.make_storage(self.operation)
        self.spreader = builders.make_spreader(self.operation)
        self.plan = builders.make_plan(self.operation)
        self.group = builders.save(
            AnimalGroup(operation=self.operation, name="cows", kind="dairy_mature")
        )

    def sound(self, model: Any) -> dict[str, Any]:
        land = {"field": self.field, "crop_year": 2026}
        store = {"storage": self.pit}
        rows: dict[Any, dict[str, Any]] = {
            Storage: {"name": "new", "form": "liquid", "shape": "rectangular", "began_on": DAY},
            Spreader: {"name": "new", "kind": "tanker", "form": "liquid"},
            FieldStack: {"field": self.field, "geometry": {}, "from_on": DAY},
            Mortality: {"group": self.group, "died_on": DAY, "head": 1, "method": "compost"},
            Discharge: {"happened_on": DAY},
            Calibration: {"spreader": self.spreader, "calibrated_on": DAY, "method": "weighed"},
            ManureTest: store | {"form": "liquid", "sampled_on": DAY, "results": []},
            SoilTest: {"field": self.field, "sampled_on": DAY, "results": []},
            WeatherDay: {"day": DAY, "source": "gauge"},
            WeatherReading: {"observed_at": NOON, "observed_on": DAY, "source": "station"},
            Transfer: store | AMOUNT | {"direction": "out", "moved_on": DAY},
            Planting: land | {"planted_on": DAY, "crop": "corn"},
            Harvest: land | {"harvested_on": DAY, "crop": "corn"},
            Invoice: AMOUNT | {"hauler": "H", "from_on": DAY, "to_on": DAY},
            PlannedCrop: land | {"plan": self.plan, "crop": "corn"},
            Permit: {"from_on": DAY, "size_class": "large", "approach": "linear",
                     "period_kind": "calendar"},
            Load: AMOUNT | {"local_day": DAY, "started_at": NOON, "started_offset_min": 0,
                            "crop_year": 2026, "method": "surface", "measured_by": "scale"},
        }  # fmt: skip
        return {"operation": self.operation} | rows[model]

    def store(self, model: Any, **values: Any) -> None:
        with transaction.atomic():
            table(model).bulk_create([model(**(self.sound(model) | values))])


@pytest.fixture
def farm() -> Farm:
    return Farm()


UNSOUND: list[tuple[Any, str, dict[str, Any]]] = [
    *((Storage, "storage_measures", {name: Decimal(0)})
      for name in ("length_ft", "width_ft", "diameter_ft", "capacity_ton")),
    *((Storage, "storage_measures", {name: Decimal(-1)})
      for name in ("side_slope", "drainage_area_ac")),
    (Storage, "storage_days_in_order", {"ended_on": BEFORE}),
    (Spreader, "spreader_load_has_unit", {"rated_load_text": "6000"}),
    (Spreader, "spreader_load_has_unit", {"rated_load_unit": "gal"}),
    (FieldStack, "field_stack_amount_has_unit", {"amount_text": "40"}),
    (Mortality, "mortality_head", {"head": 0}),
    (Discharge, "discharge_written_after", {"written_on": BEFORE}),
    (Calibration, "calibration_load_has_unit", {"load_text": "6000"}),
    (ManureTest, "manure_test_density", {"density_lb_per_gal": Decimal(0)}),
    (SoilTest, "soil_test_days_in_order", {"analysed_on": BEFORE}),
    (SoilTest, "soil_test_days_in_order", {"reported_on": BEFORE}),
    (WeatherDay, "weather_day_high_over_low", {"high_f": Decimal(40), "low_f": Decimal(41)}),
    (WeatherReading, "weather_reading_amounts", {"wind_mph": Decimal(-1)}),
    (WeatherReading, "weather_reading_amounts", {"distance_mi": Decimal(-1)}),
    (WeatherReading, "weather_reading_amounts", {"wind_from_deg": 361}),
    (Transfer, "transfer_kind_fits_unit", {"amount_unit": "gal"}),
    (Transfer, "transfer_amount", {"amount_milli": 0}),
    (Harvest, "harvest_yield", {"yield_amount": Decimal(-1)}),
    (Invoice, "invoice_days_in_order", {"to_on": BEFORE}),
    (Invoice, "invoice_amount", {"amount_milli": -1}),
    (Invoice, "invoice_kind_fits_unit", {"amount_kind": "gal"}),
    (PlannedCrop, "planned_crop_amounts", {"n_credit_lb_per_ac": Decimal(-1)}),
    (PlannedCrop, "planned_crop_amounts", {"p2o5_removal_lb_per_ac": Decimal(-1)}),
    (Permit, "permit_months_exist", {"due_day": 32}),
    (Permit, "permit_animal_units", {"animal_units": Decimal(-1)}),
    (Load, "load_ground_amounts", {"snow_in": Decimal(-1)}),
    (Load, "load_ground_amounts", {"frozen_depth_in": Decimal(-1)}),
    (Load, "load_ground_amounts", {"residue_pct": 101}),
    (Load, "load_ground_amounts", {"loads_counted": 0}),
    (Load, "load_kind_fits_unit", {"amount_kind": "gal"}),
    (Load, "load_amount_positive", {"amount_milli": 0}),
]  # fmt: skip


@pytest.mark.parametrize(("model", "name", "values"), UNSOUND)
def test_an_unsound_row_is_refused_by_name(farm, model, name, values):
    with pytest.raises(IntegrityError, match=name):
        farm.store(model, **values)


SOUND: list[tuple[Any, dict[str, Any]]] = [
    (Storage, {"length_ft": Decimal("0.01"), "side_slope": Decimal(0), "ended_on": DAY}),
    (Spreader, {"rated_load_text": "6000", "rated_load_unit": "gal"}),
    (FieldStack, {"amount_text": "40", "amount_unit": "ton"}),
    (Mortality, {}),
    (Discharge, {"written_on": DAY}),
    (Calibration, {"load_text": "6000", "load_unit": "gal"}),
    (ManureTest, {"density_lb_per_gal": Decimal("0.001")}),
    (SoilTest, {"analysed_on": DAY, "reported_on": DAY}),
    (WeatherDay, {"high_f": Decimal(40), "low_f": Decimal(40)}),
    (WeatherReading, {"wind_mph": Decimal(0), "wind_from_deg": 360}),
    (Transfer, {}),
    (Harvest, {"yield_amount": Decimal(0)}),
    (Planting, {}),
    (Invoice, {}),
    (PlannedCrop, {"n_credit_lb_per_ac": Decimal(0)}),
    (Permit, {"due_day": 31, "animal_units": Decimal(0)}),
    (Load, {"snow_in": Decimal(0), "residue_pct": 100, "loads_counted": 1}),
]


@pytest.mark.parametrize(("model", "values"), SOUND)
def test_a_row_at_the_edge_of_what_is_sound_is_kept(farm, model, values):
    before = table(model).count()
    farm.store(model, **values)
    assert table(model).count() == before + 1


@pytest.mark.parametrize("model", [Planting, Harvest, WeatherReading, PlannedCrop])
def test_the_same_twice_is_refused_until_the_first_is_void(farm, model):
    farm.store(model)
    with pytest.raises(IntegrityError):
        farm.store(model)
    table(model).update(voided=True)
    farm.store(model)
    assert table(model).filter(voided=False).count() == 1


def test_the_place_of_a_production_area_has_both_coordinates(farm):
    for place in ({"production_area_lon": Decimal(-89)}, {"production_area_lat": Decimal(43)}):
        with pytest.raises(IntegrityError), transaction.atomic():
            table(Operation).filter(pk=farm.operation.pk).update(**place)
    both = {"production_area_lon": Decimal(-180), "production_area_lat": Decimal(90)}
    assert table(Operation).filter(pk=farm.operation.pk).update(**both) == 1
