"""What must hold of every situation, whatever its rule."""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from random import Random

import pytest

from farmrecords.rules.cases import Case
from farmrecords.rules.facts import UNKNOWN, Facts, Feature
from farmrecords.rules.judge import judge
from farmrecords.rules.rulebook import DATA, make_rulebook, read_rulebook
from farmrecords.rules.vocabulary import FEATURE_VOCABULARY
from tests.rules.written import by_file, cases, rulebook

WORSE = {"met": 0, "notice": 1, "cannot_tell": 2, "not_met": 3}
each_file = pytest.mark.parametrize("path", sorted(by_file()))


def outcomes(case: Case, facts: Facts) -> dict[str, str]:
    found = judge(rulebook(), case.stack, facts, case.on, case.subject)
    return {finding.rule_id: finding.outcome for finding in found}


def with_one_unknown(facts: Facts) -> Iterator[tuple[str, Facts]]:
    """The facts with each single one made unknown, on the load and on its features."""
    for name in facts:
        if facts[name] is not UNKNOWN:
            yield name, facts.without(name)
    for number, feature in enumerate(facts.features):
        for name in FEATURE_VOCABULARY:
            if name == "feature.kind" or feature.get(name) is UNKNOWN:
                continue
            changed = list(facts.features)
            changed[number] = feature.without(name)
            yield name, facts.with_features(changed)


@each_file
def test_not_knowing_a_fact_never_makes_it_met(path: str) -> None:
    for case in by_file()[path]:
        before = outcomes(case, case.facts)
        for name, facts in with_one_unknown(case.facts):
            for rule, outcome in outcomes(case, facts).items():
                if outcome == "met":
                    assert before.get(rule, "met") == "met", (case.title, rule, name)


def nearer(feature: Feature, share: Decimal) -> Feature:
    """The same feature, nearer by a share of its distance."""
    if not isinstance(feature.distance_ft, Decimal):
        return feature
    return replace(feature, distance_ft=feature.distance_ft * share)


@each_file
def test_moving_nearer_never_improves(path: str) -> None:
    for case in by_file()[path]:
        before = outcomes(case, case.facts)
        for share in (Decimal("0.9"), Decimal("0.5"), Decimal(0)):
            moved = [nearer(feature, share) for feature in case.facts.features]
            after = outcomes(case, case.facts.with_features(moved))
            for rule, outcome in after.items():
                assert WORSE[outcome] >= WORSE[before[rule]], (case.title, rule, share)


RATES = (
    "load.rate_gal_per_ac",
    "load.rate_ton_per_ac",
    "load.whole_field_gal_per_ac",
    "load.week_gal_per_ac",
    "load.year_gal_per_ac",
    "load.p2o5_lb_per_ac",
    "year.n_lb_per_ac",
    "year.n_whole_field_lb_per_ac",
    "year.p2o5_lb_per_ac",
    "year.p2o5_whole_field_lb_per_ac",
    "year.manure_p2o5_lb_per_ac",
    "year.p2o5_2yr_lb_per_ac",
    "year.p2o5_3yr_lb_per_ac",
    "year.total_n_lb_per_ac",
)


@each_file
def test_raising_a_rate_never_improves(path: str) -> None:
    for case in by_file()[path]:
        before = outcomes(case, case.facts)
        for name in RATES:
            rate = case.facts[name]
            if not isinstance(rate, Decimal):
                continue
            for more in (rate + 1, rate * 2, rate * 100 + 1):
                higher = Facts({**case.facts.values_by_name, name: more}, case.facts.features)
                for rule, outcome in outcomes(case, higher).items():
                    assert WORSE[outcome] >= WORSE[before[rule]], (case.title, rule, name, more)


def test_the_order_of_rule_files_does_not_matter(tmp_path: Path) -> None:
    """Files renamed so that they are read in reverse give the same rules in the same order."""
    names = sorted(path for path in DATA.glob("*/*.toml"))
    for number, path in enumerate(reversed(names)):
        name = path.name if path.name == "index.toml" else f"{number:03d}.toml"
        target = tmp_path / path.parent.name / name
        target.parent.mkdir(exist_ok=True)
        target.write_text(path.read_text(encoding="utf-8"), encoding="utf-8")

    renamed = read_rulebook(tmp_path)

    assert [rule.id for rule in renamed.rules] == [rule.id for rule in rulebook().rules]
    assert renamed.fingerprint == rulebook().fingerprint


def test_the_order_of_rules_does_not_matter() -> None:
    rules = list(rulebook().rules)
    Random(7).shuffle(rules)

    shuffled = make_rulebook(rules, rulebook().sections, rulebook().coverage)

    assert shuffled.fingerprint == rulebook().fingerprint
    for case in cases():
        found = judge(shuffled, case.stack, case.facts, case.on, case.subject)
        assert [(item.rule_id, item.outcome) for item in found] == [
            (item.rule_id, item.outcome) for item in case.found(rulebook())
        ]
