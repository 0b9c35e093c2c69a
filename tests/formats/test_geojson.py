"""GeoJSON (RFC 7946): good, odd and hostile files; nothing repaired without being asked."""

import json
import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.formats.common import FormatError
from farmrecords.formats.geojson import read_features
from farmrecords.formats.outlines import acres
from tests.formats.writers import write_features

# A quad of 40.290596 ac, where pyproj,
# geographiclib and the Planimeter program agree.
QUAD = [[-89.5, 43.0], [-89.495, 43.0], [-89.495, 43.0036], [-89.5, 43.0036], [-89.5, 43.0]]
QUAD_AC = 40.290596
BOW_TIE = [[-89.5, 43.0], [-89.495, 43.0036], [-89.495, 43.0], [-89.5, 43.0036], [-89.5, 43.0]]
WISCONSIN = (-93.0, 42.4, -86.7, 47.1)  # rounded outward [memory]


def feature(geometry, **properties):
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def polygon(*rings):
    return {"type": "Polygon", "coordinates": list(rings)}


def collection(*features, **more):
    return json.dumps({"type": "FeatureCollection", "features": list(features), **more}).encode()


def turned(ring):
    return [[y, x] for x, y in ring]


def test_a_good_boundary_has_its_geodesic_acres():
    result = read_features(collection(feature(polygon(QUAD), name="North forty", kind="field")))
    assert result.ready
    row = result.items[0]
    assert (row.name, row.kind, row.row_number) == ("North forty", "field", 1)
    assert acres(row.geometry) == pytest.approx(QUAD_AC, abs=5e-7)
    assert row.repaired is None


def test_a_hole_is_taken_off_the_acres():
    hole = [[-89.499, 43.001], [-89.499, 43.002], [-89.498, 43.002], [-89.498, 43.001]]
    whole = read_features(collection(feature(polygon(hole + hole[:1])))).items[0]
    holed = read_features(collection(feature(polygon(QUAD, hole + hole[:1])))).items[0]
    assert acres(holed.geometry) == pytest.approx(QUAD_AC - acres(whole.geometry), abs=1e-6)


# RFC 7946, 3.1.6: outer rings counter-clockwise; readers should not refuse the other winding.
@pytest.mark.parametrize("ring", [QUAD, QUAD[::-1]])
def test_winding_is_put_right(ring):
    row = read_features(collection(feature(polygon(ring)))).items[0]
    assert row.geometry.exterior.is_ccw


@pytest.mark.parametrize(
    "geometry",
    [
        {"type": "Point", "coordinates": [-89.5, 43.0]},
        {"type": "Point", "coordinates": [-89.5, 43.0, 265.1]},
        {"type": "MultiPoint", "coordinates": [[-89.5, 43.0], [-89.4, 43.0]]},
        {"type": "LineString", "coordinates": QUAD[:2]},
        {"type": "MultiLineString", "coordinates": [QUAD[:2], QUAD[2:4]]},
        {"type": "MultiPolygon", "coordinates": [[QUAD]]},
    ],
)
def test_every_kind_of_geometry_is_read_bare_or_as_a_feature(geometry):
    bare = read_features(json.dumps(geometry).encode())
    whole = read_features(json.dumps(feature(geometry)).encode())
    assert bare.ready
    assert bare.items[0].geometry.geom_type == geometry["type"]
    assert whole.items[0].geometry.equals(bare.items[0].geometry)
    assert not bare.items[0].geometry.has_z


def test_an_open_ring_is_closed_and_the_gap_is_said_in_feet():
    result = read_features(collection(feature(polygon(QUAD[:-1]), name="North")))
    assert acres(result.items[0].geometry) == pytest.approx(QUAD_AC, abs=5e-7)
    assert result.warnings[0].startswith("North: the outline was open; it was closed over a gap")


def test_a_crossed_outline_is_asked_about_with_acres_before_and_after():
    data = collection(feature(polygon(BOW_TIE), name="Bow"), feature(polygon(QUAD)))
    asked = read_features(data)
    assert [question.key for question in asked.needs] == ["repair:1"]
    assert not asked.ready
    repair = asked.items[0].repaired
    # Two lobes of a quarter each; a plain area formula lets them cancel (section 3.3).
    assert repair.acres_before == pytest.approx(0, abs=0.01)
    assert repair.acres_after == pytest.approx(QUAD_AC / 2, rel=1e-3)
    assert "20.15 acres instead of 0.00" in asked.needs[0].asked
    taken = read_features(data, answers={"repair:1": "accept"})
    assert taken.ready
    assert taken.items[0].geometry.is_valid
    assert "mended as answered" in taken.warnings[0]
    refused = read_features(data, answers={"repair:1": "refuse"})
    assert [(r.row, r.value) for r in refused.rejected] == [(1, "Bow")]
    assert len(refused.items) == 1


def test_exchanged_coordinates_are_noticed_and_turned_only_when_told():
    data = collection(feature(polygon(turned(QUAD))))
    asked = read_features(data)
    assert [question.key for question in asked.needs] == ["swap"]
    told = read_features(data, answers={"swap": "swap"})
    assert told.ready
    assert acres(told.items[0].geometry) == pytest.approx(QUAD_AC, abs=5e-7)
    kept = read_features(data, answers={"swap": "keep"})
    assert kept.items[0].geometry.bounds[0] == 43.0


def test_a_latitude_beyond_the_pole_is_noticed_as_exchanged_too():
    ring = [[41.6, -93.6], [41.6, -93.5], [41.7, -93.5], [41.6, -93.6]]
    assert read_features(collection(feature(polygon(ring)))).needs[0].key == "swap"


def test_a_feature_outside_the_expected_area_is_asked_about():
    far = [[x + 20, y] for x, y in QUAD]
    data = collection(feature(polygon(QUAD), name="Home"), feature(polygon(far), name="Far"))
    asked = read_features(data, box=WISCONSIN)
    assert [question.key for question in asked.needs] == ["outside"]
    assert "Far" in asked.needs[0].asked
    kept = read_features(data, box=WISCONSIN, answers={"outside": "keep"})
    left = read_features(data, box=WISCONSIN, answers={"outside": "leave"})
    assert (len(kept.items), len(left.items)) == (2, 1)
    assert kept.ready
    assert left.ready


@pytest.mark.parametrize(
    ("name", "good"),
    [
        ("urn:ogc:def:crs:OGC:1.3:CRS84", True),
        ("EPSG:4326", True),
        ("EPSG:26916", False),
        ("urn:ogc:def:crs:EPSG::3857", False),
        ("", False),
    ],
)
def test_another_projection_named_in_the_file_is_refused(name, good):
    data = collection(feature(polygon(QUAD)), crs={"type": "name", "properties": {"name": name}})
    if good:
        assert read_features(data).ready
        return
    with pytest.raises(FormatError, match="another projection"):
        read_features(data)


def test_a_repeated_key_and_a_repeated_name_are_said():
    text = collection(feature(polygon(QUAD), name="A"), feature(polygon(QUAD), name="a")).decode()
    text = text.replace('{"name": "A"}', '{"name": "B", "name": "A"}')
    warnings = read_features(text.encode()).warnings
    assert any("twice in one object (name)" in warning for warning in warnings)
    assert any("same name" in warning for warning in warnings)


@pytest.mark.parametrize(
    ("geometry", "word"),
    [
        ({"type": "Point", "coordinates": [500000, 4700000]}, "no longitude"),
        ({"type": "Point", "coordinates": [180.0001, 0]}, "no longitude"),
        ({"type": "Point", "coordinates": [0, -90.0001]}, "no longitude"),
        ({"type": "Point", "coordinates": [True, 1]}, "no coordinate"),
        ({"type": "Point", "coordinates": ["-89.5", "43"]}, "no coordinate"),
        ({"type": "Point", "coordinates": [10**400, 1]}, "no coordinate"),
        ({"type": "Point", "coordinates": [1]}, "two numbers"),
        ({"type": "Point", "coordinates": None}, "two numbers"),
        ({"type": "LineString", "coordinates": [[179, 0], [-179, 0]]}, "around the world"),
        ({"type": "LineString", "coordinates": [[1, 1], [1, 1]]}, "two different"),
        ({"type": "LineString", "coordinates": []}, "no points"),
        (polygon(), "no points"),
        (polygon([]), "no points"),
        (polygon([[1, 1], [2, 2], [1, 1]]), "three different"),
        (polygon([[1, 1], [2, 2], [3, 3], [1, 1]]), "no ground"),
        (polygon([[1, 1], [1.00001, 1], [1.00001, 1.00001], [1, 1]]), "less than"),
        ({"type": "GeometryCollection", "geometries": []}, "not read"),
        (None, "not read"),
        ({"type": "Circle"}, "not read"),
    ],
)
def test_a_bad_geometry_is_refused_by_name(geometry, word):
    result = read_features(collection(feature(geometry, name="Bad"), feature(polygon(QUAD))))
    assert [(bad.row, bad.value) for bad in result.rejected] == [(1, "Bad")]
    assert word in result.rejected[0].reason
    assert len(result.items) == 1
    assert not result.ready


def test_positions_on_the_edge_of_the_range_are_read():
    ends = {"type": "MultiPoint", "coordinates": [[-90, -90], [90, 90]]}
    assert read_features(json.dumps(ends).encode()).ready
    assert read_features(b'{"type": "Point", "coordinates": [180, 0]}').ready


@pytest.mark.parametrize("text", ["NaN", "Infinity", "-Infinity"])
def test_what_is_no_number_in_json_is_refused(text):
    with pytest.raises(FormatError, match="not a number"):
        read_features(f'{{"type": "Point", "coordinates": [{text}, 1]}}'.encode())


def test_a_number_too_large_for_a_coordinate_is_refused():
    result = read_features(b'{"type": "Point", "coordinates": [1e999, 1]}')
    assert "no coordinate" in result.rejected[0].reason


def star(count):
    """An outline of random points: it crosses itself about as often as it can."""
    chance = random.Random(7)
    ring = [[-89.5 + chance.random() / 100, 43 + chance.random() / 100] for _ in range(count)]
    return ring + ring[:1]


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"[]",
        b"null",
        b'"x"',
        b'{"type": "FeatureCollection"}',
        b'{"type": "FeatureCollection", "features": []}',
        b'{"type": "FeatureCollection", "features": [1]}',
        b'{"type": "FeatureCollection", "features": [',
        b"[" * 100_000 + b"]" * 100_000,
        b'{"a":' * 50_000,
        b"[" * 45 + b"]" * 45,
        b"[" + b"[]," * 500_000 + b"[]]",
        b"[" + b"1" * 10_000 + b"]",
        b"[" + b"1," * 3_000_000 + b"1]",
    ],
)
def test_a_hostile_file_is_refused_with_a_reason(data):
    with pytest.raises(FormatError) as refused:
        read_features(data)
    assert refused.value.reason


def test_a_file_that_is_some_other_json_is_no_boundary():
    assert "not read" in read_features(b"{}").rejected[0].reason


def test_an_outline_that_crosses_itself_without_end_is_refused_not_mended():
    result = read_features(collection(feature(polygon(star(5_000)))))
    assert "cross themselves more than" in result.rejected[0].reason


def test_many_crossed_outlines_share_one_allowance():
    features = [feature(polygon(star(100)), name=str(i)) for i in range(60)]
    result = read_features(collection(*features))
    assert result.items
    assert any("cross themselves more than" in bad.reason for bad in result.rejected)


def test_limits_hold_on_both_sides(monkeypatch):
    monkeypatch.setattr("farmrecords.formats.shapes.MAX_VERTICES_PER_GEOMETRY", 5)
    assert read_features(collection(feature(polygon(QUAD)))).ready
    monkeypatch.setattr("farmrecords.formats.shapes.MAX_VERTICES_PER_GEOMETRY", 4)
    assert (
        "more than 4 points" in read_features(collection(feature(polygon(QUAD)))).rejected[0].reason
    )
    monkeypatch.setattr("farmrecords.formats.shapes.MAX_VERTICES_PER_GEOMETRY", 100)
    monkeypatch.setattr("farmrecords.formats.features.MAX_FEATURES", 1)
    assert read_features(collection(feature(polygon(QUAD)))).ready
    with pytest.raises(FormatError, match="more than 1 features"):
        read_features(collection(feature(polygon(QUAD)), feature(polygon(QUAD))))
    monkeypatch.setattr("farmrecords.formats.features.MAX_VERTICES", 4)
    with pytest.raises(FormatError, match="more than 4 points"):
        read_features(collection(feature(polygon(QUAD))))


@pytest.mark.parametrize("name", ["\ud800", "a\u0000b"])
def test_a_text_that_cannot_be_stored_is_refused(name):
    result = read_features(collection(feature(polygon(QUAD), name=name)))
    assert len(result.rejected) == 1


lons = st.integers(-1_200_000_000, -700_000_000).map(lambda n: n / 1e7)
lats = st.integers(250_000_000, 480_000_000).map(lambda n: n / 1e7)
sizes = st.floats(0.001, 0.05)
words = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=30).map(str.strip)


@given(st.lists(st.tuples(lons, lats, sizes, st.integers(3, 12), words), min_size=1, max_size=4))
def test_features_written_and_read_again_are_the_same(drawn):
    features = []
    for lon, lat, size, corners, name in drawn:
        turn = [2 * math.pi * i / corners for i in range(corners)]
        ring = [[lon + size * math.cos(a), lat + size * math.sin(a)] for a in turn]
        features.append(feature(polygon(ring + ring[:1]), name=name))
    first = read_features(collection(*features))
    again = read_features(write_features(first.items))
    assert [row.name for row in again.items] == [row.name for row in first.items]
    assert all(a.geometry.equals(b.geometry) for a, b in zip(again.items, first.items, strict=True))
    assert [row.properties for row in again.items] == [row.properties for row in first.items]
