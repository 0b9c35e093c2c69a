"""What the farm can name is what the rules speak of: one list of kinds of features."""

from __future__ import annotations

from farmrecords.farm.kinds import FEATURE_KINDS
from farmrecords.findings.rulebooks import rulebook
from farmrecords.rules.vocabulary import FEATURE_KINDS as SPOKEN_OF


def test_every_kind_of_feature_of_the_rules_can_be_entered_and_has_a_label() -> None:
    offered = dict(FEATURE_KINDS)
    assert set(offered) == set(SPOKEN_OF)
    assert all(str(label).strip() for label in offered.values())


def test_no_kind_or_label_stands_twice() -> None:
    labels = [str(label) for _kind, label in FEATURE_KINDS]
    assert len(dict(FEATURE_KINDS)) == len(FEATURE_KINDS)
    assert len(set(labels)) == len(labels)


def test_every_kind_a_distance_rule_keeps_off_can_be_entered() -> None:
    kept_off = {
        kind
        for rule in rulebook().rules
        if rule.check == "distance"
        for kinds, _where in rule.keys["features"]
        for kind in kinds
    }
    assert kept_off <= set(dict(FEATURE_KINDS))
    assert len(kept_off) > 20
