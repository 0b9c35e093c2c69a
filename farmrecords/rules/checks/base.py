"""What a kind of check is. A rule names its check; the check is Python and holds no number."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from farmrecords.rules.facts import Facts
from farmrecords.rules.model import Rule, RuleOnDay, Verdict


@dataclass(frozen=True, slots=True)
class Key:
    """One key a check expects in its rule table.

    ``kind`` is fact, facts, value (the name of a dated value), values, word, truth, bundles,
    limits, classes or features; ``choices`` bound a word.
    """

    kind: str
    required: bool = True
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """A kind of check: its name, the keys it reads, and the function that decides.

    ``decide`` returns None where the check has nothing to say (the rule does not apply).
    ``templates`` are its default sentences by message key; ``reads`` are facts it looks at
    without being told by its rule.
    """

    name: str
    keys: Mapping[str, Key]
    decide: Callable[[RuleOnDay, Facts], Verdict | None]
    templates: Mapping[str, str]
    reads: tuple[str, ...] = ()
    complaints: Callable[[Rule], Sequence[str]] = lambda rule: ()
