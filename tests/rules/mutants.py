"""Rules changed in one place each: what the written situations must notice.

Run by hand it lists every change that no situation notices, memory rows too:
``python -m tests.rules.mutants [RULE ...]``.
"""

import re
import sys
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from typing import Any

from farmrecords.rules.cases import Case, differences
from farmrecords.rules.errors import RuleFileError
from farmrecords.rules.judge import judge_rule
from farmrecords.rules.model import Rule
from farmrecords.rules.reader import load_toml, read_rule
from farmrecords.rules.rulebook import DATA
from tests.rules.written import cases, rulebook

Raw = dict[str, Any]
Place = tuple[str | int, ...]
# Units counted in whole numbers move by one; another number by a fiftieth, below ten by a tenth.
WHOLE = ("day", "month", "year", "count", "h")
SMALL = 10
IDLE = re.compile(r"the value '(?P<name>\w+)' is not used")
STRICT = {
    "at_least": "more_than",
    "more_than": "at_least",
    "at_most": "less_than",
    "less_than": "at_most",
    "on_or_before": "before",
    "before": "on_or_before",
}
COMPARATORS = ("comparator", "amount_comparator", "probability_comparator")
BUNDLES = (
    *("applies", "applies_any", "exempt", "exception", "enforced_if"),
    *("alternatives", "barred", "any"),
)
# Of these one may be left alone; of the others a rule needs one at least.
OPTIONAL = ("applies", "exempt", "exception", "alternatives", "enforced_if")
# Lists of words, records, and conditions that hold together: each of several is needed.
LISTS = ("kinds", "any_of", "records", "when", "where", "also", "limit", "limits", "needs")
FLAGS = ("combine", "or_larger", "at_least_actual", "late")
# A common year and a day in the middle of it, to move an end of a season by a day.
YEAR = 2023


@cache
def raw_rules() -> dict[str, Raw]:
    """The table of each packaged rule, by its id."""
    found = {}
    for path in sorted(DATA.glob("*/*.toml")):
        if path.name != "index.toml":
            for row in load_toml(path, path.name)["rule"]:
                found[row["id"]] = row
    return found


@cache
def situations() -> dict[str, list[Case]]:
    """The situations that expect something of each rule, with that expectation alone."""
    found: dict[str, list[Case]] = {}
    for case in cases():
        for expected in case.expected:
            found.setdefault(expected.rule, []).append(replace(case, expected=(expected,)))
    return found


def mutants(rule: Rule) -> Iterator[tuple[str, Rule]]:
    """The rule changed in one number, day, comparator or bundle, with the words for it."""
    raw = raw_rules()[rule.id]
    for words, changed in _changes(raw):
        other = _read(rule, changed)
        if other is not None:
            yield words, other


def _read(rule: Rule, changed: Raw) -> Rule | None:
    """The changed table as a rule, its idle values left out; None where it is no rule."""
    try:
        return read_rule(f"{rule.section.path}.toml", rule.id, changed, rule.section)
    except RuleFileError as error:
        idle = IDLE.fullmatch(error.wrong)
    if idle is None:
        return None
    left = [row for row in changed["value"] if row["name"] != idle["name"]]
    return _read(rule, {**changed, "value": left})


def noticed(rule: Rule) -> bool:
    """Whether some situation gives another answer under this rule than it expects."""
    return any(_wrong(case, rule) for case in situations().get(rule.id, ()))


def _wrong(case: Case, rule: Rule) -> bool:
    found = []
    if rule.jurisdiction in case.stack and rule.subject == case.subject and rule.in_force(case.on):
        finding, _, _ = judge_rule(rule.on(case.on), case.facts)
        found = [finding] if finding is not None else []
    return bool(differences(case, found))


def unnoticed(rule: Rule) -> list[str]:
    """The changes of a rule that no situation notices."""
    return [words for words, changed in mutants(rule) if not noticed(changed)]


def _changes(raw: Raw) -> Iterator[tuple[str, Raw]]:
    for number, row in enumerate(raw.get("value", ())):
        for words, value in _other_values(row):
            yield f"{row['name']}: {words}", _with(raw, ("value", number, "value"), value)
        if row.get("bound") == "unclear":
            yield f"{row['name']}: bound clear", _with(raw, ("value", number, "bound"), "clear")
    unclear = tuple(row["name"] for row in raw.get("value", ()) if row.get("bound") == "unclear")
    for place, operator in _operators(raw, (), unclear):
        yield f"{'.'.join(map(str, place))}: {operator}", _renamed(raw, place)
    for key in COMPARATORS:
        if key in raw:
            yield f"{key}: {raw[key]}", _with(raw, (key,), STRICT[raw[key]])
    for place, word in _lists(raw, ()):
        yield f"{'.'.join(map(str, place))}: without {word}", _shorter(raw, place)
    for number, row in enumerate(raw.get("classes", ())):
        for other in {"n_based", "none", "planner"} - {row["permits"]}:
            if other != "none" or row.get("actual"):
                yield f"{row['name']}: {other}", _with(raw, ("classes", number), _class(row, other))
        if "needs" in row:
            without = {key: held for key, held in row.items() if key != "needs"}
            yield f"{row['name']}: without needs", _with(raw, ("classes", number), without)
    for number, row in enumerate(raw.get("force", ())):
        for days in (-1, 1):
            moved = {**row, "from": row["from"] + timedelta(days=days)}
            yield f"force {row['state']}: {days} day", _with(raw, ("force", number), moved)
    for key in FLAGS:
        if key in raw:
            yield f"without {key}", {name: held for name, held in raw.items() if name != key}
    for key in BUNDLES:
        for number, row in enumerate(raw.get(key, ())):
            left = [item for place, item in enumerate(raw[key]) if place != number]
            if left or key in OPTIONAL:
                name = row["name"] if "name" in row else row["fact"]
                yield f"without {key}: {name}", _with(raw, (key,), left)


def _other_values(row: Raw) -> Iterator[tuple[str, Any]]:
    value = row["value"]
    if isinstance(value, dict):
        yield from _other_windows(value)
    elif isinstance(value, date):
        for days in (-1, 1):
            yield f"{days} day", value + timedelta(days=days)
    elif isinstance(value, (int, Decimal)):
        for step in (-_step(row), _step(row)):
            yield f"{value} as {value + step}", value + step


def _step(row: Raw) -> Decimal:
    value = Decimal(row["value"])
    if row["unit"] in WHOLE or not value:
        return Decimal(1)
    return value / (10 if value < SMALL else 50)


def _other_windows(value: Raw) -> Iterator[tuple[str, Raw]]:
    one_day = value["first"] == value["last"]
    for days in (-1, 1):
        first, last = _moved(value["first"], days), _moved(value["last"], days)
        if one_day:
            yield f"{value['first']} as {first}", {**value, "first": first, "last": last}
            continue
        yield f"first {value['first']} as {first}", {**value, "first": first}
        yield f"last {value['last']} as {last}", {**value, "last": last}
    if not one_day:
        ends = "unclear" if value["ends"] == "inside" else "inside"
        yield f"ends {value['ends']} as {ends}", {**value, "ends": ends}


def _moved(text: str, days: int) -> str:
    month, day = text.split("-")
    if day == "end":
        return "02-27" if days < 0 else "03-01"
    on = date(YEAR, int(month), int(day)) + timedelta(days=days)
    return f"{on.month:02}-{on.day:02}"


def _operators(
    held: Any, place: Place, open_values: tuple[str, ...]
) -> Iterator[tuple[Place, str]]:
    """Every comparator of a condition, with the place of its table.

    A value whose own side the text leaves open answers the same by either comparator.
    """
    if isinstance(held, list):
        for number, item in enumerate(held):
            yield from _operators(item, (*place, number), open_values)
    elif isinstance(held, dict):
        for key, item in held.items():
            if "fact" in held and key.removesuffix("_fact") in STRICT:
                if item not in open_values:
                    yield (*place, key), key
            elif key != "value" or isinstance(item, list):
                yield from _operators(item, (*place, key), open_values)


def _lists(held: Any, place: Place) -> Iterator[tuple[Place, str]]:
    """Every item of a list of words, records, limits or conditions, where others are left."""
    if isinstance(held, list):
        for number, item in enumerate(held):
            yield from _lists(item, (*place, number))
    elif isinstance(held, dict):
        for key, item in held.items():
            if key in LISTS and isinstance(item, list) and len(item) > 1:
                for number, word in enumerate(item):
                    yield (*place, key, number), _called(word)
            yield from _lists(item, (*place, key))


def _class(row: Raw, permits: str) -> Raw:
    left = {key: held for key, held in row.items() if key not in ("limits", "combine")}
    return {**left, "permits": permits}


def _called(item: Any) -> str:
    if not isinstance(item, dict):
        return str(item)
    return str(item.get("name") or item.get("fact") or item.get("value"))


def _shorter(raw: Raw, place: Place) -> Raw:
    changed = deepcopy(raw)
    table: Any = changed
    for step in place[:-1]:
        table = table[step]
    del table[place[-1]]
    return changed


def _renamed(raw: Raw, place: Place) -> Raw:
    changed = deepcopy(raw)
    table: Any = changed
    for step in place[:-1]:
        table = table[step]
    key = str(place[-1])
    base = key.removesuffix("_fact")
    table[STRICT[base] + key.removeprefix(base)] = table.pop(key)
    return changed


def _with(raw: Raw, place: Place, value: Any) -> Raw:
    changed = deepcopy(raw)
    table: Any = changed
    for step in place[:-1]:
        table = table[step]
    table[place[-1]] = value
    return changed


def main(names: list[str]) -> None:
    """Print what no situation notices."""
    for rule in rulebook().rules:
        if not names or rule.id in names:
            for words in unnoticed(rule):
                sys.stdout.write(f"{rule.id} ({rule.weakest_status}): {words}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
