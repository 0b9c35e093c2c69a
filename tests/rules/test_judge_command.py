"""``manage.py judge``: runs situations, prints coverage, compares drafts."""

import datetime as dt
import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from farmrecords.rules.rulebook import DATA
from tests import builders
from tests.rules.written import CASES, rulebook


def judged(*arguments: str) -> str:
    out = StringIO()
    call_command("judge", *arguments, stdout=out)
    return out.getvalue()


def test_a_file_of_situations_prints_sentences_and_citations() -> None:
    text = judged(str(CASES / "scenarios" / "s01_minnesota_lake.toml"))

    assert "NOT MET" in text
    assert "250 ft from a lake; 300 ft is asked here." in text
    assert "MN-SB-1, Minn. R. 7020.2225" in text


def test_a_folder_is_run_whole() -> None:
    text = judged(str(CASES / "scenarios"))

    assert text.count("scenarios/s0") >= 20


def test_an_unexpected_finding_ends_with_an_error(tmp_path: Path) -> None:
    path = tmp_path / "wrong.toml"
    path.write_text(
        '[case]\ntitle = "wrong"\non = 2024-06-20\nstack = ["us-mn"]\nsubject = "load"\n'
        "[facts]\nload.in_road_ditch = true\n"
        '[[expect]]\nrule = "MN-SB-7"\noutcome = "met"\n',
        encoding="utf-8",
    )
    with pytest.raises(CommandError, match="1 finding"):
        judged(str(path))


def test_findings_come_as_json_too() -> None:
    shown = json.loads(judged(str(CASES / "scenarios" / "s10_minnesota_zone.toml"), "--json"))

    rules = {finding["rule"]: finding["outcome"] for finding in shown[0]["findings"]}
    assert rules["MN-P-1-TILL"] == "not_met"
    assert shown[0]["differences"] == []


def test_coverage_counts_by_jurisdiction_and_status() -> None:
    text = judged("--coverage")

    assert "us-vt: Vermont" in text
    assert "Fingerprint" in text
    assert "memory" in text


def test_a_draft_folder_names_what_would_change(tmp_path: Path) -> None:
    for path in DATA.glob("*/*.toml"):
        target = tmp_path / path.parent.name / path.name
        target.parent.mkdir(exist_ok=True)
        text = path.read_text(encoding="utf-8")
        target.write_text(text.replace('value = 300, unit = "ft"', 'value = 200, unit = "ft"'))

    text = judged(
        str(CASES / "scenarios" / "s01_minnesota_lake.toml"),
        "--rules",
        str(tmp_path),
        "--compare",
    )

    assert "MN-SB-1: not_met -> met" in text


def test_a_misspelt_fact_in_a_situation_is_refused_with_its_place(tmp_path: Path) -> None:
    path = tmp_path / "misspelt.toml"
    path.write_text(
        '[case]\ntitle = "x"\non = 2024-06-20\nstack = ["us"]\nsubject = "load"\n'
        "[facts]\nground.forzen = true\n",
        encoding="utf-8",
    )
    with pytest.raises(CommandError, match=r"Closest: 'ground\.frozen'"):
        judged(str(path))


def test_no_case_and_no_question_is_refused() -> None:
    with pytest.raises(CommandError, match="Name a case file"):
        judged()


@pytest.mark.django_db
def test_an_operations_year_names_what_a_draft_would_change(tmp_path: Path) -> None:
    operation = builders.make_operation()
    storage = builders.make_storage(operation)
    field = builders.make_field(operation)
    builders.make_load(field, storage, dt.date(2026, 5, 20))
    for path in DATA.glob("*/*.toml"):
        if path.parent.name == "us-vt":
            continue
        target = tmp_path / path.parent.name / path.name
        target.parent.mkdir(exist_ok=True)
        target.write_text(path.read_text(encoding="utf-8"), encoding="utf-8")

    text = judged("--rules", str(tmp_path), "--operation", operation.slug, "--year", "2026")

    assert "VT-W-1: met -> no finding" in text
    assert "finding(s) would change." in text


@pytest.mark.django_db
def test_the_same_rules_change_nothing() -> None:
    operation = builders.make_operation()
    builders.make_load(
        builders.make_field(operation), builders.make_storage(operation), dt.date(2026, 5, 20)
    )

    text = judged("--operation", operation.slug, "--year", "2026")

    assert text == "0 finding(s) would change.\n"


@pytest.mark.django_db
def test_an_operation_that_is_not_there_is_refused() -> None:
    with pytest.raises(CommandError, match="no operation 'nowhere'"):
        judged("--operation", "nowhere", "--year", "2026")


def test_coverage_counts_a_rule_by_its_weakest_source() -> None:
    rules = rulebook().rules
    counts = {
        status: sum(rule.weakest_status == status for rule in rules)
        for status in ("memory", "read", "secondary")
    }

    text = judged("--coverage")

    words = ", ".join(f"{number} {status}" for status, number in counts.items())
    assert f"All: {len(rules)} rules ({words})." in text
    assert rulebook().rule("IA-W-1").weakest_status == "secondary"
