"""Conditions of a rule, answered in three ways: yes, no, cannot tell (None).

A condition names one fact, one operator and one operand. Numbers never stand in it: it names
a dated value of its rule, so that each number keeps its day, unit and paragraph.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from farmrecords.rules.facts import UNKNOWN, Value
from farmrecords.rules.values import DatedValue, Window

Answer = bool | None
Getter = Callable[[str], Value]
Cells = Mapping[str, tuple[DatedValue, ...]]

WORD_OPERATORS = ("is", "is_not", "any_of", "none_of", "holds", "lacks", "known")
NUMBER_OPERATORS = ("at_least", "more_than", "at_most", "less_than")
DAY_OPERATORS = ("on_or_after", "on_or_before", "before")
WINDOW_OPERATORS = ("in_window", "outside_window")
OPERATORS = (
    *WORD_OPERATORS,
    *NUMBER_OPERATORS,
    *(f"{name}_fact" for name in NUMBER_OPERATORS),
    *DAY_OPERATORS,
    *(f"{name}_fact" for name in DAY_OPERATORS),
    *WINDOW_OPERATORS,
)
VALUE_OPERATORS = (*NUMBER_OPERATORS, *DAY_OPERATORS, *WINDOW_OPERATORS)


def _family(operator: str) -> str:
    """How an operator is answered: is, word, fact or value."""
    if operator == "is":
        return "is"
    if operator in WORD_OPERATORS:
        return "word"
    return "fact" if operator.endswith("_fact") else "value"


@dataclass(frozen=True, slots=True)
class Condition:
    """One question about one fact; ``operand`` is a word, a truth, or the name of a value."""

    fact: str
    operator: str
    operand: bool | str | tuple[str, ...]
    family: str = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "family", _family(self.operator))

    def names_value(self) -> str:
        """The name of the dated value it compares with, or an empty text."""
        if self.family == "value":
            return str(self.operand)
        return ""


@dataclass(frozen=True, slots=True)
class Bundle:
    """Conditions that hold only together: an exception, an exemption or an alternative.

    ``asks`` names the dated value (or fact) that an alternative asks instead of the base.
    """

    name: str
    conditions: tuple[Condition, ...]
    asks: str = ""
    asks_fact: str = ""


def compare_numbers(actual: Decimal, operator: str, limit: Decimal) -> bool:
    """Whether the comparison holds; the comparator is part of the rule.

    >>> compare_numbers(Decimal("0.5"), "more_than", Decimal("0.5"))
    False
    """
    if operator == "at_least":
        return actual >= limit
    if operator == "more_than":
        return actual > limit
    if operator == "at_most":
        return actual <= limit
    return actual < limit


def _word_answer(condition: Condition, value: Value) -> Answer:
    operand = condition.operand
    if condition.operator == "known":
        return True if value is not UNKNOWN else None
    if value is UNKNOWN:
        return None
    if condition.operator == "is_not":
        return value != operand
    if condition.operator == "any_of":
        return value in operand  # type: ignore[operator]
    if condition.operator == "none_of":
        return value not in operand  # type: ignore[operator]
    held = operand in value  # type: ignore[operator]
    return held if condition.operator == "holds" else not held


def _number_answer(actual: Value, operator: str, limit: object, unclear: bool) -> Answer:
    if not isinstance(actual, Decimal) or not isinstance(limit, Decimal):
        return None
    if unclear and actual == limit:
        return None
    return compare_numbers(actual, operator, limit)


def _window_answer(value: Value, window: object, inside: bool) -> Answer:
    if not isinstance(value, date) or isinstance(value, datetime):
        return None
    if not isinstance(window, Window):
        return None
    answer = window.contains(value)
    return answer if answer is None or inside else not answer


def _day_answer(value: Value, operator: str, day: object) -> Answer:
    if isinstance(value, datetime):
        value = value.date()
    if not isinstance(value, date) or not isinstance(day, date):
        return None
    if operator == "on_or_after":
        return value >= day
    return value <= day if operator == "on_or_before" else value < day


def _value_answer(condition: Condition, value: Value, dated: DatedValue) -> Answer:
    operator = condition.operator
    if operator in DAY_OPERATORS:
        return _day_answer(value, operator, dated.value)
    if operator in WINDOW_OPERATORS:
        return _window_answer(value, dated.value, operator == "in_window")
    return _number_answer(value, operator, dated.value, dated.bound_unclear)


def answer(condition: Condition, get: Getter, cells: Cells) -> Answer:
    """Yes, no, or None where the fact (or the rule's own bound) does not tell."""
    value, family = get(condition.fact), condition.family
    if family == "is":
        return None if value is UNKNOWN else value == condition.operand
    if family == "word":
        return _word_answer(condition, value)
    if family == "fact":
        other = get(str(condition.operand))
        operator = condition.operator.removesuffix("_fact")
        if operator in DAY_OPERATORS:
            return _day_answer(value, operator, other)
        return _number_answer(value, operator, other, False)
    rows = cells[str(condition.operand)]
    if len(rows) == 1 and not rows[0].where:
        return _value_answer(condition, value, rows[0])
    possible, settled = possible_cells(rows, get, cells)
    answers = {_value_answer(condition, value, row) for row in possible}
    return answers.pop() if settled and len(answers) == 1 else None


def possible_cells(
    rows: tuple[DatedValue, ...], get: Getter, cells: Cells
) -> tuple[tuple[DatedValue, ...], bool]:
    """The cells of a table that may be the one, in order, and whether one surely is.

    The first cell whose conditions hold settles it; cells before it that might hold stay
    possible. An empty result means that the rule names no number for this case.
    """
    found: list[DatedValue] = []
    for row in rows:
        holds = all_hold(row.where, get, cells) if row.where else True
        if holds is False:
            continue
        found.append(row)
        if holds:
            return tuple(found), True
    return tuple(found), False


def all_hold(conditions: Iterable[Condition], get: Getter, cells: Cells) -> Answer:
    """Yes if each holds, no if one does not, None if that is not settled.

    >>> frozen = Condition("ground.frozen", "is", True)
    >>> all_hold([frozen], lambda name: True, {}), all_hold([frozen], lambda name: UNKNOWN, {})
    (True, None)
    """
    result: Answer = True
    for condition in conditions:
        found = answer(condition, get, cells)
        if found is False:
            return False
        if found is None:
            result = None
    return result


def any_bundle(
    bundles: Sequence[Bundle], get: Getter, cells: Cells
) -> tuple[Answer, Bundle | None]:
    """Whether one bundle holds as a whole, and which; None if one might."""
    result: Answer = False
    for bundle in bundles:
        found = all_hold(bundle.conditions, get, cells)
        if found:
            return True, bundle
        if found is None:
            result = None
    return result, None


def unsettled(conditions: Iterable[Condition], get: Getter, cells: Cells) -> tuple[str, ...]:
    """The facts that keep a conjunction from being settled; none if it is settled."""
    conditions = tuple(conditions)
    if all_hold(conditions, get, cells) is not None:
        return ()
    names: list[str] = []
    for condition in conditions:
        if answer(condition, get, cells) is None:
            names.extend(_why(condition, get, cells))
    return tuple(dict.fromkeys(names))


def _why(condition: Condition, get: Getter, cells: Cells) -> list[str]:
    names = [condition.fact] if get(condition.fact) is UNKNOWN else []
    for row in cells.get(condition.names_value(), ()):
        names.extend(unsettled(row.where, get, cells))
    if condition.family == "fact" and get(str(condition.operand)) is UNKNOWN:
        names.append(str(condition.operand))
    return names or ["rule.wording"]


def unsettled_bundles(bundles: Iterable[Bundle], get: Getter, cells: Cells) -> tuple[str, ...]:
    """The facts that would settle whether one of the bundles holds."""
    names: list[str] = []
    for bundle in bundles:
        names.extend(unsettled(bundle.conditions, get, cells))
    return tuple(dict.fromkeys(names))
