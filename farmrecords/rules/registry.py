"""The checks by name. A rule names its check; the check is Python and holds no number."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass


from farmrecords.rules.facts import Facts
from farmrecords.rules.model import Rule, RuleOnDay, Verdict


@dataclass(frozen=True, slots=True)
class Key:
    """One key a check expects in its rule table.

    ``kind`` is fact, facts, value (the name of a dated value), word, truth, bundles, limits,
    classes, features or due; ``choices`` bound a word.
    """

    kind: str
    required: bool = True
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """A kind of check: its name, the keys it reads, and the function that decides.

    ``decide`` returns None where the check has nothing to say (the rule does not apply).
    ``templates`` are its default sentences by message key.
    """

    name: str
    keys: Mapping[str, Key]
    decide: Callable[[RuleOnDay, Facts], Verdict | None]
    templates: Mapping[str, str]
    complaints: Callable[[Rule], Sequence[str]] = lambda rule: ()


_CHECKS: dict[str, Check] = {}


def register(check: Check) -> Check:
    """Add a check under its name."""
    _CHECKS[check.name] = check
    return check


def check_named(name: str) -> Check:
    """The check of that name; a KeyError lists the names there are."""
    from farmrecords.rules import checks  # noqa: F401  registers on import

    if name not in _CHECKS:
        raise KeyError(f"There is no check {name!r}; there are {', '.join(sorted(_CHECKS))}.")
    return _CHECKS[name]


def check_names() -> tuple[str, ...]:
    """The names of all checks, in order."""
    from farmrecords.rules import checks  # noqa: F401  registers on import

    return tuple(sorted(_CHECKS))
