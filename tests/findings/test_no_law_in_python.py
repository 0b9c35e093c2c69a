"""No number of the law stands in the Python that gathers facts and judges with them."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import farmrecords.findings
import farmrecords.loads
from farmrecords.findings.assumptions import STATUSES, assumptions, span
from tests.rules.test_no_law_in_python import numbers

FINDINGS = Path(farmrecords.findings.__file__).parent
LOADS = Path(farmrecords.loads.__file__).parent
# Numbers of our own, each with what it counts; everything else is law or a declared assumption.
OWN: dict[str, dict[float, str]] = {
    "index.py": {400: "loads judged at once", 200: "letters of a title"},
    "judging.py": {31: "last day of December"},
    "load_facts.py": {3600: "seconds of an hour"},
    "may_i_spread.py": {
        14: "days tried for an opening",
        0.005: "share of the field that counts as nothing",
        0.05: "margin in ft round a computed circle",
        0.5: "margin in ft round a computed circle",
        60: "seconds of a minute",
    },
    "permit_layer.py": {64: "rulebooks kept at hand"},
    "seasons.py": {256: "fields kept at hand", 7: "July, the middle of the year"},
    "zones.py": {},
    "surroundings.py": {},
    "year_facts.py": {},
    "feature_facts.py": {},
    "coverage.py": {},
    "drafts.py": {},
    "assumptions.py": {},
}
KEPT: dict[str, dict[float, str]] = {
    "distances.py": {1500: "ft looked in any case", 0.02: "degrees, a generous box"},
    "facts.py": {3: "way of computing", 500: "rows at once", 200: "rows at once"},
    "limits.py": {9: "September, declared there as a working assumption", 31: "end of December"},
    "year_figures.py": {0.1: "ac, a declared working assumption", 0.2: "share, extension, cited"},
    "ground.py": {},
}


def strangers(path: Path, own: dict[float, str]) -> list[tuple[int, object]]:
    return [(line, value) for line, value in numbers(path) if value not in own]


@pytest.mark.parametrize("name", sorted(OWN))
def test_gathering_and_judging_hold_only_numbers_of_their_own(name: str) -> None:
    assert strangers(FINDINGS / name, OWN[name]) == []


@pytest.mark.parametrize("name", sorted(KEPT))
def test_kept_facts_hold_only_numbers_of_their_own(name: str) -> None:
    assert strangers(LOADS / name, KEPT[name]) == []


@pytest.mark.parametrize("path", sorted(FINDINGS.glob("*.py")), ids=lambda path: path.stem)
def test_no_span_of_hours_or_days_is_written_into_findings(path: Path) -> None:
    """Windows and spans come from the declared numbers, not from `timedelta(hours=24)`."""
    written = [
        (node.lineno, keyword.arg)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "timedelta"
        for keyword in node.keywords
        if isinstance(keyword.value, ast.Constant) and keyword.value.value != 1
    ]
    assert written == []


def test_each_declared_number_says_its_unit_source_and_standing() -> None:
    for one in assumptions().values():
        assert one.unit in ("h", "day")
        assert one.citation
        assert one.status in STATUSES


def test_the_federal_weather_window_is_the_one_read() -> None:
    """40 CFR 412.37(c)(3): at the time of application and 24 hours before and after."""
    assert assumptions()["weather_window_h"].status == "read"
    assert span("weather_window_h").total_seconds() == 24 * 60 * 60
