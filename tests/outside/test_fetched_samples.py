"""Sample files that ship inside registry packages, read by us and by the packages themselves.

Source packages (never copied into the repository): gpxpy 1.6.2 (tracks), pyshp 3.1.6 (Shapefiles),
pynws 2.1.0 (answers of the public weather service). No registry package ships a TASKDATA set, a
weigh-cell log, an NMEA log, SSURGO, GHCN or NHD files; for those the checks are our own files.
"""

import json

import pytest
import shapefile
from shapely.geometry import shape

from farmrecords.calculations.geodesy import area_ac
from farmrecords.formats.common import FormatError
from farmrecords.formats.gpx import read_track
from farmrecords.formats.shapefile_zip import read_shapefile
from farmrecords.formats.weather_service import read_forecast, read_observations, read_point
from tests.outside.fetched import shipped

TRACKS = (
    "around-visnjan-with-car", "cerknicko-jezero", "cerknicko-jezero-no-creator",
    "cerknicko-jezero-with-elevations-zero", "cerknicko-jezero-without-elevations",
    "cerknicko-without-times", "first_and_last_elevation", "gpx-with-node-with-comments",
    "korita-zbevnica", "track-with-empty-segment", "track-with-extremes",
    "track-with-less-sec-time", "track-with-small-floats", "track_with_dilution_errors",
    "track_with_speed",
)  # fmt: skip
NO_TRACKS = (
    "custom_schema_locations", "default_schema_locations", "gpx1.1_with_extensions", "route",
    "unicode", "unicode2", "unicode_with_bom", "unicode_with_bom_noencoding",
    "gpx_with_garmin_extension", "gpx1.1_with_extensions_without_namespaces",
)  # fmt: skip
ASKED = ("gpx1.0_with_all_fields", "gpx1.1_with_all_fields", "validation_gpx10", "validation_gpx11")
REFUSED = ("Mojstrovka",)  # its times are of 1901


def track_file(name):
    return shipped("gpxpy-1.6.2", "test_files", f"{name}.gpx").read_bytes()


@pytest.mark.parametrize("name", TRACKS)
def test_a_track_has_the_points_and_times_its_own_package_reads(name):
    import gpxpy

    data = track_file(name)
    found = read_track(data, zone="Europe/Zagreb")
    assert found.ready
    ours = [
        [(p.lon, p.lat, p.at and p.at.replace(microsecond=0)) for p in segment.points]
        for segment in found.items
    ]
    theirs = [
        [
            (p.longitude, p.latitude, p.time and p.time.replace(microsecond=0))
            for p in segment.points
        ]
        for track in gpxpy.parse(data.decode("utf-8-sig")).tracks
        for segment in track.segments
        if segment.points
    ]
    assert ours == theirs


@pytest.mark.parametrize("name", NO_TRACKS)
def test_a_file_without_track_points_is_refused_in_words(name):
    with pytest.raises(FormatError, match="no track"):
        read_track(track_file(name), zone="Europe/Zagreb")


@pytest.mark.parametrize("name", ASKED)
def test_times_without_a_zone_are_asked(name):
    assert [q.key for q in read_track(track_file(name)).needs] == ["naive_times"]


@pytest.mark.parametrize("name", REFUSED)
def test_times_that_cannot_be_are_refused_point_by_point(name):
    assert "1901" in read_track(track_file(name)).rejected[0].value


def test_every_track_the_package_ships_is_named_here():
    place = shipped("gpxpy-1.6.2", "test_files")
    assert {path.stem for path in place.glob("*.gpx")} == {*TRACKS, *NO_TRACKS, *ASKED, *REFUSED}


def shapes(name):
    return shipped("pyshp-3.1.6", "tests", "shapefiles", name)


def test_663_outlines_have_the_area_their_own_package_reads():
    data = shapes("blockgroups.zip").read_bytes()
    assert [q.key for q in read_shapefile(data).needs] == ["projection"]
    found = read_shapefile(data, answers={"projection": "wgs84"})
    assert (len(found.items), found.rejected) == (663, [])
    with shapefile.Reader(str(shapes("blockgroups.shp"))) as reader:
        theirs = [shape(row.__geo_interface__) for row in reader.shapes()]
    for ours, other in zip(found.items, theirs, strict=True):
        assert area_ac(ours.geometry) == pytest.approx(area_ac(other), rel=1e-9)


def test_an_outline_in_a_national_projection_lies_where_it_belongs():
    (row,) = read_shapefile(shapes("REL.zip").read_bytes()).items
    west, south, east, north = row.geometry.bounds
    assert (9 < west < east < 18, 46 < south < north < 50) == (True, True)  # Austria


def test_several_layers_are_asked_and_an_empty_archive_is_refused():
    found = read_shapefile(shapes("blockgroups_multishapefile.zip").read_bytes())
    assert [q.key for q in found.needs] == ["layer"]
    with pytest.raises(FormatError, match=r"no \.shp"):
        read_shapefile(shapes("empty_zipfile.zip").read_bytes())


def answer(name):
    return shipped("pynws-2.1.0", "tests", "fixtures", f"{name}.json").read_bytes()


def test_a_grid_forecast_has_every_amount_of_rain_its_answer_states():
    data = answer("detailed_forecast")
    (forecast,) = read_forecast(data).items
    stated = json.loads(data)["properties"]["quantitativePrecipitation"]["values"]
    assert len(stated) == 27
    ours = forecast.of("precipitation_mm")
    assert [one.value for one in ours] == [one["value"] for one in stated]
    assert f"{ours[0].start:%Y-%m-%dT%H:%M:%S}+00:00" == stated[0]["validTime"].split("/")[0]


def test_a_point_names_its_grid_cell():
    point = read_point(answer("points"))
    assert (point.office, point.x, point.y) == ("TAE", 58, 65)


@pytest.mark.parametrize(
    ("name", "at", "celsius", "metres_per_s"),
    [
        ("stations_observations", "2019-06-27T10:53", 10, 10),
        ("stations_observations_other_unitcode", "2019-06-27T10:53", 10, 10),
        # 10 degF and 10 km/h
        ("stations_observations_alternate_units", "2019-06-27T10:53", -110 / 9, 10 / 3.6),
        ("stations_observations_latest", "2022-03-02T23:53", 22.8, 2.1),
    ],
)
def test_observations_are_converted_by_their_unit(name, at, celsius, metres_per_s):
    (row,) = read_observations(answer(name)).items
    assert f"{row.at:%Y-%m-%dT%H:%M}" == at
    assert row.values["temperature_c"] == pytest.approx(celsius)
    assert row.values["wind_m_per_s"] == pytest.approx(metres_per_s)


def test_unsorted_observations_are_put_in_order_and_texts_for_numbers_refused():
    rows = read_observations(answer("stations_observations_multiple_unsorted")).items
    assert [row.at for row in rows] == sorted(row.at for row in rows)
    assert len(rows) == 2
    assert read_observations(answer("stations_observations_strings")).rejected


@pytest.mark.parametrize("name", ["alerts_active_zone", "gridpoints_stations", "points"])
def test_another_answer_of_the_service_gives_no_forecast(name):
    with pytest.raises(FormatError):
        read_forecast(answer(name))
