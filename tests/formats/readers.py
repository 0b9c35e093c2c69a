"""Every reader with the good file it is for."""

import io
import zipfile
from collections.abc import Callable
from functools import cache, partial

from farmrecords.formats.common import ReadResult
from farmrecords.formats.gauge_csv import read_gauge
from farmrecords.formats.geojson import read_features
from farmrecords.formats.ghcn import read_ghcn
from farmrecords.formats.gpx import read_track
from farmrecords.formats.kml import read_kml
from farmrecords.formats.loads_csv import read_loads
from farmrecords.formats.loads_xlsx import read_xlsx_loads
from farmrecords.formats.nmea import read_nmea
from farmrecords.formats.shapefile_zip import read_shapefile
from farmrecords.formats.ssurgo import read_soil_polygons, read_soil_tables
from farmrecords.formats.taskdata import read_taskdata
from farmrecords.formats.weather_service import read_forecast, read_observations, read_point
from farmrecords.formats.weight_csv import read_weight_log
from tests.formats import samples, soil_files, taskdata_files

ZONE = "America/Chicago"

read_machine = partial(read_taskdata, zone=ZONE)


@cache
def workbook() -> dict[str, bytes | str]:
    """The members of the workbook of thirty loads; writing one needs temporary files."""
    with zipfile.ZipFile(io.BytesIO(samples.loads_xlsx())) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def worksheet(data: bytes) -> bytes:
    """The workbook of thirty loads with its sheet replaced."""
    return samples.packed(workbook() | {"xl/worksheets/sheet1.xml": data})


def inside(ending: str) -> tuple[Callable[[bytes], object], Callable[[], bytes]]:
    """A reader and a sample for one member, so that damage reaches it past the check sums."""

    def read(data: bytes) -> object:
        return read_shapefile(samples.packed(samples.shapefile_members() | {f"f.{ending}": data}))

    def sample() -> bytes:
        member = samples.shapefile_members()[f"f.{ending}"]
        return member.encode() if isinstance(member, str) else member

    return read, sample


READERS = {
    "loads_csv": (partial(read_loads, zone=ZONE), samples.loads_csv),
    "loads_xlsx": (partial(read_xlsx_loads, zone=ZONE), samples.loads_xlsx),
    "worksheet": (lambda data: read_xlsx_loads(worksheet(data), zone=ZONE), samples.worksheet_part),
    "geojson": (read_features, samples.geojson),
    "gpx": (read_track, samples.gpx),
    "nmea": (read_nmea, samples.nmea),
    "ghcn": (read_ghcn, samples.ghcn),
    "gauge": (read_gauge, samples.gauge),
    "forecast": (read_forecast, samples.forecast),
    "observations": (read_observations, samples.observations),
    "point": (lambda data: ReadResult([read_point(data)]), samples.point),
    "weight_log": (partial(read_weight_log, zone=ZONE), samples.weight_log),
    "taskdata": (read_machine, taskdata_files.folder),
    "taskdata_xml": (read_machine, taskdata_files.taskdata),
    "timelog": (lambda data: read_machine(taskdata_files.folder(binary=data)), taskdata_files.log),
    "timelog_header": (
        lambda data: read_machine(taskdata_files.folder(header=data)),
        taskdata_files.HEADER.encode,
    ),
    "soil_tables": (read_soil_tables, soil_files.survey),
    "soil_text": (
        lambda data: read_soil_tables(
            samples.packed(soil_files.tables() | {"WI025/tabular/comp.txt": data})
        ),
        lambda: soil_files.piped(soil_files.ROWS["component"]).encode(),
    ),
    "soil_map": (partial(read_soil_polygons, near=(-89.5, 43, -89.4, 43.1)), soil_files.survey),
    "kml": (read_kml, samples.kml),
    "kmz": (read_kml, lambda: samples.packed({"doc.kml": samples.kml()})),
    "shapefile": (
        read_shapefile,
        lambda: samples.packed(samples.shapefile_members(), zipfile.ZIP_STORED),
    ),
    "shp": inside("shp"),
    "dbf": inside("dbf"),
    "prj": inside("prj"),
}

# What the bounded process is given: every kind of file with its name there and a good sample.
CONTEXT = {"zone": ZONE, "today": "2026-05-01", "box": [-89.6, 42.9, -89.3, 43.2]}
WHOLE: dict[str, tuple[str, Callable[[], bytes]]] = {
    "intake: list of loads": ("loads", samples.loads_csv),
    "intake: workbook of loads": ("loads", samples.loads_xlsx),
    "intake: GeoJSON": ("shapes", samples.geojson),
    "intake: KML": ("shapes", samples.kml),
    "intake: KMZ": ("shapes", lambda: samples.packed({"doc.kml": samples.kml()})),
    "intake: Shapefile": ("shapes", lambda: samples.packed(samples.shapefile_members())),
    "intake: GPX": ("track", samples.gpx),
    "intake: NMEA": ("nmea", samples.nmea),
    "intake: weight log": ("weight_log", samples.weight_log),
    "intake: machine record": ("machine_record", taskdata_files.weighed),
    "intake: station days": ("ghcn", samples.ghcn),
    "intake: gauge": ("gauge", samples.gauge),
    "intake: forecast": ("weather_service", samples.forecast),
    "intake: observations": ("weather_service", samples.observations),
    "intake: waters": ("waters", samples.waters),
    "intake: soil survey": ("soils", soil_files.survey),
}
ANSWERS = {"day_station": "barn"}
