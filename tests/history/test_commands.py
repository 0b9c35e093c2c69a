"""The commands verify_log, rebuild and export_log: what they print and how they exit."""

import json

import pytest
from django.core.management import CommandError, call_command
from django.db import models

from farmrecords.history import verifier
from farmrecords.loads.models import Load


def run(capsys, *arguments, **options):
    """Exit code and output of a command."""
    try:
        call_command(*arguments, **options)
        code = 0
    except SystemExit as end:
        code = end.code
    said = capsys.readouterr()
    return code, said.out + said.err


def test_verify_log_finds_nothing_wrong_in_what_was_written(farm, capsys):
    farm.recorded()
    anchor = f"{farm.log.head_seq}:{farm.log.head_hash}"
    code, said = run(
        capsys, "verify_log", "--operation", farm.operation.slug, "--anchor", anchor, "--state"
    )
    assert (code, "Nothing wrong found." in said) == (0, True)


def test_verify_log_exits_1_when_the_tables_say_something_else(farm, capsys):
    load = farm.recorded()
    models.QuerySet(Load).filter(pk=load.pk).update(amount_text="5000")
    assert run(capsys, "verify_log")[0] == 0
    code, said = run(capsys, "verify_log", "--state", "--json")
    problem = json.loads(said)[0]["problems"][0]
    assert (code, problem["seq"], problem["expected"], problem["actual"]) == (
        1, farm.log.head_seq, "6500", "5000",
    )  # fmt: skip


@pytest.mark.parametrize("beyond", [0, 1])
def test_verify_log_exits_2_when_an_anchor_does_not_fit(farm, capsys, beyond):
    anchor = f"{farm.log.head_seq + beyond}:{'0' * 64}"
    code, said = run(capsys, "verify_log", "--operation", farm.operation.slug, "--anchor", anchor)
    assert (code, "anchor" in said) == (2, True)


@pytest.mark.parametrize(
    "arguments", [["--operation", "nobody"], ["--from-export", "/nowhere/history.jsonl"]]
)
def test_verify_log_exits_3_on_what_it_cannot_read(farm, capsys, arguments):
    code, said = run(capsys, "verify_log", *arguments)
    assert (code, "Cannot read" in said) == (3, True)


def test_a_log_answers_to_its_label_and_the_start_of_its_id(farm, capsys):
    for name in ("Brook", str(farm.log.pk)[:8]):
        code, said = run(capsys, "verify_log", "--operation", name)
        assert (code, str(farm.log.pk) in said) == (0, True)


def test_an_export_is_checked_by_command_and_verifier_alike(farm, capsys, tmp_path):
    farm.recorded()
    path = tmp_path / "history.jsonl"
    run(capsys, "export_log", farm.operation.slug, str(path))
    assert (tmp_path / "verifier.py").exists()
    by_command = json.loads(run(capsys, "verify_log", "--from-export", str(path), "--json")[1])[0]
    assert verifier.main([str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == by_command
    assert (by_command["hash"], by_command["seq"]) == (farm.log.head_hash, farm.log.head_seq)


def test_rebuild_restores_a_lost_row_only_when_told_to_write(farm, capsys):
    load = farm.recorded()
    models.QuerySet(type(load.draws.get())).filter(load=load)._raw_delete("default")
    code, said = run(capsys, "rebuild", "--operation", farm.operation.slug)
    assert (code, "/draws/1/storage" in said) == (1, True)
    assert run(capsys, "rebuild", "--write")[0] == 0
    assert load.draws.count() == 1
    assert run(capsys, "rebuild")[0] == 0


def test_rebuild_refuses_a_name_nobody_has(farm):
    with pytest.raises(CommandError, match="nobody"):
        call_command("rebuild", "--operation", "nobody")
