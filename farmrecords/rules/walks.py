"""Walking through a rule: every bundle and every condition it holds, however deep."""

from collections.abc import Iterator
from typing import Any

from farmrecords.rules.conditions import Bundle, Condition
from farmrecords.rules.model import Rule


def bundles_in(held: Any) -> Iterator[Bundle]:
    """Every bundle in a value, a list or a table of a check's keys.

    >>> [bundle.name for bundle in bundles_in({"any": (Bundle("a", ()), [Bundle("b", ())])})]
    ['a', 'b']
    """
    if isinstance(held, Bundle):
        yield held
    elif isinstance(held, dict):
        for item in held.values():
            yield from bundles_in(item)
    elif isinstance(held, (tuple, list)):
        for item in held:
            yield from bundles_in(item)


def whole_bundles(rule: Rule) -> tuple[Bundle, ...]:
    """The bundles that concern the whole rule and not one feature."""
    return (*rule.applies_any, *rule.exempt, *rule.exceptions, *rule.enforced_if)


def bundles_of(rule: Rule) -> Iterator[Bundle]:
    """Every bundle of a rule."""
    yield from whole_bundles(rule)
    yield from bundles_in(rule.keys)


def conditions_of(rule: Rule) -> Iterator[Condition]:
    """Every condition of a rule: its scope, bundles, cells of tables and kinds of feature.

    >>> from farmrecords.rules.rulebook import read_rulebook
    >>> [condition.fact for condition in conditions_of(read_rulebook().rule("MN-SB-7"))]
    ['load.in_road_ditch']
    """
    yield from rule.applies
    for bundle in bundles_of(rule):
        yield from bundle.conditions
    for value in rule.values:
        yield from value.where
    for _, where in rule.keys.get("features", ()):
        yield from where
