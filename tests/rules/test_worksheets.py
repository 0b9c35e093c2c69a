"""A rule's worksheet is one that there is."""

from farmrecords.calculations.worksheet import list_worksheets
from farmrecords.rules.sheets import BEHIND
from farmrecords.rules.vocabulary import VOCABULARY
from tests.rules.written import rulebook

KNOWN = {kind.name for kind in list_worksheets()}


def test_each_worksheet_a_rule_names_exists() -> None:
    named = {rule.id: rule.worksheet for rule in rulebook().rules if rule.worksheet}
    assert {rule: name for rule, name in named.items() if name not in KNOWN} == {}


def test_each_worksheet_behind_a_fact_exists_and_so_does_the_fact() -> None:
    assert set(BEHIND.values()) <= KNOWN
    assert set(BEHIND) <= set(VOCABULARY)


def test_the_year_against_the_plan_opens_the_worksheet_of_the_year() -> None:
    assert rulebook().rule("US-F12-N").worksheet == "field_year_nutrients"
    assert rulebook().rule("VT-P-1").worksheet == "p_index_vt"
