"""Weather, soils and public waters come in: what is new, what stays, what is asked."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from farmrecords.farm.models import Feature, FieldVersion
from farmrecords.formats.common import FormatError
from farmrecords.history import clock, write
from farmrecords.intake import service
from farmrecords.intake.kinds import kind_named
from farmrecords.intake.models import IncomingFile
from farmrecords.measurements.models import Forecast, WeatherDay, WeatherReading
from farmrecords.people.access import Seat
from farmrecords.people.filed import decide
from farmrecords.people.models import ClosedPeriod, LateRecord
from tests import builders
from tests.formats.soil_files import survey

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)):
        yield


class Farm:
    """One operation with one field, and its office."""

    def __init__(self) -> None:
        self.operation = builders.make_operation()
        self.seat = builders.make_seat(self.operation)
        self.field = builders.make_field(self.operation, "7")

    def owner(self) -> Seat:
        return builders.make_seat(self.operation, "owner")

    def take_in(self, kind: str, name: str, data: bytes | str, **answers: str) -> IncomingFile:
        found = kind_named(kind)
        assert found is not None
        content = data.encode() if isinstance(data, str) else data
        incoming = service.take_in(self.seat, found, name, content)
        if answers:
            service.answer(self.seat, incoming, answers, incoming.rev)
        return incoming

    def bring(self, kind: str, name: str, data: bytes | str, **answers: str) -> IncomingFile:
        incoming = self.take_in(kind, name, data, **answers)
        assert service.is_ready(incoming), incoming.report
        return service.confirm(self.seat, incoming, incoming.rev)


@pytest.fixture
def farm() -> Farm:
    return Farm()


GAUGE = "Date,Rain (in),High (F),Low (F)\n2026-04-20,0.50,61,40\n2026-04-21,,58,39\n"


def test_days_of_the_own_gauge_are_recorded_and_an_empty_cell_is_not_zero(farm: Farm) -> None:
    farm.bring("gauge", "gauge.csv", GAUGE, day_station="barn")
    first, second = WeatherDay.objects.order_by("day")
    assert (first.rain_in, first.high_f, first.low_f) == (
        Decimal("0.50"), Decimal("61.0"), Decimal("40.0"),
    )  # fmt: skip
    assert first.source == "barn"
    assert second.rain_in is None


def test_the_same_days_again_change_nothing_and_corrected_ones_are_amended(farm: Farm) -> None:
    farm.bring("gauge", "gauge.csv", GAUGE, day_station="barn")
    again = farm.take_in("gauge", "gauge.csv", GAUGE, day_station="barn")
    assert again.report["new"] == 0
    corrected = GAUGE.replace("0.50", "0.75")
    incoming = farm.bring("gauge", "gauge.csv", corrected, day_station="barn")
    assert WeatherDay.objects.order_by("day")[0].rain_in == Decimal("0.75")
    service.undo(farm.seat, incoming, incoming.rev, "The first file was right.")
    assert WeatherDay.objects.order_by("day")[0].rain_in == Decimal("0.50")


def test_a_day_changed_by_hand_stays(farm: Farm) -> None:
    farm.bring("gauge", "gauge.csv", GAUGE, day_station="barn")
    day = WeatherDay.objects.order_by("day")[0]
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(day, base_rev=1, values={"rain_in": Decimal("0.60")}, reason_code="amend")
    corrected = GAUGE.replace("0.50", "0.75")
    assert farm.take_in("gauge", "g.csv", corrected, day_station="barn").report["new"] == 0


def test_a_late_day_waits_once_however_often_its_file_comes(farm: Farm) -> None:
    april = ClosedPeriod(
        operation=farm.operation, from_on=dt.date(2026, 4, 20), to_on=dt.date(2026, 4, 20)
    )
    builders.save(april)
    farm.bring("gauge", "gauge.csv", GAUGE, day_station="barn")
    (late,) = LateRecord.objects.all()
    again = farm.take_in("gauge", "again.csv", f"{GAUGE}2026-04-22,0.1,,\n", day_station="barn")
    assert again.report["new"] == 1
    service.confirm(farm.seat, again, again.rev)
    assert list(LateRecord.objects.all()) == [late]
    decide(farm.owner(), late, accept=False, reason="not ours", base_rev=1)
    refused_before = farm.take_in("gauge", "third.csv", GAUGE + "\n", day_station="barn")
    assert refused_before.report["new"] == 1  # it may be brought for another decision


def test_days_of_a_public_station_name_the_hour_their_day_ends(farm: Farm) -> None:
    # 254 tenths of a millimetre are 1.00 in (the publisher's readme)
    farm.bring("ghcn", "USC00470273.csv", "USC00470273,20260420,PRCP,254,,,7,0700\n")
    day = WeatherDay.objects.get()
    assert day.rain_in == Decimal("1.00")
    assert day.source == "USC00470273, day to 07:00"


def service_forecast(**rain: float) -> str:
    values = [{"validTime": f"{when}/PT6H", "value": mm} for when, mm in rain.items()]
    return json.dumps(
        {
            "properties": {
                "updateTime": "2026-06-01T12:00:00+00:00",
                "gridId": "BTV", "gridX": 1, "gridY": 2,
                "quantitativePrecipitation": {"uom": "wmoUnit:mm", "values": values},
                "probabilityOfPrecipitation": {
                    "uom": "wmoUnit:percent",
                    "values": [{"validTime": "2026-06-01T15:00:00+00:00/PT12H", "value": 70}],
                },
            }
        }
    )  # fmt: skip


def test_a_forecast_is_kept_as_seen_with_the_whole_answer(farm: Farm) -> None:
    starts = ["2026-06-01T15:00:00+00:00", "2026-06-01T21:00:00+00:00",
              "2026-06-02T03:00:00+00:00", "2026-06-02T09:00:00+00:00"]  # fmt: skip
    text = service_forecast(**dict.fromkeys(starts, 6.35))
    farm.bring("weather_service", "forecast.json", text)
    row = Forecast.objects.get()
    # 4 x 6.35 mm are one inch
    assert (row.rain_in, row.probability_pct, row.horizon_h) == (Decimal("1.00"), 70, 24)
    assert row.seen_at == dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)
    assert row.kept_file
    assert farm.take_in("weather_service", "forecast.json", text).report["new"] == 0


def test_a_forecast_that_does_not_reach_a_day_gives_no_figure(farm: Farm) -> None:
    text = service_forecast(**{"2026-06-01T15:00:00+00:00": 6.35})
    farm.bring("weather_service", "forecast.json", text)
    assert Forecast.objects.get().rain_in is None


def test_observations_are_recorded_once(farm: Farm) -> None:
    observed = {
        "features": [
            {
                "properties": {
                    "station": "https://api.example/stations/KBTV",
                    "timestamp": "2026-05-31T12:00:00+00:00",
                    "temperature": {"unitCode": "wmoUnit:degC", "value": 10},
                    "windSpeed": {"unitCode": "wmoUnit:km_h-1", "value": 16.09344},
                    "precipitationLastHour": {"unitCode": "wmoUnit:mm", "value": None},
                }
            }
        ]
    }
    farm.bring("weather_service", "observations.json", json.dumps(observed))
    row = WeatherReading.objects.get()
    assert (row.temperature_f, row.wind_mph, row.rain_in) == (
        Decimal("50.0"), Decimal("10.0"), None,
    )  # fmt: skip
    again = farm.take_in("weather_service", "observations.json", json.dumps(observed))
    assert again.report["new"] == 0


def test_a_late_observation_waits_once_however_often_its_answer_comes(farm: Farm) -> None:
    may = dt.date(2026, 5, 31)
    builders.save(ClosedPeriod(operation=farm.operation, from_on=may, to_on=may))
    text = json.dumps({"features": [observation(0, 1.0)]})
    farm.bring("weather_service", "observations.json", text)
    assert WeatherReading.objects.get().voided
    assert LateRecord.objects.count() == 1
    again = farm.take_in("weather_service", "again.json", text + "\n")
    assert again.report["new"] == 0


def observation(minute: int, rain: float | None, temperature: float | None = 10) -> dict[str, Any]:
    properties = {
        "station": "https://api.example/stations/KBTV",
        "timestamp": f"2026-05-31T12:{minute:02}:00+00:00",
        "temperature": {"unitCode": "wmoUnit:degC", "value": temperature},
        "precipitationLastHour": {"unitCode": "wmoUnit:mm", "value": rain},
    }
    return {"properties": properties}


def test_an_observation_that_stands_twice_in_a_file_is_one_reading(farm: Farm) -> None:
    text = json.dumps({"features": [observation(53, None), observation(53, 2.54)]})
    incoming = farm.bring("weather_service", "observations.json", text)
    assert WeatherReading.objects.get().rain_in == Decimal("0.10")
    assert "more than once" in incoming.report["warnings"][0]


def test_a_reading_stands_once_for_its_station_and_moment(farm: Farm) -> None:
    text = json.dumps({"features": [observation(53, 2.54)]})
    farm.bring("weather_service", "observations.json", text)
    row = WeatherReading.objects.get()
    twin = WeatherReading(
        operation=farm.operation, observed_at=row.observed_at, observed_on=row.observed_on,
        source=row.source,
    )  # fmt: skip
    with pytest.raises(ValidationError):
        builders.save(twin)


@pytest.mark.parametrize(("day", "refused"), [("2026-06-01", 0), ("2026-06-02", 1)])
def test_weather_of_the_future_is_refused_by_row(farm: Farm, day: str, refused: int) -> None:
    text = f"Date,Rain (in)\n2026-04-20,0.50\n{day},0.10\n"
    incoming = farm.take_in("gauge", "gauge.csv", text, day_station="barn")
    assert incoming.report["rejected_count"] == refused
    assert service.is_ready(incoming) is (refused == 0)
    if refused:
        (told,) = incoming.report["rejected"]
        assert (told["row"], told["value"]) == (3, day)


# the clock of these tests stands at 15:00 UTC of 1 June
@pytest.mark.parametrize(("moment", "refused"), [("15:00", 0), ("15:01", 1)])
def test_an_observation_or_a_forecast_of_the_future_is_refused(
    farm: Farm, moment: str, refused: int
) -> None:
    row = observation(0, 2.54)
    row["properties"]["timestamp"] = f"2026-06-01T{moment}:00+00:00"
    seen = farm.take_in("weather_service", "o.json", json.dumps({"features": [row]}))
    assert seen.report["rejected_count"] == refused
    text = service_forecast(**{"2026-06-01T15:00:00+00:00": 6.35})
    issued = text.replace("2026-06-01T12:00:00+00:00", f"2026-06-01T{moment}:00+00:00")
    told = farm.take_in("weather_service", "f.json", issued)
    assert told.report["rejected_count"] == refused


def test_an_observation_without_a_station_is_refused_by_row(farm: Farm) -> None:
    row = observation(0, 2.54)
    row["properties"]["station"] = ""
    incoming = farm.take_in("weather_service", "o.json", json.dumps({"features": [row]}))
    (told,) = incoming.report["rejected"]
    assert (told["row"], told["column"]) == (1, "station")


def water_map(*rows: tuple[int, str, Any]) -> str:
    features = [
        {
            "type": "Feature",
            "properties": {"FCode": code, "GNIS_Name": name},
            "geometry": {"type": "LineString", "coordinates": line},
        }
        for code, name, line in rows
    ]
    return json.dumps({"type": "FeatureCollection", "features": features})


NEAR = [[-89.499, 43.005], [-89.495, 43.005]]
ON = [[-89.495, 43.005], [-89.490, 43.006]]
FAR = [[-80.0, 40.0], [-80.0, 40.1]]


def test_segments_of_one_stream_become_one_feature_and_far_ones_none(farm: Farm) -> None:
    text = water_map((46006, "Mill Brook", NEAR), (46006, "Mill Brook", ON),
                     (46006, "Far Creek", FAR), (55800, "", NEAR))  # fmt: skip
    incoming = farm.bring("waters", "waters.geojson", text, from_on="2026-04-01")
    feature = Feature.objects.get()
    assert (feature.kind, feature.name) == ("stream_perennial", "Mill Brook")
    assert feature.uncertainty_ft == 40  # about 12 m, from memory (data formats, section 4.2)
    assert any("passed over" in words for words in incoming.report["warnings"])
    again = farm.take_in("waters", "waters.geojson", text, from_on="2026-04-01")
    assert again.report["new"] == 0


def test_a_code_nobody_knows_is_asked_and_never_dropped(farm: Farm) -> None:
    text = water_map((12345, "Ditch of the old mill", NEAR))
    incoming = farm.take_in("waters", "w.geojson", text, from_on="2026-04-01")
    assert any("12345" in question.asked for question in service.questions_of(incoming))


def test_a_soil_survey_proposes_facts_of_the_field_with_their_rule(farm: Farm) -> None:
    incoming = farm.take_in("soils", "WI025.zip", survey(), from_on="2026-04-01")
    (line,) = incoming.report["lines"]
    assert "weighted by area" in line[1]
    service.confirm(farm.seat, incoming, incoming.rev)
    version = farm.field.version_on(dt.date(2026, 4, 1))
    # half the field 1 % (80 parts of 95 known), half 4 % (90 parts):
    # (0.8 x 1 + 0.9 x 4) / 1.7 = 2.588 (data formats, section 4.1, rule 3)
    assert version.slope_pct == Decimal("2.6")
    assert version.boundary == FieldVersion.objects.order_by("from_on")[0].boundary
    before = farm.field.version_on(dt.date(2026, 3, 31))
    assert before.slope_pct is None


def test_facts_that_are_here_are_replaced_only_when_a_person_says_so(farm: Farm) -> None:
    version = farm.field.version_on(dt.date(2026, 4, 1))
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(version, base_rev=1, values={"slope_pct": Decimal("8.0")},
                     reason_code="amend")  # fmt: skip
    incoming = farm.take_in("soils", "WI025.zip", survey(), from_on="2026-04-01")
    assert [question.key for question in service.questions_of(incoming)] == ["existing_soil"]
    service.answer(farm.seat, incoming, {"existing_soil": "keep"}, incoming.rev)
    service.confirm(farm.seat, incoming, incoming.rev)
    assert farm.field.version_on(dt.date(2026, 4, 1)).slope_pct == Decimal("8.0")


def test_without_a_boundary_a_soil_survey_has_nowhere_to_lie() -> None:
    farm = Farm.__new__(Farm)
    farm.operation = builders.make_operation()
    farm.seat = builders.make_seat(farm.operation)
    with pytest.raises(FormatError, match="boundary"):
        farm.take_in("soils", "WI025.zip", survey())
