"""Conditions of one operation's permit as rules of its own layer.

What an office or planner enters from the permit becomes the text of a rule file, read by the
same strict reader; the text keeps its fingerprint like any other rule.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from farmrecords.rules.model import Rule, Section
from farmrecords.rules.reader import read_text

KINDS = ("setback", "closed_season", "rate_cap", "winter_barred")
# The rate on the covered ground, and the mean of the whole field, which it is never below.
RATES = {
    "gal/ac": ("load.rate_gal_per_ac", "load.whole_field_gal_per_ac"),
    "ton/ac": ("load.rate_ton_per_ac", "load.whole_field_ton_per_ac"),
}


@dataclass(frozen=True, slots=True)
class PermitCondition:
    """One condition: what kind, its number or season, its paragraph, and its days.

    ``number`` counts feet for a setback and gal/ac or ton/ac (``unit``) for a rate cap;
    ``first`` and ``last`` are month-day texts of a closed season, both inside.
    """

    kind: str
    title: str
    citation: str
    from_on: date
    until_on: date | None = None
    number: Decimal | None = None
    unit: str = ""
    first: str = ""
    last: str = ""
    features: Sequence[str] = ()


class PermitConditionError(ValueError):
    """A condition that lacks what its kind needs."""


def rules_of(
    conditions: Sequence[PermitCondition], jurisdiction: str, document: str
) -> tuple[Section, list[Rule]]:
    """The permit's section and rules; ``jurisdiction`` joins the operation's stack.

    >>> condition = PermitCondition(
    ...     "setback", "Wells", "part 4.2", date(2025, 1, 1), number=Decimal(150),
    ...     features=["well_drinking"],
    ... )
    >>> section, rules = rules_of([condition], "permit-17", "permit of 1 January 2025")
    >>> rules[0].id, rules[0].values[0].value
    ('permit-17-1', Decimal('150'))
    """
    return read_text(f"{jurisdiction}/conditions.toml", text_of(conditions, jurisdiction, document))


def text_of(conditions: Sequence[PermitCondition], jurisdiction: str, document: str) -> str:
    """The rule file that the conditions make."""
    parts = [
        '[section]\ntitle = "Conditions of the permit"\n'
        f'citation = {_quoted(document)}\nlayer = "permit"\nstatus = "read"\n'
        f"source = {_quoted(document)}"
    ]
    for number, condition in enumerate(conditions, 1):
        parts.append(_rule_text(condition, f"{jurisdiction}-{number}"))
    return "\n\n".join(parts) + "\n"


def _rule_text(condition: PermitCondition, rule_id: str) -> str:
    check = "distance" if condition.kind == "setback" else "barred"
    severity = "prohibit"
    if condition.kind == "rate_cap":
        check, severity = "limit", "cap"
    lines = [
        "[[rule]]",
        f"id = {_quoted(rule_id)}",
        f"title = {_quoted(condition.title)}",
        'subject = "load"',
        f'check = "{check}"',
        f'severity = "{severity}"',
        f"citation = {_quoted(condition.citation)}",
        f"from = {condition.from_on.isoformat()}",
        'from_is = "start"',
    ]
    if condition.until_on:
        lines.append(f"until = {condition.until_on.isoformat()}")
    return "\n".join([*lines, *_body(condition)])


def _body(condition: PermitCondition) -> list[str]:
    """The lines of a condition's own kind."""
    if condition.kind == "setback":
        kinds = ", ".join(_quoted(kind) for kind in condition.features)
        return [
            _number(condition, "setback", "ft"),
            f"features = [{{kinds = [{kinds}]}}]",
            'base = "setback"',
        ]
    if condition.kind == "closed_season":
        window = f'{{first = "{condition.first}", last = "{condition.last}", ends = "inside"}}'
        return [
            _value("season", window, "day of the year", condition),
            f"barred = [{{name = {_quoted(condition.title)}, "
            'when = [{fact = "load.day", in_window = "season"}]}]',
        ]
    if condition.kind == "rate_cap":
        if condition.unit not in RATES:
            raise PermitConditionError(
                f"A rate cap counts in {' or '.join(RATES)}, not in {condition.unit!r}."
            )
        actual, floor = RATES[condition.unit]
        return [
            _number(condition, "most", condition.unit),
            f'actual = "{actual}"',
            f'at_least_actual = "{floor}"',
            'comparator = "at_most"',
            'limit = [{value = "most"}]',
        ]
    if condition.kind == "winter_barred":
        return [
            'barred = [{name = "frozen ground", when = [{fact = "ground.frozen", is = true}]}]',
        ]
    raise PermitConditionError(
        f"There is no kind of condition {condition.kind!r}; there are {', '.join(KINDS)}."
    )


def _number(condition: PermitCondition, name: str, unit: str) -> str:
    if condition.number is None:
        raise PermitConditionError(f"{condition.title}: a number of {unit} is needed.")
    return _value(name, f"{condition.number:f}", unit, condition)


def _value(name: str, value: str, unit: str, condition: PermitCondition) -> str:
    return (
        f'value = [{{name = "{name}", value = {value}, unit = "{unit}", '
        f"from = {condition.from_on.isoformat()}, citation = {_quoted(condition.citation)}}}]"
    )


def _quoted(text: str) -> str:
    """A TOML basic string."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", " ")
    return f'"{escaped}"'
