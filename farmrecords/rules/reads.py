"""Which facts a rule may read: so that the same facts need not be judged twice."""

from collections.abc import Iterator
from typing import Any

from farmrecords.rules.checks import check_named
from farmrecords.rules.conditions import Bundle, Condition
from farmrecords.rules.model import FORM_BOUND, Rule

FORM_FACTS = ("material.solids_pct", "material.form")


def facts_read(rule: Rule) -> tuple[str, ...] | None:
    """The names of every fact the rule may look at; None where it looks at features too.

    >>> from farmrecords.rules.rulebook import read_rulebook
    >>> facts_read(read_rulebook().rule("MN-SB-7"))
    ('load.in_road_ditch',)
    """
    check = check_named(rule.check)
    if any(key.kind == "features" for key in check.keys.values()):
        return None
    names = list(check.reads)
    for condition in _conditions(rule):
        names.append(condition.fact)
        if condition.family == "fact":
            names.append(str(condition.operand))
    for name, key in check.keys.items():
        names.extend(_of_key(key.kind, rule.keys[name]))
    if any(value.name == FORM_BOUND for value in rule.values):
        names.extend(FORM_FACTS)
    return tuple(sorted({name for name in names if name}))


def _conditions(rule: Rule) -> Iterator[Condition]:
    yield from rule.applies
    for bundle in (*rule.applies_any, *rule.exempt, *rule.exceptions, *rule.enforced_if):
        yield from bundle.conditions
    for value in rule.values:
        yield from value.where
    for held in rule.keys.values():
        yield from (condition for bundle in _bundles(held) for condition in bundle.conditions)


def _bundles(held: Any) -> Iterator[Bundle]:
    """Every bundle in a check's keys, however deep."""
    if isinstance(held, Bundle):
        yield held
    elif isinstance(held, dict):
        for item in held.values():
            yield from _bundles(item)
    elif isinstance(held, tuple):
        for item in held:
            yield from _bundles(item)


def _of_key(kind: str, held: Any) -> Iterator[str]:
    """The facts that one key of a check names itself."""
    if kind == "fact":
        yield held
    elif kind == "facts":
        yield from held
    elif kind == "limits":
        yield from (fact for _, fact in held)
    elif kind == "classes":
        for row in held:
            yield row["actual"]
            yield from (fact for _, fact in row["limits"])
