"""Facts: what nobody knows, what is misspelt, what is of the wrong type."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from farmrecords.rules.facts import UNKNOWN, FactError, Facts, Feature
from farmrecords.rules.vocabulary import FEATURE_KINDS, FEATURE_VOCABULARY, VOCABULARY


def test_an_absent_fact_is_unknown() -> None:
    assert Facts()["ground.frozen"] is UNKNOWN


def test_an_absent_register_is_empty_and_not_unknown() -> None:
    assert Facts()["documents.held"] == ()


def test_a_register_may_be_unknown_when_said_so() -> None:
    assert Facts({"documents.held": UNKNOWN})["documents.held"] is UNKNOWN


def test_unknown_is_neither_true_nor_false() -> None:
    with pytest.raises(TypeError, match="neither true nor false"):
        bool(UNKNOWN)


def test_a_misspelt_fact_is_refused_with_the_nearest() -> None:
    with pytest.raises(FactError, match=r"no fact 'load\.methd'.*Closest: 'load\.method'"):
        Facts({"load.methd": "surface"})


def test_a_misspelt_fact_is_refused_on_asking_too() -> None:
    with pytest.raises(FactError, match="no fact"):
        Facts()["ground.forzen"]


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("ground.frozen", "yes", "must be true or false, not 'yes'"),
        ("ground.snow_in", True, "must be a number, not True"),
        ("ground.snow_in", float("nan"), "must be a number, not nan"),
        ("load.day", "2025-05-06", "must be a day"),
        ("load.day", datetime(2025, 5, 6, tzinfo=UTC), "must be a day"),
        ("load.start_at", datetime(2025, 5, 6), "must be a moment with its offset"),  # noqa: DTZ001
        ("load.method", "sprayed", "it is one of injected, incorporated, surface, irrigated"),
        ("documents.held", "waiver", "must be a list of words"),
        ("features.none_stated", ["volcano"], "cannot be 'volcano'"),
    ],
)
def test_a_wrong_value_is_refused_with_what_is_expected(
    name: str, value: object, words: str
) -> None:
    with pytest.raises(FactError) as raised:
        Facts({name: value})
    assert words in str(raised.value)
    assert name in str(raised.value)


def test_a_float_is_taken_by_its_shortest_text() -> None:
    assert Facts({"ground.snow_in": 0.1})["ground.snow_in"] == Decimal("0.1")


def test_facts_do_not_change() -> None:
    facts = Facts({"ground.frozen": True})

    assert facts.changed(ground__frozen=False)["ground.frozen"] is False
    assert facts["ground.frozen"] is True


def test_a_feature_of_unknown_kind_is_refused() -> None:
    with pytest.raises(FactError, match=r"no kind of feature 'pund'\. Closest: 'pond'"):
        Feature(kind="pund")


def test_each_fact_of_a_feature_is_declared() -> None:
    names = {f"feature.{name}" for name in Feature.__dataclass_fields__} - {"feature.name"}
    assert names == set(FEATURE_VOCABULARY)


def test_each_term_says_what_it_means() -> None:
    assert [name for name, term in VOCABULARY.items() if not term.meaning] == []
    assert [kind for kind, words in FEATURE_KINDS.items() if not words] == []


def test_a_truth_without_choices_and_a_word_with_them() -> None:
    assert [
        name for name, term in VOCABULARY.items() if term.kind == "truth" and term.choices
    ] == []
