"""TASKDATA folders (ISO 11783-10): packaging, fields, tasks. Facts: data formats, section 1."""

from datetime import UTC, datetime

import pytest

from farmrecords.formats.common import FormatError
from farmrecords.formats.iso_timelog import utc_ms
from farmrecords.formats.moments import zone_of
from farmrecords.formats.outlines import acres
from farmrecords.formats.taskdata import read_taskdata
from tests.formats import taskdata_files as files
from tests.formats.samples import QUAD, packed

ZONE = "America/Chicago"


def read(data, **kwargs):
    return read_taskdata(data, zone=ZONE, **kwargs)


def test_a_good_folder_is_read_whole():
    result = read(files.folder())
    assert result.ready
    (found,) = result.items
    assert (found.version, found.from_machine) == ("4", True)
    assert found.names == {"PFD1": "North forty", "WKR1": "Luis Alvarez", "PDT1": "Dairy manure"}
    (task,) = found.tasks
    assert (task.status, task.field_id, task.worker_id) == ("completed", "PFD1", "WKR1")
    assert task.spans[0].started_at == datetime(2025, 4, 3, 12, tzinfo=UTC)
    assert task.spans[0].totals == ((80, "DET2", 9000),)
    assert task.allocations[0].kind == "filling"
    assert task.allocations[0].started_at == datetime(2025, 4, 3, 11, 55, tzinfo=UTC)
    assert task.logs[0].count == 60


def test_fields_and_what_lies_in_them_are_features():
    rows = read(files.folder()).items[0].fields
    assert [(row.name, row.kind) for row in rows] == [
        ("North forty", "boundary"),
        ("Tile", "drainage"),
        ("Stack", "storage"),
    ]
    boundary = rows[0]
    assert len(boundary.geometry.interiors) == 1
    # 163,050 m² as stated, with 4,046.8564224 m² to the acre.
    assert boundary.properties["stated_ac"] == pytest.approx(40.2905)
    # By hand: the hole is 111.09 by 81.54 m (0.001 degrees at 43 N), 2.238 ac of 40.291.
    assert acres(boundary.geometry) == pytest.approx(40.290596 - 2.238, abs=0.005)


def test_machine_parts_and_their_fixed_values_are_read():
    (machine,) = read(files.folder()).items[0].machines
    tank = machine.parts[1]
    assert (tank.kind, tank.name, tank.parent) == ("bin", "Tank", 1)
    assert tank.fixed == ((0x49, 17_034_353),)  # 17,034,353 ml = 4,500 gal


@pytest.mark.parametrize("prefix", ["", "TASKDATA/", "taskdata/", "export/2025/TaskData/"])
def test_the_folder_level_and_the_case_do_not_matter(prefix):
    data = files.folder(prefix)
    lower = packed(
        {
            f"{prefix}taskdata.xml": files.taskdata(),
            f"{prefix}tlg00001.xml": files.HEADER,
            f"{prefix}Tlg00001.Bin": files.log(),
        }
    )
    assert read(data).items[0].tasks[0].logs[0].count == 60
    assert read(lower).items[0].tasks[0].logs[0].count == 60


@pytest.mark.parametrize("version", ["3", "4"])
def test_a_bare_file_of_either_version_is_read_and_the_missing_log_said(version):
    result = read(files.taskdata(version=version))
    assert result.items[0].version == version
    assert any("not in the archive" in warning for warning in result.warnings)


def test_external_parts_are_put_in_and_missing_ones_said():
    main = files.taskdata(inner='<XFR A="PFD00001" B="1"/><XFR A="PFD00002" B="1"/>')
    data = packed({"TASKDATA.XML": main, "pfd00001.xml": f"<XFC>{files.FIELD}</XFC>"})
    result = read(data)
    assert result.items[0].fields[0].name == "North forty"
    assert any("PFD00002" in warning for warning in result.warnings)


def test_several_outlines_in_one_polygon_become_parts():
    far = files.POINTS.replace("-89.", "-88.")
    both = f'<PLN A="1"><LSG A="1">{files.POINTS}</LSG><LSG A="1">{far}</LSG></PLN>'
    row = read(files.taskdata(f'<PFD A="PFD1" C="Two" D="0">{both}</PFD>')).items[0].fields[0]
    assert row.geometry.geom_type == "MultiPolygon"
    assert acres(row.geometry) == pytest.approx(2 * 40.290596, abs=1e-5)
    assert "stated_ac" not in row.properties  # 0 means unknown


def test_a_bad_point_is_refused_by_the_name_of_its_field():
    data = files.taskdata().replace(f'C="{QUAD[2][1]}"'.encode(), b'C="NaN"', 1)
    result = read(data)
    assert [bad.value for bad in result.rejected] == ["North forty"]


def test_a_moment_that_does_not_exist_is_named():
    result = read(files.taskdata().replace(b"2025-04-03T07:10:00", b"2025-02-30T07:10:00"))
    assert [(bad.column, bad.value) for bad in result.rejected] == [
        ("TIM B", "2025-02-30T07:10:00")
    ]


def test_the_zone_is_assumed_and_said_where_the_log_does_not_tell_it():
    result = read(files.folder())
    assert any("zone assumed, America/Chicago" in warning for warning in result.warnings)
    moments = utc_ms(result.items[0].tasks[0].logs[0], zone_of(ZONE))
    assert moments[0] == datetime(2025, 4, 3, 12, tzinfo=UTC).timestamp() * 1000


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"<gpx/>",
        b"<ISO11783_TaskData/>",
        packed({"readme.txt": b"x"}),
        packed({"TASKDATA.XML": b"<kml/>"}),
        packed({"TASKDATA.XML": b""}),
        packed({"TASKDATA.XML": b'<!DOCTYPE a [<!ENTITY b "c">]><ISO11783_TaskData/>'}),
        packed({"TASKDATA.XML": files.taskdata('<XFR A="P1"/>'), "P1.XML": b"<PFD/>"}),
        b"<ISO11783_TaskData>" + b"<PNT/>" * 600_001 + b"</ISO11783_TaskData>",
    ],
)
def test_a_hostile_folder_is_refused(data):
    with pytest.raises(FormatError) as refused:
        read(data)
    assert refused.value.reason


def test_a_part_that_points_outside_the_folder_reads_nothing():
    main = files.taskdata(inner='<XFR A="../../etc/passwd" B="1"/>' + files.FIELD)
    result = read(packed({"a/TASKDATA.XML": main, "passwd.xml": "<XFC/>"}))
    assert any("is missing" in warning for warning in result.warnings)
