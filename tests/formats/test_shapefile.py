"""Zipped Shapefiles: projection from the .prj or asked for, rings grouped, damage named.

Files are written by pyshp and also read by it, as the outside check.
"""

import io
import math
import re
import struct

import pytest
import shapefile
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pyproj import CRS, Transformer

from farmrecords.formats.common import FormatError
from farmrecords.formats.outlines import acres
from farmrecords.formats.projections import projection_of
from farmrecords.formats.rings import grouped_rings
from farmrecords.formats.shapefile_zip import read_shapefile
from farmrecords.formats.shp import shapes_of
from tests.formats.samples import QUAD, packed

WGS84_PRJ = CRS.from_epsg(4326).to_wkt("WKT1_ESRI")


def shape_files(parts_list, kind=shapefile.POLYGON, names=None, encoding="utf-8"):
    """The three members pyshp writes for a list of shapes, each a list of rings."""
    shp, shx, dbf = io.BytesIO(), io.BytesIO(), io.BytesIO()
    with shapefile.Writer(shp=shp, shx=shx, dbf=dbf, shapeType=kind, encoding=encoding) as writer:
        writer.field("NAME", "C", 20)
        writer.field("ACRES", "N", 10, 2)
        for number, parts in enumerate(parts_list):
            if kind in (shapefile.POINT,):
                writer.point(*parts)
            elif kind == shapefile.POLYLINE:
                writer.line(parts)
            else:
                writer.poly(parts)
            writer.record((names or [f"F{number}"])[number % len(names or [1])], 40.29)
    return {"f.shp": shp.getvalue(), "f.shx": shx.getvalue(), "f.dbf": dbf.getvalue()}


def clockwise(ring):
    return list(ring)[::-1]


GOOD = packed(shape_files([[clockwise(QUAD)]]) | {"f.prj": WGS84_PRJ})


def test_a_good_shapefile_is_read_with_names_and_acres():
    result = read_shapefile(GOOD)
    assert result.ready
    row = result.items[0]
    assert (row.name, row.properties["ACRES"]) == ("F0", 40.29)
    assert acres(row.geometry) == pytest.approx(40.290596, abs=5e-7)
    assert row.geometry.exterior.is_ccw


# NAD83 / UTM 16N, Wisconsin South in US survey feet, web Mercator: as farms receive them.
@pytest.mark.parametrize("code", [26916, 2289, 3857, 4269, 5070])
def test_a_projected_shapefile_comes_out_where_it_lies(code):
    there = Transformer.from_crs(4326, code, always_xy=True)
    ring = [there.transform(x, y) for x, y in QUAD]
    prj = CRS.from_epsg(code).to_wkt("WKT1_ESRI")
    result = read_shapefile(packed(shape_files([[clockwise(ring)]]) | {"f.prj": prj}))
    assert result.ready
    assert acres(result.items[0].geometry) == pytest.approx(40.290596, rel=1e-5)
    assert result.items[0].geometry.bounds == pytest.approx(
        (-89.5, 43.0, -89.495, 43.0036), abs=1e-6
    )
    assert any("operation to WGS84" in warning for warning in result.warnings)


def test_the_datum_of_1927_is_warned_about():
    prj = CRS.from_epsg(26716).to_wkt("WKT1_ESRI")
    ring = [(300_000.0, 4_760_000.0), (300_000.0, 4_760_400.0), (300_400.0, 4_760_000.0)]
    result = read_shapefile(packed(shape_files([[[*ring, ring[0]]]]) | {"f.prj": prj}))
    assert any("datum of 1927" in warning for warning in result.warnings)


def test_without_a_projection_it_is_asked_not_guessed():
    data = packed(shape_files([[clockwise(QUAD)]]))
    asked = read_shapefile(data)
    assert [question.key for question in asked.needs] == ["projection"]
    assert not asked.items
    assert read_shapefile(data, answers={"projection": "wgs84"}).ready
    metres = packed(
        shape_files([[[(3e5, 4.76e6), (3e5, 4.7604e6), (3.004e5, 4.76e6), (3e5, 4.76e6)]]])
    )
    question = read_shapefile(metres).needs[0]
    assert question.choices == ()
    placed = read_shapefile(metres, answers={"projection": "EPSG:26916"})
    assert placed.items[0].geometry.centroid.y == pytest.approx(43, abs=0.1)


@pytest.mark.parametrize("answer", ["EPSG:0", "EPSG:x", "here", "EPSG:4978", "+proj=utm +zone=16"])
def test_a_projection_that_is_none_is_refused(answer):
    data = packed(shape_files([[clockwise(QUAD)]]))
    with pytest.raises(FormatError, match="projection"):
        read_shapefile(data, answers={"projection": answer})


def test_a_projection_that_opens_files_is_refused():
    with pytest.raises(FormatError, match="other files"):
        projection_of('PARAMETERFILE["/etc/passwd"]')


def test_several_layers_are_asked_about():
    members = shape_files([[clockwise(QUAD)]]) | {"f.prj": WGS84_PRJ}
    both = members | {name.replace("f.", "sub/g."): content for name, content in members.items()}
    asked = read_shapefile(packed(both))
    assert [choice.value for choice in asked.needs[0].choices] == ["f.shp", "sub/g.shp"]
    assert read_shapefile(packed(both), answers={"layer": "sub/g.shp"}).ready


def test_a_missing_index_or_table_is_survived():
    members = shape_files([[clockwise(QUAD)]]) | {"f.prj": WGS84_PRJ}
    del members["f.shx"]
    assert read_shapefile(packed(members)).ready
    del members["f.dbf"]
    result = read_shapefile(packed(members))
    assert result.items[0].name == ""
    assert any("no names" in warning for warning in result.warnings)


@pytest.mark.parametrize(
    ("encoding", "cpg"), [("utf-8", ""), ("cp1252", ""), ("latin-1", "ISO-8859-1")]
)
def test_names_with_accents_are_read_in_their_encoding(encoding, cpg):
    members = shape_files([[clockwise(QUAD)]], names=["Peña"], encoding=encoding)
    members |= {"f.prj": WGS84_PRJ} | ({"f.cpg": cpg} if cpg else {})
    assert read_shapefile(packed(members)).items[0].name == "Peña"


def test_points_and_lines_are_read():
    points = packed(shape_files([QUAD[0]], shapefile.POINT) | {"f.prj": WGS84_PRJ})
    lines = packed(shape_files([[QUAD[:2], QUAD[2:4]]], shapefile.POLYLINE) | {"f.prj": WGS84_PRJ})
    assert read_shapefile(points).items[0].geometry.geom_type == "Point"
    assert read_shapefile(lines).items[0].geometry.geom_type == "MultiLineString"


def square(x, y, size, *, hole=False):
    ring = [(x, y), (x, y + size), (x + size, y + size), (x + size, y), (x, y)]
    return ring[::-1] if hole else ring


def test_a_hole_goes_to_the_smallest_outline_around_it():
    rings = [square(0, 0, 100), square(10, 10, 50, hole=True), square(20, 20, 10),
             square(22, 22, 2, hole=True), square(200, 0, 5, hole=True)]  # fmt: skip
    polygons = grouped_rings(rings)
    assert [len(polygon) for polygon in polygons] == [2, 2, 1]
    assert polygons[1][1] == rings[3]


@given(
    st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=1, max_size=8, unique=True)
)
def test_rings_are_grouped_as_the_other_reader_groups_them(cells):
    rings = [ring for x, y in cells for ring in
             (square(x * 10, y * 10, 8), square(x * 10 + 2, y * 10 + 2, 3, hole=True))]  # fmt: skip
    members = shape_files([rings])
    theirs = shapefile.Reader(shp=io.BytesIO(members["f.shp"])).shape(0).__geo_interface__
    (kind, coordinates), = shapes_of(members["f.shp"])  # fmt: skip
    ours = shapely.geometry.shape({"type": kind, "coordinates": coordinates})
    assert ours.equals(shapely.geometry.shape(theirs))
    assert math.isclose(ours.area, len(cells) * (64 - 9))


def patched(data, at, form, value):
    return data[:at] + struct.pack(form, value) + data[at + struct.calcsize(form) :]


SHP = shape_files([[clockwise(QUAD)]])["f.shp"]


@pytest.mark.parametrize(
    "shp",
    [
        b"",
        SHP[:99],
        SHP[:-1],
        SHP[:-20],
        SHP + b"x",
        patched(SHP, 0, ">i", 1),
        patched(SHP, 104, ">i", -8),
        patched(SHP, 104, ">i", 2**31 - 1),
        patched(SHP, 104, ">i", 0),
        patched(SHP, 108, "<i", 31),
        patched(SHP, 108, "<i", -5),
        patched(SHP, 108, "<i", 2),
        patched(SHP, 144, "<i", 2**31 - 1),
        patched(SHP, 144, "<i", 0),
        patched(SHP, 148, "<i", 2**31 - 1),
        patched(SHP, 148, "<i", -1),
        patched(SHP, 152, "<i", 3),
        SHP[:100] + (struct.pack(">ii", 1, 2) + struct.pack("<i", 0)) * 3_000,
    ],
)
def test_a_damaged_shape_is_refused(shp):
    with pytest.raises(FormatError):
        list(shapes_of(shp))


def test_a_coordinate_that_is_no_number_is_refused_by_row():
    bad = patched(SHP, 156, "<d", math.nan)
    members = shape_files([[clockwise(QUAD)]]) | {"f.shp": bad, "f.prj": WGS84_PRJ}
    result = read_shapefile(packed(members))
    assert [(r.row, r.value) for r in result.rejected] == [(1, "F0")]


DBF = shape_files([[clockwise(QUAD)]])["f.dbf"]


@pytest.mark.parametrize(
    "dbf",
    [
        DBF[:20],
        DBF[:-5],
        patched(DBF, 4, "<I", 2**32 - 1),
        patched(DBF, 10, "<H", 0),
        patched(DBF, 10, "<H", 65535),
    ],
)
def test_a_damaged_table_is_refused(dbf):
    members = shape_files([[clockwise(QUAD)]]) | {"f.dbf": dbf, "f.prj": WGS84_PRJ}
    with pytest.raises(FormatError, match="dbf"):
        read_shapefile(packed(members))


@pytest.mark.parametrize("data", [b"", SHP, packed({"readme.txt": b"x"}), packed({})])
def test_a_file_without_shapes_is_refused(data):
    with pytest.raises(FormatError):
        read_shapefile(data)


# Codes with one way to WGS84 and with several, of which the library chooses by place.
@pytest.mark.parametrize(
    ("code", "at"), [(26916, (400_000, 4_760_000)), (31287, (400_000, 400_000))]
)
def test_the_operation_that_was_used_is_named_with_its_accuracy(code, at):
    projection = projection_of(f"EPSG:{code}")
    projection.to_wgs84([at])
    (note,) = projection.notes
    assert "to WGS 84" in note
    assert re.search(r"stated accuracy [0-9.]+ m", note)
