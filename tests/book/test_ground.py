"""Where manure went on a field: passes, overlap, missed strips, ground to keep off, GeoJSON."""

from __future__ import annotations

import datetime as dt
import json
import math
from typing import Any

import numpy as np
import pytest
from django.urls import reverse

from farmrecords.calculations.geodesy import LocalPlane
from farmrecords.history import clock
from farmrecords.loads import entry, tracks
from farmrecords.loads.models import Load
from farmrecords.measurements.models import WeatherReading
from tests import builders
from tests.book.desk import NOW, TODAY, Desk

pytestmark = pytest.mark.django_db
PLANE = LocalPlane(-89.4975, 43.0018)
FT = 0.3048


@pytest.fixture(autouse=True)
def _day():
    with clock.standing_at(NOW):
        yield


@pytest.fixture
def desk() -> Desk:
    return Desk()


def pass_at(east_ft: float, hour: int, length_ft: float = 1000) -> str:
    """A straight pass northward through the middle of the field, kept as a track."""
    start = dt.datetime(2026, 4, 22, hour, tzinfo=dt.UTC)
    north = np.arange(-length_ft / 2, length_ft / 2 + 1, 10) * FT
    lonlat = PLANE.to_lonlat(np.column_stack([np.full(len(north), east_ft * FT), north]))
    points = [
        (start + dt.timedelta(seconds=2 * i), float(x), float(y), True)
        for i, (x, y) in enumerate(lonlat)
    ]
    return tracks.keep_track([points], source="receiver")


def spread(desk: Desk, east_ft: float, hour: int, gallons: int = 6000, **values: Any) -> Load:
    start = dt.datetime(2026, 4, 22, hour, tzinfo=dt.UTC)
    draft = entry.LoadDraft(
        started=start,
        ended=start + dt.timedelta(minutes=5),
        parts=[entry.PartDraft(desk.field, track_sha256=pass_at(east_ft, hour))],
        draws=[entry.DrawDraft(desk.pit)],
        method="surface",
        amount_text=str(gallons),
        amount_unit="gal",
        spreader=values.get("spreader", desk.spreader),
    )
    seat = builders.seat_for(desk.person, "here")
    return entry.record_load(seat, draft, channel="web")


def handed_out(desk: Desk, **query: str) -> dict[str, list[dict[str, Any]]]:
    url = reverse("ground", args=["here", desk.field.pk])
    answer = desk.client.get(url, {"format": "geojson", **query})
    assert answer["Content-Type"] == "application/geo+json"
    found: dict[str, list[dict[str, Any]]] = {}
    for row in json.loads(answer.content)["features"]:
        found.setdefault(row["properties"]["kind"], []).append(row["properties"])
    return found


# A pass of 30 ft by 1,000 ft is 30,000 / 43,560 = 0.6887 ac.
PASS_AC = 30_000 / 43_560


def test_passes_beside_each_other_cover_the_sum_and_nothing_twice(desk: Desk) -> None:
    for i in range(3):
        spread(desk, 30 * i, 13 + i)
    found = handed_out(desk, day="2026-04-22")
    assert [row["covered_ac"] for row in found["swath"]] == pytest.approx([PASS_AC] * 3, rel=0.01)
    assert sum(row["amount"] for row in found["cell"]) == pytest.approx(18_000, rel=1e-6)
    assert not found.get("missed")
    assert sum(row["acres"] for row in found.get("twice", [])) < 0.01


def test_ground_covered_by_two_loads_is_said(desk: Desk) -> None:
    spread(desk, 0, 13)
    spread(desk, 15, 14)
    (twice,) = handed_out(desk, day="2026-04-22")["twice"]
    assert twice["acres"] == pytest.approx(PASS_AC / 2, rel=0.02)


def test_a_strip_between_two_passes_is_missed_and_wide_open_ground_is_not(desk: Desk) -> None:
    spread(desk, 0, 13)
    spread(desk, 45, 14)
    (missed,) = handed_out(desk, day="2026-04-22")["missed"]
    assert missed["acres"] == pytest.approx(PASS_AC / 2, rel=0.05)
    spread(desk, 245, 15)
    assert len(handed_out(desk, day="2026-04-22")["missed"]) == 1


def test_the_share_within_ground_to_keep_off_is_told_with_its_amount(desk: Desk) -> None:
    lonlat = PLANE.to_lonlat(np.array([[0.0, 0.0]]))[0]
    well = {"type": "Point", "coordinates": [float(lonlat[0]), float(lonlat[1])]}
    builders.make_feature(desk.operation, "well_agricultural", well, name="Barn well")
    spread(desk, 0, 13)
    zones = handed_out(desk, day="2026-04-22").get("zone", [])
    (zone,) = [row for row in zones if "Barn well" in row["label"]]
    radius = float(zone["label"].split(": ")[1].removesuffix(" ft"))
    assert zone["zone_ac"] == pytest.approx(math.pi * radius**2 / 43_560, rel=0.01)
    assert 0 < zone["covered_ac"] < PASS_AC
    assert zone["amount"] == pytest.approx(6000 * zone["covered_ac"] / PASS_AC, rel=0.02)


def test_the_page_shows_the_same_facts_as_a_table(desk: Desk) -> None:
    load = spread(desk, 0, 13)
    for query in ({"day": "2026-04-22"}, {"year": "2026"}, {"day": "2026-04-22", "layer": "rate"}):
        page = desk.get("ground", desk.field.pk, **query)
        assert "0.69 ac" in page
        assert reverse("load", args=["here", load.pk]) in page


def test_a_load_without_a_track_is_named_and_not_drawn(desk: Desk) -> None:
    load = builders.make_load(desk.field, desk.pit, TODAY)
    page = desk.get("ground", desk.field.pk, day="2026-04-22")
    assert "without known ground" in page
    assert reverse("load", args=["here", load.pk]) in page


def test_a_throw_to_one_side_is_told_with_the_wind(desk: Desk) -> None:
    thrower = builders.make_spreader(desk.operation, discharge_side="left")
    spread(desk, 0, 13, spreader=thrower)
    builders.save(
        WeatherReading(
            operation=desk.operation, observed_at=dt.datetime(2026, 4, 22, 13, tzinfo=dt.UTC),
            observed_on=TODAY, wind_from_deg=90, wind_mph=12, source="barn",
        )
    )  # fmt: skip
    page = desk.get("ground", desk.field.pk, day="2026-04-22")
    # driven north and thrown west with the wind from the east: all with it
    assert "wind from 90°" in page
    assert "100 % with it, 0 % against it" in page


@pytest.mark.parametrize(
    "query", [{"day": "tomorrow"}, {"day": "2026-02-30"}, {"year": "26"}, {"year": "9999"}]
)
def test_an_address_without_a_day_or_year_is_none(desk: Desk, query: dict[str, str]) -> None:
    url = reverse("ground", args=["here", desk.field.pk])
    assert desk.client.get(url, query).status_code == 404
