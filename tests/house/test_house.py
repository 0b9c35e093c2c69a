"""The house stands: sizes, tables by kind, one clock, strict templates, careful words."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from farmrecords.history.kinds import kinds
from tests.house.rooms import PACKAGE, ROOT, sources

TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
TESTS = sorted((ROOT / "tests").rglob("*.py"))
FIXTURES = sorted((ROOT / "fixtures").rglob("*.py"))

RECORDED = {
    "AnimalCount", "AnimalGroup", "Calibration", "ClosedPeriod", "ColumnMapping", "Deficiency",
    "Device", "Discharge", "Feature", "Fertilizer", "Field", "FieldOrigin", "FieldStack",
    "FieldVersion", "Forecast", "Grant", "Harvest", "IncomingFile", "Inspection", "Invoice", "Job",
    "Jurisdiction", "LateRecord", "Load", "ManureTest", "Membership", "Mortality", "Operation",
    "NitrogenChoice",
    "Permit", "PermitCondition", "PhosphorusRisk", "PlanVersion", "PlannedCrop", "Planting",
    "Practice", "RuleConfirmation", "SoilTest", "Spreader", "StatementOfNone", "Stop", "Storage",
    "StorageLevel", "Tillage", "Transfer", "WeatherDay", "WeatherReading",
}  # fmt: skip
PARTS = {"LoadDraw", "LoadPart"}
CHAIN = {"Body", "Entry", "KeptFile", "Log"}
DERIVED = {"FindingIndex", "Judged", "LoadFacts", "Work"}
ACCOUNTS = {"Person", "Person_groups", "Person_user_permissions"}


def test_every_table_is_listed_by_name_and_kind() -> None:
    found = kinds()
    by_kind: dict[str, set[str]] = {}
    for name, kind in found.items():
        by_kind.setdefault(kind, set()).add(name)
    assert by_kind.get("recorded") == RECORDED
    assert by_kind.get("part") == PARTS
    assert by_kind.get("chain") == CHAIN
    assert by_kind.get("derived") == DERIVED
    assert by_kind.get("account") == ACCOUNTS
    assert set(by_kind) == {"recorded", "part", "chain", "derived", "account"}


def test_no_source_file_has_more_than_400_lines() -> None:
    long = {
        str(path.relative_to(ROOT)): count
        for path in [*sources(), *TESTS, *FIXTURES]
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert long == {}


def test_no_template_has_more_than_200_lines() -> None:
    long = [path for path in TEMPLATES if len(path.read_text(encoding="utf-8").splitlines()) > 200]
    assert long == []


def test_every_module_but_an_empty_one_says_what_it_holds() -> None:
    silent = [
        str(path.relative_to(ROOT))
        for path in sources()
        if (text := path.read_text(encoding="utf-8")).strip()
        and not ast.get_docstring(ast.parse(text))
    ]
    assert silent == []


CLOCKS = {("datetime", "now"), ("datetime", "utcnow"), ("datetime", "today"), ("date", "today"),
          ("timezone", "now"), ("timezone", "localdate"), ("time", "time")}  # fmt: skip


def test_nothing_but_the_one_clock_reads_the_time() -> None:
    readers = []
    for path in sources():
        if path == PACKAGE / "history" / "clock.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                owner = node.func.value
                name = owner.id if isinstance(owner, ast.Name) else getattr(owner, "attr", "")
                if (name, node.func.attr) in CLOCKS:
                    readers.append(f"{path.relative_to(ROOT)}:{node.lineno}")
    assert readers == []


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: str(p.relative_to(ROOT / "templates")))
def test_a_template_keeps_the_content_security_policy_and_says_its_contract(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    first = [line for line in text.splitlines() if not line.startswith(("{% extends", "<!doc"))]
    assert first[0].startswith("{% comment %}")
    markup = re.sub(r"{%\s*comment\s*%}.*?{%\s*endcomment\s*%}", "", text, flags=re.S)
    assert not re.search(r"\sstyle\s*=", markup)
    assert not re.search(r"\son[a-z]+\s*=\s*[\"']", markup)
    assert not re.search(r"<style\b", markup)
    assert not re.search(r"<script(?![^>]*\bsrc=)[^>]*>", markup)
    assert "javascript:" not in markup


MUST_NOT_SAY = (
    "in compliance",
    "cromerr",
    "epa-approved",
    "approved by epa",
    "copy of record",
    "files with epa",
    "legally binding signature",
)


def test_no_page_says_what_may_not_be_claimed() -> None:
    """federal reference 5.5: what a self-hosted record book may and may not claim."""
    said = []
    for path in [*TEMPLATES, *(p for p in sources() if "report" in p.parts)]:
        text = path.read_text(encoding="utf-8").lower().replace("not the copy of record", "")
        said += [f"{path.relative_to(ROOT)}: {words}" for words in MUST_NOT_SAY if words in text]
    assert said == []


def test_top_level_is_exactly_as_designed() -> None:
    allowed = {"README.md", "DEVELOPERS.md", "manage.py", "requirements.txt", "pyproject.toml",
               "farmrecords", "templates", "static", "tests", "fixtures", "LICENSE"}  # fmt: skip
    odd = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")} - allowed
    assert odd == set()


def test_every_test_file_is_collected() -> None:
    """A check that is not collected is not a check: helpers have no test functions."""
    hidden = []
    for path in TESTS:
        if path.name.startswith("test_") and "benchmarks" not in path.parts:
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        hidden += [
            f"{path.relative_to(ROOT)}:{node.name}"
            for node in ast.walk(tree)
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
        ]
    assert hidden == []
