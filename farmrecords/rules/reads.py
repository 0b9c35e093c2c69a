"""Which facts a rule may read: so that the same facts need not be judged twice."""

from collections.abc import Iterator
from typing import Any

from farmrecords.rules.checks import check_named
from farmrecords.rules.model import FORM_BOUND, Rule
from farmrecords.rules.walks import conditions_of

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
    for condition in conditions_of(rule):
        names.append(condition.fact)
        if condition.family == "fact":
            names.append(str(condition.operand))
    for name, key in check.keys.items():
        names.extend(_of_key(key.kind, rule.keys[name]))
    if any(value.name == FORM_BOUND for value in rule.values):
        names.extend(FORM_FACTS)
    return tuple(sorted({name for name in names if name}))


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
