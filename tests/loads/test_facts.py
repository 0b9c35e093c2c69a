"""Kept facts: covered ground, distances and acres, against hand geometry and independent tools."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pyproj import Geod

from farmrecords.farm.acres import acres_of
from farmrecords.history import write
from farmrecords.loads import facts, tracks
from farmrecords.loads.entry import PartDraft
from farmrecords.loads.models import Load, LoadFacts
from tests import builders
from tests.loads.farm import Farm

pytestmark = pytest.mark.django_db

FT = 0.3048
GEOD = Geod(ellps="WGS84")
START = dt.datetime(2026, 4, 20, 16, tzinfo=dt.UTC)


@pytest.fixture
def farm():
    return Farm()


def straight_north(lon=-89.4975, south=43.001, metres=200.0, step=4.0):
    """A straight track due north, a position every 2 s at 2 m/s."""
    points = []
    for i in range(int(metres / step) + 1):
        east, north, _back = GEOD.fwd(lon, south, 0, i * step)
        points.append((START + dt.timedelta(seconds=2 * i), east, north, True))
    return tracks.keep_track([points], source="receiver")


def there_and_back(on=lambda _i: True):
    """North 200 m and back on the same strip; `on` says whether position i discharges."""
    points = []
    for i in range(101):
        metres = i * 4.0 if i <= 50 else 400.0 - i * 4.0
        east, north, _back = GEOD.fwd(-89.4975, 43.001, 0, metres)
        points.append((START + dt.timedelta(seconds=2 * i), east, north, on(i)))
    return tracks.keep_track([points], source="receiver")


@pytest.mark.parametrize(
    ("on", "shares"),
    [
        (lambda _i: True, [4_000_000, 2_000_000]),  # 400 m and 200 m on one strip of ground each
        (lambda i: i < 50, [3_000_000, 3_000_000]),  # the way back with the discharge off
    ],
)
def test_a_load_is_shared_by_the_length_driven_with_the_discharge_on(farm, on, shares):
    other = builders.make_field(farm.operation)
    parts = [
        PartDraft(farm.field, track_sha256=there_and_back(on)),
        PartDraft(other, track_sha256=straight_north()),
    ]
    load = farm.record(parts=parts, amount_text="6000", amount_unit="gal")
    found = [part.amount_milli for part in load.parts.all()]
    assert found == [pytest.approx(share, abs=20_000) for share in shares]  # 2.5 m of thinning
    assert sum(found) == 6_000_000


def test_the_fall_of_the_scale_goes_before_the_length_driven(farm):
    other = builders.make_field(farm.operation)
    parts = [
        PartDraft(farm.field, track_sha256=there_and_back(), weight_start_text="16,000",
                  weight_stop_text="12,000", amount_unit="lb"),
        PartDraft(other, track_sha256=straight_north(), weight_start_text="12,000",
                  weight_stop_text="0", amount_unit="lb"),
    ]  # fmt: skip
    load = farm.record(parts=parts, amount_text="16000", amount_unit="lb")
    assert [part.amount_milli for part in load.parts.all()] == [4_000_000, 12_000_000]


def test_a_track_beside_noted_acres_counts_by_its_width_and_length(farm):
    other = builders.make_field(farm.operation)
    parts = [
        PartDraft(farm.field, track_sha256=straight_north()),
        PartDraft(other, area_ac="1"),
    ]
    load = farm.record(parts=parts, amount_text="6000", amount_unit="gal")
    acres = 30 * 200 / FT / 43_560  # the builders' spreader is 30 ft wide
    share = 6_000_000 * acres / (acres + 1)
    assert load.parts.all()[0].amount_milli == pytest.approx(share, rel=0.002)


def part_of(load):
    return facts.facts_of(load).parts[0]


def test_acres_of_the_square_are_the_geodesic_ones(farm):
    # 40.290596 ac: pyproj and geographiclib agree (reference on data formats, section 3.1)
    acres, source = acres_of(farm.field.version_on(dt.date(2026, 4, 20)))
    assert round(acres, 6) == 40.290596
    assert source == "boundary"


def test_a_load_without_acres_or_track_is_taken_over_the_whole_field_and_says_so(farm):
    told = part_of(farm.record())
    assert told["covered_from"] == "whole_field"
    assert round(told["covered_ac"], 6) == 40.290596
    # 6,500 gal / 40.290596 ac, by hand
    assert told["rate_per_ac"] == pytest.approx(161.3280, abs=1e-4)
    assert told["rate_unit"] == "gal_per_ac"
    assert (told["footprint"], told["outside_ac"], told["distances_from"]) == (
        None, None, "boundary",
    )  # fmt: skip


def test_noted_acres_carry_the_rate(farm):
    told = part_of(farm.record(parts=[PartDraft(farm.field, area_ac="1.3")]))
    assert (told["covered_from"], told["covered_ac"]) == ("noted", 1.3)
    assert told["rate_per_ac"] == pytest.approx(5000)  # 6,500 gal on 1.3 ac


def test_a_straight_track_covers_length_times_width(farm):
    sha = straight_north()
    load = farm.record(parts=[PartDraft(farm.field, track_sha256=sha)])
    told = part_of(load)
    # 200 m x 30 ft = 200 x 9.144 m2 = 1,828.8 m2 = 0.451906 ac, by hand
    assert told["covered_from"] == "track"
    assert told["covered_ac"] == pytest.approx(0.451906, rel=1e-4)
    assert told["swept_ac"] == pytest.approx(0.451906, rel=1e-4)
    assert told["outside_ac"] == 0
    assert told["rate_per_ac"] == pytest.approx(6500 / 0.451906, rel=1e-4)
    assert load.warnings == []


def test_a_track_beyond_the_boundary_is_kept_with_its_acres_outside(farm):
    # the square ends at 43.0036 N; the track runs 200 m north from 43.0027 N
    load = farm.record(parts=[PartDraft(farm.field, track_sha256=straight_north(south=43.0027))])
    inside_m = GEOD.inv(-89.4975, 43.0027, -89.4975, 43.0036)[2]
    outside_ac = (200 - inside_m) * 9.144 / 4046.8564224
    assert part_of(load)["outside_ac"] == pytest.approx(outside_ac, abs=0.002)
    assert "outside the field's boundary" in load.warnings[0]


def test_a_distance_from_the_track_is_the_geodesic_one_less_half_the_width(farm):
    # a well due east of the middle of the track, 100 m from its line
    east, north, _b = GEOD.fwd(-89.4975, 43.001, 0, 100)
    lon, lat, _b = GEOD.fwd(east, north, 90, 100)
    well = builders.make_feature(
        farm.operation, "well_drinking", {"type": "Point", "coordinates": [lon, lat]},
        uncertainty_ft="4.0",
    )  # fmt: skip
    told = part_of(farm.record(parts=[PartDraft(farm.field, track_sha256=straight_north())]))
    (row,) = told["distances"]
    assert row["feature"] == str(well.pk)
    assert row["distance_ft"] == pytest.approx(100 / FT - 15, abs=0.01)
    # receiver 3.3 ft and feature 4.0 ft put together
    assert row["uncertainty_ft"] == pytest.approx((3.3**2 + 4.0**2) ** 0.5)
    assert told["distances_from"] == "track"


def test_an_unknown_side_reaches_its_full_width_both_ways(farm):
    farm.spreader = builders.make_spreader(farm.operation, discharge_side="unknown")
    east, north, _b = GEOD.fwd(-89.4975, 43.001, 0, 100)
    lon, lat, _b = GEOD.fwd(east, north, 90, 100)
    builders.make_feature(
        farm.operation, "well_drinking", {"type": "Point", "coordinates": [lon, lat]}
    )
    told = part_of(farm.record(parts=[PartDraft(farm.field, track_sha256=straight_north())]))
    assert told["distances"][0]["distance_ft"] == pytest.approx(100 / FT - 30, abs=0.01)
    assert told["covered_ac"] == pytest.approx(0.451906, rel=1e-4)


def test_without_a_track_the_distance_is_from_the_nearest_edge_of_the_field(farm):
    # 100 m east of the eastern edge at -89.495
    lon, lat, _b = GEOD.fwd(-89.495, 43.0018, 90, 100)
    builders.make_feature(farm.operation, "pond", {"type": "Point", "coordinates": [lon, lat]})
    (row,) = part_of(farm.record())["distances"]
    assert row["distance_ft"] == pytest.approx(100 / FT, abs=0.05)


@pytest.mark.parametrize(("metres", "rows"), [(1499 * FT, 1), (1501 * FT, 0)])
def test_features_within_1500_ft_are_listed(farm, metres, rows):
    lon, lat, _b = GEOD.fwd(-89.495, 43.0018, 90, metres)
    builders.make_feature(farm.operation, "pond", {"type": "Point", "coordinates": [lon, lat]})
    assert len(part_of(farm.record())["distances"]) == rows


def test_a_feature_is_asked_on_the_day_of_the_load(farm):
    feature = builders.make_feature(
        farm.operation, "pond", {"type": "Point", "coordinates": [-89.494, 43.001]}
    )
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(
            feature, base_rev=1, values={"from_on": dt.date(2026, 4, 21)}, reason_code="slip",
            reason_text="dug later",
        )  # fmt: skip
    assert part_of(farm.record())["distances"] == []
    later = farm.record(started=dt.datetime.fromisoformat("2026-04-21 09:00"))
    assert len(part_of(later)["distances"]) == 1


def test_a_changed_feature_makes_the_facts_stale(farm):
    place = {"type": "Point", "coordinates": [-89.494, 43.001]}
    feature = builders.make_feature(farm.operation, "pond", place)
    load = Load.objects.get(pk=farm.record().pk)
    assert part_of(load)["distances"][0]["feature_rev"] == 1
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(
            feature, base_rev=1, reason_code="slip", reason_text="surveyed again",
            values={"geometry": {"type": "Point", "coordinates": [-89.493, 43.001]}},
        )  # fmt: skip
    fresh = part_of(Load.objects.get(pk=load.pk))["distances"][0]
    metres = GEOD.inv(-89.495, 43.001, -89.493, 43.001)[2]
    assert fresh["feature_rev"] == 2
    assert fresh["distance_ft"] == pytest.approx(metres / FT, abs=0.05)


def test_an_unrelated_change_keeps_the_facts_without_computing_them_again(farm):
    load = farm.record()
    before = LoadFacts.objects.get(pk=load.pk)
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(
            farm.spreader, base_rev=1, values={"owner_name": "Ridge Hauling"},
            reason_code="slip", reason_text="bought",
        )  # fmt: skip
    assert LoadFacts.objects.get(pk=load.pk).load_rev == facts.STALE
    again = facts.facts_of(Load.objects.get(pk=load.pk))
    assert (again.computed_at, again.load_rev) == (before.computed_at, load.rev)


def test_a_field_without_a_boundary_tells_no_distance(farm):
    bare = builders.make_field(farm.operation, boundary=None)
    builders.make_feature(
        farm.operation, "pond", {"type": "Point", "coordinates": [-89.494, 43.001]}
    )
    told = part_of(farm.record(parts=[PartDraft(bare)]))
    assert (told["covered_ac"], told["covered_from"], told["rate_per_ac"]) == (None, None, None)
    assert (told["distances"], told["distances_from"]) == ([], None)


def test_a_track_without_a_working_width_says_why_it_tells_nothing(farm):
    farm.spreader = builders.make_spreader(farm.operation, rated_width_ft=None)
    told = part_of(farm.record(parts=[PartDraft(farm.field, track_sha256=straight_north())]))
    assert "width" in told["trouble"]
    assert told["covered_from"] == "whole_field"


def test_facts_of_many_loads_take_a_fixed_number_of_queries(farm):
    loads = [farm.record() for _n in range(4)]

    def queries(some):
        LoadFacts.objects.all().delete()
        fresh = list(Load.objects.filter(pk__in=[load.pk for load in some]))
        with CaptureQueriesContext(
            connection,
        ) as caught:
            facts.facts_for(fresh)
        return len(caught)

    queries(loads)
    assert queries(loads[:1]) == queries(loads)


def test_a_kept_track_reads_back_as_it_was(farm):
    sha = tracks.keep_track(
        [[(START, -89.5, 43.0, True), (None, -89.4999999, 43.0000001, False)]], uncertainty_ft=2.5
    )
    track = tracks.track_of(sha)
    assert track.uncertainty_ft == 2.5
    assert [(p.at_s, p.lon, p.lat, p.on) for p in track.points] == [
        (0.0, -89.5, 43.0, True), (None, -89.4999999, 43.0000001, False),
    ]  # fmt: skip
