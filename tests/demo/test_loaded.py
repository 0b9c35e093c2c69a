"""The loaded demonstration: its chains hold, its tables follow from them, every outcome shows."""

from __future__ import annotations

import sqlite3
import subprocess
import sys

import pytest

from tests.demo_site import ROOT, _env, demo_site  # noqa: F401

OUTCOMES = {"met", "not_met", "cannot_tell", "notice"}


def _asked(data, question: str) -> list[tuple]:
    with sqlite3.connect(f"file:{data / 'farmrecords.sqlite3'}?mode=ro", uri=True) as base:
        return base.execute(question).fetchall()


def _run(data, *command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", *command],
        cwd=ROOT, env=_env(data), capture_output=True, text=True, check=False,
    )  # fmt: skip


def test_the_chains_verify_and_the_tables_follow_from_them(demo_site):  # noqa: F811
    run = _run(demo_site.data, "verify_log", "--state")
    assert run.returncode == 0, run.stdout + run.stderr


def test_loading_again_changes_nothing(demo_site):  # noqa: F811
    heads = "select label, head_seq, head_hash from farmrecords_log order by label"
    before = _asked(demo_site.data, heads)
    run = _run(demo_site.data, "demo", "--no-serve")
    assert run.returncode == 0, run.stderr
    assert _asked(demo_site.data, heads) == before


@pytest.mark.parametrize("slug", ["marlow-brook", "twin-cedar", "saltgrass"])
def test_each_outcome_shows_at_each_farm(demo_site, slug):  # noqa: F811
    rows = _asked(
        demo_site.data,
        "select distinct outcome from farmrecords_findingindex f "
        "join farmrecords_operation o on o.id = f.operation_id "
        f"where o.slug = '{slug}'",
    )
    assert {row[0] for row in rows} == OUTCOMES


def test_records_carry_the_moment_of_their_day(demo_site):  # noqa: F811
    # All but slips, openings and the late line were written on their day or the next; what came in
    # as a machine's log has a key of its own.
    late = _asked(
        demo_site.data,
        "select count(*) from farmrecords_load where local_day >= '2025-04-01' "
        "and source_key = '' and julianday(substr(recorded_at, 1, 10)) - julianday(local_day) > 1",
    )
    assert late[0][0] == 3


def test_one_haul_came_in_from_a_machine_record_and_one_from_a_weight_log(demo_site):  # noqa: F811
    rows = _asked(
        demo_site.data,
        "select f.kind, f.state, count(l.id), count(distinct l.local_day) "
        "from farmrecords_incomingfile f "
        "join farmrecords_load l on l.operation_id = f.operation_id "
        "where l.source_key != '' and l.local_day between '2026-04-13' and '2026-04-15' "
        "and f.kind in ('machine_record', 'weight_log') group by f.kind, f.state",
    )
    assert {(kind, state) for kind, state, _loads, _days in rows} == {
        ("machine_record", "confirmed"),
        ("weight_log", "confirmed"),
    }
    assert all(loads >= 10 and days == 3 for _kind, _state, loads, days in rows)
