"""One good file of every kind, built here, and the reader it is for."""

import json
from functools import partial

from farmrecords.formats.geojson import read_features
from farmrecords.formats.gpx import read_track
from farmrecords.formats.loads_csv import read_loads

ZONE = "America/Chicago"
QUAD = ((-89.5, 43.0), (-89.495, 43.0), (-89.495, 43.0036), (-89.5, 43.0036), (-89.5, 43.0))


def loads_csv() -> bytes:
    """Thirty loads, two fields, in gallons."""
    rows = [
        f"2025-04-{3 + i // 10:02d},{7 + i % 10}:15,{7 + i % 10}:40,12B,North pit,T 1,{4400 + i}"
        for i in range(30)
    ]
    return "\n".join(["Date,Start,End,Field,Storage,Spreader,Gallons", *rows, ""]).encode()


def geojson() -> bytes:
    """A boundary, a stream and a well."""
    geometries = [
        {"type": "Polygon", "coordinates": [QUAD]},
        {"type": "LineString", "coordinates": [(-89.51, 43.0), (-89.50, 43.01)]},
        {"type": "Point", "coordinates": (-89.49, 43.0)},
    ]
    names = ["North forty", "Mill creek", "House well"]
    features = [
        {"type": "Feature", "properties": {"name": name}, "geometry": geometry}
        for name, geometry in zip(names, geometries, strict=True)
    ]
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


def gpx() -> bytes:
    """Forty seconds of driving in one segment."""
    points = "".join(
        f'<trkpt lat="{43 + i * 1e-5:.7f}" lon="-89.4975"><ele>260</ele>'
        f"<time>2025-04-03T12:00:{i:02d}Z</time></trkpt>"
        for i in range(40)
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?><gpx xmlns="http://www.topografix.com/GPX/1/1">'
        f"<trk><name>Tanker 1</name><trkseg>{points}</trkseg></trk></gpx>"
    ).encode()


READERS = {
    "loads_csv": (partial(read_loads, zone=ZONE), loads_csv),
    "geojson": (read_features, geojson),
    "gpx": (read_track, gpx),
}
