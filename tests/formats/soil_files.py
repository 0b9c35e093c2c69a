"""A small soil survey built for the tests: two map units over the west and east half of a field."""

import io

import shapefile

from tests.formats.samples import packed

COLUMNS = {
    "mapunit": ("musym", "muname", "lkey", "mukey"),
    "component": ("comppct_r", "compname", "slope_r", "hydgrp", "mukey", "cokey"),
    "chorizon": ("hzname", "hzdept_r", "hzdepb_r", "awc_r", "kwfact", "cokey", "chkey"),
    "comonth": ("month", "flodfreqcl", "cokey", "comonthkey"),
    "sacatalog": ("areasymbol", "saverest"),
}
ROWS = {
    "mapunit": [("PnA", "Example silt loam", "1", "100"), ("RdB", "Other loam", "1", "200")],
    "component": [
        ("80", "Example", "1", "B/D", "100", "11"),
        ("15", "Inclusion", "", "C", "100", "12"),
        ("90", "Other", "4", "C", "200", "21"),
    ],
    "chorizon": [
        ("Oi", "0", "5", "", "", "11", "1"),
        ("A", "5", "25", "0.20", ".37", "11", "2"),
        ("B", "25", "105", "0.10", ".43", "11", "3"),
        ("C", "105", "155", "", "", "11", "4"),
    ],
    "comonth": [("April", "Occasional", "11", "1"), ("August", "", "11", "2")],
    "sacatalog": [("WI025", "09/12/2024")],
}
TEXT_FILES = {"component": "comp"}
WEST = [(-89.51, 42.99), (-89.51, 43.01), (-89.4975, 43.01), (-89.4975, 42.99), (-89.51, 42.99)]
EAST = [(-89.4975, 42.99), (-89.4975, 43.01), (-89.49, 43.01), (-89.49, 42.99), (-89.4975, 42.99)]
FAR = [(-80.0, 40.0), (-80.0, 40.1), (-79.9, 40.1), (-79.9, 40.0), (-80.0, 40.0)]


def piped(rows):
    """Rows as the survey writes them: texts quoted, numbers bare, pipes between."""
    return "".join(
        "|".join(c if c.replace(".", "").isdigit() or not c else f'"{c}"' for c in row) + "\n"
        for row in rows
    )


def tables():
    """The members of tabular/."""
    columns = [
        (table, str(at), name, name, "label")
        for table, names in COLUMNS.items()
        for at, name in enumerate(names, 1)
    ]
    members = {"WI025/tabular/mstabcol.txt": piped(columns)}
    for table, rows in ROWS.items():
        members[f"WI025/tabular/{TEXT_FILES.get(table, table)}.txt"] = piped(rows)
    return members


def soil_map():
    """The members of spatial/."""
    shp, shx, dbf = io.BytesIO(), io.BytesIO(), io.BytesIO()
    with shapefile.Writer(shp=shp, shx=shx, dbf=dbf, shapeType=shapefile.POLYGON) as writer:
        for column in ("AREASYMBOL", "MUSYM", "MUKEY"):
            writer.field(column, "C", 20)
        for ring, symbol, key in ((WEST, "PnA", "100"), (EAST, "RdB", "200"), (FAR, "X", "300")):
            writer.poly([ring])
            writer.record("WI025", symbol, key)
    folder = "WI025/spatial/soilmu_a_wi025"
    return {f"{folder}.shp": shp.getvalue(), f"{folder}.dbf": dbf.getvalue()}


def survey():
    """The survey area's ZIP file."""
    return packed(tables() | soil_map())
