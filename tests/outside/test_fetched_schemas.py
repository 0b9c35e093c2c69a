"""Task data that our tests and the demonstration write, held against the published XSDs.

The schemas of ISO 11783-10 V4.3 ship in the wheel of isoxml-writer 0.0.3 and are read there, never
copied. Version 3 has no published schema in a registry package, so only version 4 is checked.
"""

import datetime as dt
import io
import zipfile

import pytest

from fixtures.simulated import taskdata as simulated
from fixtures.simulated.weigh_logs import simulate
from tests.formats import taskdata_files
from tests.outside import time_logs
from tests.outside.fetched import folder


def schema(name):
    from lxml import etree  # fetched for these checks, no requirement of the project

    place = folder() / "python" / "isoxml_writer" / "ISOXML_schema"
    return etree.XMLSchema(file=str(place / f"ISO11783_{name}_V4-3.xsd"))


def faults(name, data):
    from lxml import etree

    checked = schema(name)
    checked.validate(etree.fromstring(data))
    return [str(error.message) for error in checked.error_log]


def members(data):
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name.rpartition("/")[2]: archive.read(name) for name in archive.namelist()}


def simulated_folder():
    log = simulate(1, days=1)
    return simulated.folder(
        log, dt.date(2026, 4, 15), machine="Tanker", field="North forty", tank_gal=6000,
        gal_per_mass=0.4,
    )  # fmt: skip


FOLDERS = {
    "tests": taskdata_files.folder,
    "random": lambda: time_logs.random_folder(1),
    "demonstration": simulated_folder,
}


@pytest.mark.parametrize("name", sorted(FOLDERS))
def test_written_task_data_and_log_headers_keep_to_the_schema(name):
    files = members(FOLDERS[name]())
    assert faults("TaskFile", files["TASKDATA.XML"]) == []
    headers = [data for file, data in files.items() if file.startswith("TLG") and "XML" in file]
    assert headers
    assert [faults("TimeLog", data) for data in headers] == [[]] * len(headers)


def test_the_schema_bites():
    broken = taskdata_files.taskdata().replace(b'DataTransferOrigin="2"', b'DataTransferOrigin="9"')
    assert any("DataTransferOrigin" in words for words in faults("TaskFile", broken))
