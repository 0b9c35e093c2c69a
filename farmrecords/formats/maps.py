"""Boundaries and features from whichever kind of map file came: told by its first bytes."""

from __future__ import annotations

from farmrecords.formats.archives import Archive, is_zip
from farmrecords.formats.common import Answers, ReadResult, refuse_large
from farmrecords.formats.geojson import read_features
from farmrecords.formats.kml import read_kml
from farmrecords.formats.shapefile_zip import read_shapefile
from farmrecords.formats.shapes import Box, FeatureRow


def read_map(
    data: bytes, *, box: Box | None = None, answers: Answers | None = None
) -> ReadResult[FeatureRow]:
    """The features of a GeoJSON, KML, KMZ or zipped Shapefile; questions as those readers ask."""
    refuse_large(data)
    if is_zip(data):
        holds_kml = bool(Archive(data).named(".kml"))
        read = read_kml if holds_kml else read_shapefile
    else:
        is_xml = data.lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n\0")[:1] == b"<"
        read = read_kml if is_xml else read_features
    return read(data, box=box, answers=answers)
