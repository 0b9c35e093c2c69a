"""One good file of every kind, built here."""

import csv
import io
import json
import zipfile
from functools import reduce
from operator import xor

import openpyxl
import shapefile
from pyproj import CRS

QUAD = ((-89.5, 43.0), (-89.495, 43.0), (-89.495, 43.0036), (-89.5, 43.0036), (-89.5, 43.0))


def loads_csv() -> bytes:
    """Thirty loads, two fields, in gallons."""
    rows = [
        f"2025-04-{3 + i // 10:02d},{7 + i % 10}:15,{7 + i % 10}:40,12B,North pit,T 1,{4400 + i}"
        for i in range(30)
    ]
    return "\n".join(["Date,Start,End,Field,Storage,Spreader,Gallons", *rows, ""]).encode()


def loads_xlsx() -> bytes:
    """The same thirty loads as a workbook."""
    book = openpyxl.Workbook()
    for row in csv.reader(io.StringIO(loads_csv().decode())):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def worksheet_part() -> bytes:
    """The sheet of that workbook."""
    with zipfile.ZipFile(io.BytesIO(loads_xlsx())) as archive:
        return archive.read("xl/worksheets/sheet1.xml")


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


def sentence(body: str) -> bytes:
    """An NMEA sentence with its check sum."""
    total = reduce(xor, body.encode(), 0)
    return f"${body}*{total:02X}".encode()


def nmea() -> bytes:
    """Forty seconds of driving as a receiver logs them."""
    lines = []
    for second in range(40):
        place = f"43{second * 0.01:07.4f},N,08930.0000,W"
        lines.append(sentence(f"GNGGA,1200{second:02d},{place},4,14,0.9,265.1,M,-34.0,M,,"))
        lines.append(sentence(f"GNRMC,1200{second:02d},A,{place},4.1,90.0,030425,,,A"))
    return b"\r\n".join(lines)


def ghcn() -> bytes:
    """Two weeks of rain and temperatures in the form by year."""
    return "".join(
        f"USC00470273,202504{day:02d},{element},{value * day},,,7,0700\n"
        for day in range(1, 15)
        for element, value in (("PRCP", 9), ("TMAX", 12), ("TMIN", 3))
    ).encode()


def gauge() -> bytes:
    """Two weeks of a farm's own gauge."""
    rows = [f"2025-04-{day:02d},{day / 20:.2f},{50 + day},{30 + day}" for day in range(1, 15)]
    return "\n".join(["Date,Rain (in),High (F),Low (F)", *rows]).encode()


def forecast() -> bytes:
    """A day of rain as the weather service forecasts it."""
    values = [
        {"validTime": f"2025-04-03T{hour:02d}:00:00+00:00/PT6H", "value": hour / 4}
        for hour in (0, 6, 12, 18)
    ]
    rain = {"uom": "wmoUnit:mm", "values": values}
    properties = {"updateTime": "2025-04-03T05:00:00+00:00", "quantitativePrecipitation": rain}
    return json.dumps({"properties": properties}).encode()


def observations() -> bytes:
    """Six hours of observations of the weather service."""
    features = [
        {
            "properties": {
                "station": "https://weather.example/stations/KMKX",
                "timestamp": f"2025-04-03T{hour:02d}:53:00+00:00",
                "temperature": {"value": hour, "unitCode": "wmoUnit:degC"},
                "windSpeed": {"value": 12.5, "unitCode": "wmoUnit:km_h-1"},
            }
        }
        for hour in range(6)
    ]
    return json.dumps({"features": features}).encode()


def kml() -> bytes:
    """The same boundary as a place on a map."""
    ring = " ".join(f"{x},{y}" for x, y in QUAD)
    return (
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>North forty</name>'
        f"<Polygon><outerBoundaryIs><LinearRing><coordinates>{ring}</coordinates></LinearRing>"
        "</outerBoundaryIs></Polygon></Placemark></Document></kml>"
    ).encode()


def packed(members: dict[str, bytes | str], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A ZIP file of the members."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return out.getvalue()


def shapefile_members() -> dict[str, bytes | str]:
    """The same boundary as the members of a Shapefile."""
    shp, shx, dbf = io.BytesIO(), io.BytesIO(), io.BytesIO()
    with shapefile.Writer(shp=shp, shx=shx, dbf=dbf, shapeType=shapefile.POLYGON) as writer:
        writer.field("NAME", "C", 20)
        writer.field("ACRES", "N", 10, 2)
        writer.poly([list(QUAD)[::-1]])
        writer.record("North forty", 40.29)
    prj = CRS.from_epsg(4326).to_wkt("WKT1_ESRI")
    return {"f.shp": shp.getvalue(), "f.dbf": dbf.getvalue(), "f.prj": prj}


def weight_log() -> bytes:
    """The log of a scale with two cells: filled, hauled and spread."""
    rows = []
    for i in range(180):
        half = 500 if i < 20 else 6_000 if i < 90 else max(500, 6_000 - 70 * (i - 90))
        at = f"2025-04-03T12:{i // 60:02}:{i % 60:02}Z"
        rows.append(f"{at},{43.0005 + i * 1e-5:.6f},-89.4975,{half + i % 7},{half - i % 5}\n")
    return ("Time,Latitude,Longitude,Axle 1 (lb),Axle 2 (lb)\n" + "".join(rows)).encode()


def waters() -> bytes:
    """A public water map: a stream, a pond, and an artificial path."""
    lines = [(46006, "Mill Brook", 43.001), (55800, "", 43.002), (46003, "Dry Run", 43.003)]
    features: list[dict[str, object]] = [
        {
            "type": "Feature",
            "properties": {"FCode": code, "GNIS_Name": name, "Permanent_Identifier": str(code)},
            "geometry": {"type": "LineString", "coordinates": [[-89.499, lat], [-89.495, lat]]},
        }
        for code, name, lat in lines
    ]
    pond = {
        "type": "Feature",
        "properties": {"FCode": 39004, "GNIS_Name": "Pond"},
        "geometry": {"type": "Polygon", "coordinates": [QUAD]},
    }
    return json.dumps({"type": "FeatureCollection", "features": [*features, pond]}).encode()


def point() -> bytes:
    """The weather service's answer about a place."""
    properties = {"gridId": "MKX", "gridX": 38, "gridY": 64, "timeZone": "America/Chicago"}
    return json.dumps({"properties": properties}).encode()
