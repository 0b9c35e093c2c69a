"""The largest amount that a plan's limits allow."""

import pytest

from farmrecords.calculations.manure_test import ManureContent
from farmrecords.calculations.maximum import maximum_per_ac
from farmrecords.calculations.nutrients import NutrientError

# CV-2.1, S-MT5: available N 8.53 and P2O5 18 lb/ton; need 160 N, 50 P2O5: 18.8 and 2.8 ton/ac
MANURE = ManureContent("solid", 8.53, None, None, 18.0, None)


def test_published_maximum():
    assert maximum_per_ac(MANURE, 160, 50, False).units_per_ac == pytest.approx(18.8, abs=0.05)
    limited = maximum_per_ac(MANURE, 160, 50, True)
    assert (limited.units_per_ac, limited.set_by) == (pytest.approx(2.8, abs=0.05), "P2O5")


def test_what_comes_from_elsewhere_uses_up_the_limit():
    assert maximum_per_ac(MANURE, 160, None, False, 160).units_per_ac == 0
    assert maximum_per_ac(MANURE, 160, None, False, 200).units_per_ac == 0
    assert maximum_per_ac(MANURE, 10, 5000, True).set_by == "N"


@pytest.mark.parametrize(
    ("content", "limit", "words"),
    [
        (MANURE, None, "states no N limit"),
        (MANURE, -1, "cannot be"),
        (ManureContent("solid", None, None, None, None, None), 100, "does not state"),
        (ManureContent("solid", 0.0, None, None, None, None), 100, "no amount follows"),
    ],
)
def test_a_missing_figure_gives_no_maximum(content, limit, words):
    with pytest.raises(NutrientError, match=words):
        maximum_per_ac(content, limit, None, False)
