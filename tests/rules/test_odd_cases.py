"""Odd cases of other states can be written: their rules stand in ``odd/rules`` for these tests.

Those of the seven states are situations of their own rules: alternatives chosen by programme or
field (PA-SB, WI-SB-1-AREA), limits that equal a fact (MD-P, IA-P-1), enforceability by history
(OH-SB-2), sibling statutes (OH-F-1, OH-F-2), emergencies as bundles (IA-W-1), calendar, ground
and either/or winters (VT-W, PA-W), clocks of incorporation, rolling windows (WI-H), direction
(MN-SB-6), clauses not carried forward (MD-P-5), plan lists (PA-W-1), permit terms that end
(MN-N-0, MN-N-1), county overlays (MN-SB-L1, WI-W-9), forms by solids (WI-W-1).
"""

from functools import cache
from pathlib import Path

import pytest

from farmrecords.rules.cases import Case, case_files, differences, read_cases
from farmrecords.rules.rulebook import Rulebook, read_rulebook

ODD = Path(__file__).parent / "odd"
CASES = [case for path in case_files(ODD / "cases") for case in read_cases(path, path.stem)]


@cache
def odd_rulebook() -> Rulebook:
    """The rules of the odd cases."""
    return read_rulebook(ODD / "rules")


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.path}: {case.title}")
def test_the_odd_case_gives_what_it_expects(case: Case) -> None:
    assert differences(case, case.found(odd_rulebook())) == []


def test_a_stayed_rule_prints_its_force() -> None:
    case = next(case for case in CASES if "stayed" in case.title)

    found = {finding.rule_id: finding for finding in case.found(odd_rulebook())}

    assert found["MI-W-1A"].params["force"] == "stayed"
