"""A map file is told by its content, whatever its name."""

import pytest

from farmrecords.formats.common import FormatError
from farmrecords.formats.maps import read_map
from tests.formats import samples


@pytest.mark.parametrize(
    "data",
    [
        samples.geojson(),
        b"\xef\xbb\xbf" + samples.geojson(),
        samples.kml(),
        b"\n " + samples.kml(),
        samples.packed({"doc.kml": samples.kml()}),
        samples.packed(samples.shapefile_members()),
    ],
)
def test_every_kind_of_map_gives_the_same_boundary(data):
    result = read_map(data)
    assert result.ready
    assert result.items[0].name == "North forty"
    assert result.items[0].geometry.bounds == pytest.approx((-89.5, 43.0, -89.495, 43.0036))


@pytest.mark.parametrize("data", [b"", b"x", samples.packed({"a.txt": b"x"}), samples.gpx()])
def test_what_is_no_map_is_refused(data):
    with pytest.raises(FormatError):
        read_map(data)
