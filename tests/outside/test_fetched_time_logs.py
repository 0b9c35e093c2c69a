"""Binary time logs read by us and by the npm package isoxml 1.11.2 give the same records.

The logs are random ones of our own (the registries hold no real set); the package is the outside
reader. It reads a terminal's clock as UTC and calls any early end "not enough bytes"; both are
allowed for. Two positions in one header are legal and not understood by it: not compared.
"""

import json
import os
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from farmrecords.formats.taskdata import read_taskdata
from tests.formats import taskdata_files
from tests.outside.fetched import folder, run_node
from tests.outside.time_logs import random_folder

SCRIPT = Path(__file__).parent / "read_timelogs.js"
SEED = int(os.environ.get("FARMRECORDS_SEED", "20260501"))
LOGS = 150
EPOCH_MS = (date(1980, 1, 1) - date(1970, 1, 1)).days * 86_400_000


def theirs(files, place):
    names = []
    for number, data in enumerate(files):
        path = place / f"{number}.zip"
        path.write_bytes(data)
        names.append(str(path))
    return [json.loads(line) for line in run_node(SCRIPT, *names).splitlines()]


def ours(data):
    (told,) = read_taskdata(data, zone="UTC").items
    return [log for task in told.tasks for log in task.logs]


def check_same(log, records):
    assert log.count == len(records)
    assert (log.local_ms + EPOCH_MS).tolist() == [one["ms"] for one in records]
    values = [{} for _ in range(log.count)]
    for channel in log.channels:
        key = f"{channel.ddi:04X}_{channel.element}"
        for at, raw in zip(channel.records.tolist(), channel.raw.tolist(), strict=True):
            values[at][key] = raw
    assert values == [one["values"] for one in records]
    known = ~np.isnan(log.lat)
    for axis, name in ((log.lat, "north"), (log.lon, "east")):
        told = np.array([one[name] for one in records], dtype=float)
        np.testing.assert_allclose(axis[known], told[known], rtol=0, atol=5e-10)
    up = np.array([one["up"] for one in records], dtype=float)
    told_up = ~np.isnan(up) & known
    np.testing.assert_allclose(log.up_m[told_up] * 1000, up[told_up], rtol=0, atol=1e-6)


def test_the_package_was_fetched_in_the_version_named():
    package = json.loads((folder() / "node_modules" / "isoxml" / "package.json").read_text())
    assert package["version"] == "1.11.2"


def test_random_time_logs_give_the_same_records(tmp_path):
    print(f"{LOGS} logs, seed {SEED}")  # noqa: T201
    files = [random_folder(SEED + number) for number in range(LOGS)]
    told = theirs(files, tmp_path)
    assert len(told) == LOGS
    for data, found in zip(files, told, strict=True):
        (log,), (other,) = ours(data), found
        check_same(log, other["records"])
        assert bool(other["errors"]) == any("cut off" in words for words in log.warnings)


@pytest.mark.parametrize("prefix", ["", "TASKDATA/"])
def test_the_folder_of_our_own_tests_reads_the_same(tmp_path, prefix):
    data = taskdata_files.folder(prefix)
    (found,) = theirs([data], tmp_path)
    (log,) = ours(data)
    assert log.count == 60
    check_same(log, found[0]["records"])
