"""The rulebook: all rules of the packaged data, with fingerprints, asked by stack and day."""

import hashlib
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path

from farmrecords.rules.coverage import Coverage
from farmrecords.rules.model import Rule, RuleOnDay, Section
from farmrecords.rules.reader import read_folder

Key = tuple[tuple[str, ...], int, str]
DATA = Path(__file__).parent / "data"


@dataclass(frozen=True)
class Rulebook:
    """Rules, sections and declared coverage, in one fixed order whatever the order of files."""

    rules: tuple[Rule, ...]
    sections: tuple[Section, ...]
    coverage: Mapping[str, Coverage]
    fingerprint: str
    _stacks: dict[Key, tuple[RuleOnDay, ...]] = field(
        default_factory=dict, compare=False, repr=False
    )
    _changes: list[date] = field(default_factory=list, compare=False, repr=False)

    def rule(self, rule_id: str) -> Rule:
        """The rule of that id; a KeyError names it."""
        for rule in self.rules:
            if rule.id == rule_id:
                return rule
        raise KeyError(f"There is no rule {rule_id!r} in this rulebook.")

    def for_stack(self, stack: Sequence[str], on: date, subject: str = "") -> tuple[RuleOnDay, ...]:
        """The rules of the stack's jurisdictions that stand on that day, of one subject if named.

        Between two days on which some rule or value changes the answer is the same, so it is
        made once for all of them.
        """
        key = (tuple(stack), bisect_right(self._changes, on), subject)
        found = self._stacks.get(key)
        if found is None:
            found = tuple(
                rule.on(on)
                for rule in self.rules
                if rule.jurisdiction in key[0]
                and rule.in_force(on)
                and subject in ("", rule.subject)
            )
            self._stacks[key] = found
        return found

    def not_in_force(self, stack: Sequence[str], on: date) -> tuple[Rule, ...]:
        """The rules of the stack that had not begun, or had ended, on that day."""
        return tuple(
            rule for rule in self.rules if rule.jurisdiction in stack and not rule.in_force(on)
        )

    def with_rules(self, rules: Sequence[Rule], sections: Sequence[Section] = ()) -> "Rulebook":
        """This rulebook joined by further rules, such as an operation's permit conditions."""
        return make_rulebook((*self.rules, *rules), (*self.sections, *sections), self.coverage)


def make_rulebook(
    rules: Sequence[Rule], sections: Sequence[Section], coverage: Mapping[str, Coverage]
) -> Rulebook:
    """A rulebook with its fingerprint: SHA-256 over the rules' fingerprints in id order."""
    ordered = tuple(sorted(rules, key=lambda rule: rule.id))
    text = "\n".join(f"{rule.id} {rule.fingerprint}" for rule in ordered)
    fingerprint = hashlib.sha256(text.encode()).hexdigest()
    ranked = tuple(sorted(sections, key=lambda section: section.path))
    changes = sorted({day for rule in ordered for day in rule.change_days()})
    return Rulebook(ordered, ranked, dict(coverage), fingerprint, _changes=changes)


@cache
def packaged_rulebook() -> Rulebook:
    """The packaged rulebook, read once a process."""
    return read_rulebook()


def read_rulebook(root: Path = DATA) -> Rulebook:
    """The rulebook of a folder, read strictly; a RuleFileError names path, key and remedy.

    >>> rulebook = read_rulebook()
    >>> rulebook.rule("US-SB-1").citation, len(rulebook.fingerprint)
    ('40 CFR 412.4(c)(5)', 64)
    """
    return make_rulebook(*read_folder(root))
