"""KML 2.2 and KMZ: outlines, paths, folders; nothing fetched, nothing closed unasked."""

import io
import zipfile

import pytest

from farmrecords.formats.common import FormatError
from farmrecords.formats.kml import read_kml
from farmrecords.formats.outlines import acres
from tests.formats.samples import QUAD, packed

RING = " ".join(f"{x},{y},265" for x, y in QUAD)
HOLE = "-89.499,43.001 -89.499,43.002 -89.498,43.002 -89.499,43.001"
OUTER = f"<outerBoundaryIs><LinearRing><coordinates>\n{RING}\n</coordinates></LinearRing>"
OUTER += "</outerBoundaryIs>"
INNER = f"<innerBoundaryIs><LinearRing><coordinates>{HOLE}</coordinates></LinearRing>"
INNER += "</innerBoundaryIs>"
POLYGON = f"<Polygon>{OUTER}</Polygon>"


def kml(*places, folder=""):
    body = "".join(f"<Placemark>{place}</Placemark>" for place in places)
    if folder:
        body = f"<Folder><name>{folder}</name>{body}</Folder>"
    return (
        '<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
        f"<Style id='s'><LineStyle/></Style>{body}</Document></kml>"
    ).encode()


def path(*positions):
    text = " ".join(f"{x},{y}" for x, y in positions)
    return f"<LineString><coordinates>{text}</coordinates></LineString>"


def test_a_good_outline_is_read_with_name_folder_and_acres():
    result = read_kml(kml(f"<name>North forty</name>{POLYGON}", folder="Fields"))
    assert result.ready
    row = result.items[0]
    assert (row.name, row.kind) == ("North forty", "Fields")
    # Reference on data formats, section 3.1: 40.290596 ac.
    assert acres(row.geometry) == pytest.approx(40.290596, abs=5e-7)


def test_holes_shapes_together_and_data_are_read():
    data = (
        '<ExtendedData><SchemaData><SimpleData name="NAME">12B</SimpleData></SchemaData>'
        '<Data name="kind"><value>field</value></Data></ExtendedData>'
    )
    other = POLYGON.replace("-89.", "-88.")
    both = f"<MultiGeometry>{POLYGON}<MultiGeometry>{other}</MultiGeometry></MultiGeometry>"
    result = read_kml(kml(f"<Polygon>{OUTER}{INNER}</Polygon>{data}", both))
    assert len(result.items[0].geometry.interiors) == 1
    assert (result.items[0].name, result.items[0].kind) == ("12B", "field")
    assert result.items[1].geometry.geom_type == "MultiPolygon"


def test_the_first_map_at_the_root_of_a_kmz_is_read():
    other = kml(f"<name>Other</name>{POLYGON}")
    data = packed({"files/a.kml": other, "doc.kml": kml(f"<name>Right</name>{POLYGON}")})
    assert read_kml(data).items[0].name == "Right"


def test_a_closed_path_is_asked_about_before_it_becomes_an_outline():
    data = kml(f"<name>Back</name>{path(*QUAD)}")
    asked = read_kml(data)
    assert [question.key for question in asked.needs] == ["close:1"]
    outline = read_kml(data, answers={"close:1": "outline"})
    line = read_kml(data, answers={"close:1": "line"})
    assert outline.items[0].geometry.geom_type == "Polygon"
    assert line.items[0].geometry.geom_type == "LineString"
    assert outline.ready
    assert line.ready


# The open side of the quad is a quarter of its length; a gap of 5 % counts as nearly closed.
def test_an_open_path_stays_a_line_without_a_question():
    assert read_kml(kml(path(*QUAD[:4]))).ready
    nearly = (*QUAD[:4], (-89.49999, 43.0))
    assert read_kml(kml(path(*nearly))).needs


def test_links_are_never_followed_and_empty_places_are_said():
    data = kml("<name>Note</name>", POLYGON).replace(
        b"</Document>",
        b"<NetworkLink><Link><href>http://127.0.0.1:9/x</href></Link></NetworkLink></Document>",
    )
    warnings = read_kml(data).warnings
    assert any("not fetched" in warning for warning in warnings)
    assert any("without a shape" in warning for warning in warnings)


@pytest.mark.parametrize(
    ("place", "word"),
    [
        ("<Point><coordinates>NaN,43</coordinates></Point>", "no coordinate"),
        ("<Point><coordinates>-89.5</coordinates></Point>", "two numbers"),
        ("<Point><coordinates>-89.5, 43.0</coordinates></Point>", "no coordinate"),
        ("<Point><coordinates>-89.5,95</coordinates></Point>", "no longitude"),
        ("<Point/>", "two numbers"),
        ("<Polygon/>", "no points"),
        (f"<MultiGeometry>{POLYGON}<Point/></MultiGeometry>", "not read"),
    ],
)
def test_a_bad_shape_is_refused_by_name(place, word):
    result = read_kml(kml(f"<name>Bad</name>{place}", POLYGON))
    assert [bad.value for bad in result.rejected] == ["Bad"]
    assert word in result.rejected[0].reason


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"<gpx/>",
        b"<kml/>",
        b'<!DOCTYPE kml [<!ENTITY a "b">]><kml>&a;</kml>',
        b"<kml><Document><Placemark>",
        packed({"readme.txt": b"x"}),
        packed({"doc.kml": b"<kml>" + b" " * 20_000_000}),
        b"<kml><Placemark>"
        + b"<MultiGeometry>" * 100
        + b"</MultiGeometry>" * 100
        + b"</Placemark>",
    ],
)
def test_a_hostile_file_is_refused(data):
    with pytest.raises(FormatError) as refused:
        read_kml(data)
    assert refused.value.reason


def test_a_kmz_is_not_written_anywhere(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("../../doc.kml", kml(POLYGON))
    assert read_kml(out.getvalue()).ready
    assert list(tmp_path.rglob("*")) == []
