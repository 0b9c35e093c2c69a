"""The kinds of check, by the name a rule file calls them."""

from farmrecords.rules.checks import (
    age,
    barred,
    class_action,
    deadline,
    distance,
    forecast,
    limit,
    records,
    required,
    size_band,
    undetermined,
)
from farmrecords.rules.checks.base import Check, Key

CHECKS: dict[str, Check] = {
    check.name: check
    for check in (
        age.CHECK,
        barred.CHECK,
        class_action.CHECK,
        deadline.CHECK,
        distance.CHECK,
        forecast.CHECK,
        limit.CHECK,
        records.CHECK,
        required.CHECK,
        size_band.CHECK,
        undetermined.CHECK,
    )
}


def check_named(name: str) -> Check:
    """The check of that name; a KeyError lists the names there are."""
    if name not in CHECKS:
        raise KeyError(f"There is no check {name!r}; there are {', '.join(check_names())}.")
    return CHECKS[name]


def check_names() -> tuple[str, ...]:
    """The names of all checks, in order."""
    return tuple(sorted(CHECKS))


__all__ = ["CHECKS", "Check", "Key", "check_named", "check_names"]
