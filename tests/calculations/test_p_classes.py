"""Class rules for entered index values: Iowa, Wisconsin, Maryland."""

import pytest

from farmrecords.calculations.p_classes import (
    class_rules,
    iowa_class,
    maryland_class,
    maryland_tier,
    wisconsin_class,
)
from farmrecords.calculations.p_index_vt_inputs import PIndexError


# 567 IAC 65 (read to 15; above 15 memory): very low 0-1, low > 1-2, medium > 2-5, high > 5-15
@pytest.mark.parametrize(
    ("index", "name"),
    [(0, "Very low"), (1, "Very low"), (1.01, "Low"), (2, "Low"), (2.01, "Medium"), (5, "Medium"),
     (5.01, "High"), (15, "High"), (15.01, "Very high")],
)  # fmt: skip
def test_iowa(index, name):
    found = iowa_class(index)
    assert found.name == name
    assert found.evidence == ("memory" if name == "Very high" else "read")


# ATCP 51 appendix B (read): mean over up to 8 years <= 6; flag 6.0-6.5, rounding not found
@pytest.mark.parametrize(
    ("years", "mean", "name"),
    [([6], 6, "At or below 6"), ([4, 8], 6, "At or below 6"), ([6, 6.02], 6.01, "planner"),
     ([6.49], 6.49, "planner"), ([6.5], 6.5, "Above 6"), ([0] * 7 + [48], 6, "At or below 6")],
)  # fmt: skip
def test_wisconsin(years, mean, name):
    found = wisconsin_class(years)
    assert (found.name, found.value) == (name, pytest.approx(mean))


@pytest.mark.parametrize("years", [[], [1] * 9, [-1], [float("nan")]])
def test_wisconsin_refuses(years):
    with pytest.raises(PIndexError):
        wisconsin_class(years)


# COMAR 15.20.08: PMT classes 0-50 / 51-100 / > 100 (memory); FIV >= 150 asks for the tool (read)
@pytest.mark.parametrize(
    ("score", "fiv", "name"),
    [(50, None, "Low"), (50.4, None, "Low"), (50.5, None, "Medium"), (100.4, None, "Medium"),
     (100.5, None, "High"), (300, 150, "High"), (300, 149.9, "Not asked for")],
)  # fmt: skip
def test_maryland(score, fiv, name):
    assert maryland_class(score, fiv).name == name


def test_maryland_classes_say_that_they_are_from_memory():
    assert maryland_class(20).evidence == "memory"
    assert maryland_class(20, 100).evidence == "read"


# COMAR 15.20.08 (read): A 150-<300, B 300-<450, C >= 450, mean of fields with FIV > 150
@pytest.mark.parametrize(
    ("fields", "tier"),
    [([150], ""), ([151], "A"), ([299.9], "A"), ([300], "B"), ([449.9], "B"), ([450], "C"),
     ([10, 450], "C"), ([], "")],
)  # fmt: skip
def test_maryland_tiers(fields, tier):
    assert maryland_tier(fields) == tier


def test_every_rule_names_its_source_and_ends_open():
    for rule in class_rules().values():
        assert rule["source"]
        assert "to" not in rule["classes"][-1]
        assert all(c["evidence"] in ("read", "memory") and c["meaning"] for c in rule["classes"])


def test_impossible_values_are_refused():
    for call in (lambda: iowa_class(-1), lambda: maryland_class(float("inf")),
                 lambda: maryland_class(10, -1), lambda: maryland_tier([-5])):  # fmt: skip
        with pytest.raises(PIndexError, match="0 or more"):
            call()
