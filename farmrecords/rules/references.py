"""Every name a rule mentions must be given, and every value given must be used."""

from collections.abc import Iterator
from typing import Any

from farmrecords.rules.checks import check_named
from farmrecords.rules.model import FORM_BOUND, Rule
from farmrecords.rules.tables import Table
from farmrecords.rules.walks import conditions_of, whole_bundles


def check_references(table: Table, rule: Rule) -> None:
    """Refuse a missing value, an unused value, and one that begins after its rule."""
    for condition in (*rule.applies, *(c for b in whole_bundles(rule) for c in b.conditions)):
        if condition.fact.startswith("feature."):
            raise table.fail(
                "applies", f"{condition.fact!r} belongs to one feature", "ask it where features are"
            )
    given = {value.name for value in rule.values}
    used = {**dict(_used_values(rule)), FORM_BOUND: FORM_BOUND}
    if FORM_BOUND not in given:
        del used[FORM_BOUND]
    for name, place in used.items():
        if name not in given:
            raise table.fail(place, f"there is no value named {name!r}", "add it, with its day")
    for name in sorted(given):
        if name not in used:
            raise table.fail("value", f"the value {name!r} is not used", "remove it")
        rows = [value for value in rule.values if value.name == name]
        if min(row.from_on for row in rows) > rule.from_on:
            raise table.fail(
                "value",
                f"the value {name!r} begins after the rule",
                "let the rule begin with its values",
            )
        _refuse_same_day(table, name, rows)


def _refuse_same_day(table: Table, name: str, rows: list[Any]) -> None:
    seen = set()
    for row in rows:
        if (row.where, row.from_on) in seen:
            raise table.fail(
                "value", f"the value {name!r} is given twice from {row.from_on}", "keep one"
            )
        seen.add((row.where, row.from_on))


def _used_values(rule: Rule) -> Iterator[tuple[str, str]]:
    for condition in conditions_of(rule):
        name = condition.names_value()
        if name:
            yield name, "a condition"
    for name, key in check_named(rule.check).keys.items():
        held = rule.keys[name]
        if key.kind == "value" and held:
            yield held, name
        if key.kind == "values":
            yield from ((value, name) for value in held)
        if key.kind == "bundles":
            yield from ((bundle.asks, name) for bundle in held if bundle.asks)
        if key.kind == "limits":
            yield from ((value, name) for value, _ in held if value)
        if key.kind == "classes":
            for row in held:
                yield from ((row[k], name) for k in ("up_to", "below") if row[k])
                yield from ((value, name) for value, _ in row["limits"] if value)
