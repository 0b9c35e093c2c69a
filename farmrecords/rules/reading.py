"""Conditions, bundles, values and the keys of checks, read from TOML tables."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from typing import Any

from farmrecords.rules.checks.base import Key
from farmrecords.rules.conditions import OPERATORS, VALUE_OPERATORS, Bundle, Condition
from farmrecords.rules.model import STATUS_ORDER
from farmrecords.rules.papers import AREAS, PAPERS
from farmrecords.rules.tables import Table
from farmrecords.rules.values import DatedValue, Window
from farmrecords.rules.vocabulary import FEATURE_KINDS, TERMS

# Lists whose words are checked in rule files: papers and areas.
REGISTERS: dict[str, dict[str, str]] = {
    "documents.held": PAPERS,
    "feature.documents": PAPERS,
    "field.in_watershed": AREAS,
}
MONTH_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
UNITS = (
    "ft", "in", "h", "day", "month", "year", "gal/ac", "ton/ac", "lb/ac", "%", "ppm", "ac", "F",
    "ratio", "index", "date", "count", "gal", "ton", "animal unit", "day of the year", "word",
    "USD", "animal unit/ac",
)  # fmt: skip


def check_fact(table: Table, key: str, name: str) -> str:
    """The fact's name, or an error that names the nearest one."""
    if name in TERMS:
        return name
    near = get_close_matches(name, TERMS, n=1)
    remedy = f"did you mean '{near[0]}'" if near else "see the vocabulary"
    raise table.fail(key, f"there is no fact {name!r}", remedy)


def read_condition(path: str, where: str, data: Any) -> Condition:
    """One condition: ``{fact = "ground.frozen", is = true}``."""
    table = Table(path, where, data)
    fact = check_fact(table, "fact", table.text("fact"))
    given = table.pairs()
    if len(given) != 1:
        raise table.fail(
            "operator", f"{len(given)} operators are given", f"write one of {', '.join(OPERATORS)}"
        )
    ((operator, operand),) = given.items()
    if operator not in OPERATORS:
        raise table.fail(operator, "there is no such operator", f"one of {', '.join(OPERATORS)}")
    if operator.endswith("_fact"):
        operand = check_fact(table, operator, str(operand))
    elif operator in VALUE_OPERATORS:
        if not isinstance(operand, str):
            raise table.fail(
                operator, f"{operand!r} stands in the condition", "name a dated value instead"
            )
    else:
        operand = _check_word(table, operator, operand, fact)
    return Condition(fact, operator, operand)


def _check_word(table: Table, operator: str, operand: Any, fact: str) -> Any:
    term = TERMS[fact]
    if operator == "known":
        if operand is not True:
            raise table.fail(operator, f"{operand!r} is given", "write known = true")
        return True
    if operator in ("any_of", "none_of"):
        if not isinstance(operand, list) or not operand:
            raise table.fail(operator, f"{operand!r} is no list", "write a list of words")
        return tuple(_check_word(table, "is", item, fact) for item in operand)
    if term.kind == "truth" and not isinstance(operand, bool):
        raise table.fail(operator, f"{operand!r} is no truth", "write true or false")
    if term.kind in ("word", "words") and not isinstance(operand, str):
        raise table.fail(operator, f"{operand!r} is no word", "write a word")
    if term.kind in ("number", "day", "moment"):
        raise table.fail(operator, "the fact is no word", "compare it with a dated value")
    known = REGISTERS.get(fact)
    if known is not None and operand not in known:
        raise table.fail(operator, f"{operand!r} is not known", f"write one of {', '.join(known)}")
    if term.choices and operand not in term.choices:
        raise table.fail(
            operator, f"{operand!r} is not known", f"write one of {', '.join(term.choices)}"
        )
    return operand


def read_conditions(path: str, where: str, rows: Sequence[Any]) -> tuple[Condition, ...]:
    """A list of conditions that hold together."""
    return tuple(
        read_condition(path, f"{where} {number}", row) for number, row in enumerate(rows, 1)
    )


def read_bundles(path: str, where: str, rows: Sequence[Any]) -> tuple[Bundle, ...]:
    """Named bundles of conditions: ``{name = "...", when = [...]}``."""
    bundles = []
    for number, row in enumerate(rows, 1):
        table = Table(path, f"{where} {number}", row)
        name = table.text("name")
        conditions = read_conditions(path, f"{table.where}, when", table.rows("when", True))
        asks, asks_fact = table.text("asks", False), table.text("asks_fact", False)
        if asks_fact:
            check_fact(table, "asks_fact", asks_fact)
        if not conditions:
            raise table.fail("when", "no condition is given", "write at least one")
        table.finish()
        bundles.append(Bundle(name, conditions, asks, asks_fact))
    return tuple(bundles)


def read_value(path: str, where: str, row: Any, status: str) -> DatedValue:
    """One dated value with its unit, first day and paragraph."""
    table = Table(path, where, row)
    name = table.text("name")
    unit = table.text("unit", choices=UNITS)
    first = table.day("from")
    assert first is not None
    until = table.day("until", False)
    if until is not None and until < first:
        raise table.fail("until", f"{until} lies before {first}", "write a later day")
    amount = table.amount("value")
    if isinstance(amount, dict):
        amount = _read_window(Table(path, f"{where}, value", amount))
    if not _fits(amount, unit):
        raise table.fail("unit", f"{unit!r} does not fit the value", "unit and value must agree")
    value = DatedValue(
        name,
        amount,
        unit,
        first,
        until,
        table.text("citation"),
        table.text("status", False, STATUS_ORDER) or status,
        read_conditions(path, f"{where}, where", table.rows("where")),
        table.text("bound", False, ("clear", "unclear")) == "unclear",
    )
    table.finish()
    return value


def _fits(amount: Any, unit: str) -> bool:
    if unit == "day of the year":
        return isinstance(amount, Window)
    if unit == "date":
        return isinstance(amount, date)
    return isinstance(amount, str if unit == "word" else Decimal)


def _read_window(table: Table) -> Window:
    """``{first = "12-15", last = "04-01", ends = "inside"}``; ends are always stated."""
    first, last = table.text("first"), table.text("last")
    ends = table.text("ends", choices=("inside", "unclear", "first_unclear", "last_unclear"))
    table.finish()
    return Window(
        _month_day(table, "first", first),
        _month_day(table, "last", last),
        ends in ("unclear", "first_unclear"),
        ends in ("unclear", "last_unclear"),
        f"{first} to {last}",
    )


def _month_day(table: Table, key: str, text: str) -> tuple[int, int]:
    month, _, day = text.partition("-")
    if month.isdigit() and 1 <= int(month) <= 12:
        if day == "end" and key == "last":
            return int(month), 0
        if day.isdigit() and 1 <= int(day) <= MONTH_DAYS[int(month) - 1]:
            return int(month), int(day)
    raise table.fail(key, f"{text!r} is no day of the year", "write month-day such as 12-15")


def read_key(table: Table, name: str, key: Key) -> Any:
    """One key of a check, by its kind."""
    where = f"{table.where}, {name}"
    if key.kind == "fact":
        text = table.text(name, key.required)
        return check_fact(table, name, text) if text else ""
    if key.kind == "facts":
        return tuple(check_fact(table, name, fact) for fact in table.texts(name, key.required))
    if key.kind in ("value", "word"):
        return table.text(name, key.required, key.choices)
    if key.kind == "values":
        return table.texts(name, key.required)
    if key.kind == "truth":
        return table.truth(name)
    if key.kind == "bundles":
        return read_bundles(table.path, where, table.rows(name, key.required))
    if key.kind == "features":
        return _read_features(table, name)
    if key.kind == "limits":
        return _read_limits(table.path, where, table.rows(name, key.required))
    return _read_classes(table, name)


def _read_features(table: Table, name: str) -> tuple[tuple[tuple[str, ...], Any], ...]:
    """Kinds with the conditions under which they count."""
    found = []
    for number, row in enumerate(table.rows(name, True), 1):
        inner = Table(table.path, f"{table.where}, {name} {number}", row)
        kinds = inner.texts("kinds", True)
        for kind in kinds:
            if kind not in FEATURE_KINDS:
                raise inner.fail("kinds", f"there is no kind {kind!r}", "see the list of features")
        where = read_conditions(table.path, f"{inner.where}, where", inner.rows("where"))
        inner.finish()
        found.append((kinds, where))
    return tuple(found)


def _read_limits(path: str, where: str, rows: Sequence[Any]) -> tuple[tuple[str, str], ...]:
    """Limits as (value name, fact name); both together mean their product."""
    found = []
    for number, row in enumerate(rows, 1):
        table = Table(path, f"{where} {number}", row)
        value, fact = table.text("value", False), table.text("fact", False)
        if not value and not fact:
            raise table.fail("value", "nothing is given", "name a value, a fact or both")
        if fact:
            check_fact(table, "fact", fact)
        table.finish()
        found.append((value, fact))
    return tuple(found)


def _read_classes(table: Table, name: str) -> tuple[Mapping[str, Any], ...]:
    """Classes of a P risk procedure, lowest first, each with what it permits."""
    found = []
    for number, row in enumerate(table.rows(name, True), 1):
        inner = Table(table.path, f"{table.where}, {name} {number}", row)
        found.append(
            {
                "name": inner.text("name"),
                "also": inner.texts("also"),
                "up_to": inner.text("up_to", False),
                "below": inner.text("below", False),
                "permits": inner.text("permits", choices=("n_based", "capped", "none", "planner")),
                "actual": inner.text("actual", False),
                "limits": _read_limits(table.path, inner.where, inner.rows("limits")),
                "combine": inner.text("combine", False, ("least", "greatest")) or "least",
                "needs": read_bundles(table.path, f"{inner.where}, needs", inner.rows("needs")),
            }
        )
        inner.finish()
    return tuple(found)
