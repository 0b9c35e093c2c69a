"""What a jurisdiction's rule files cover, and what they leave out and why."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CoverageRow:
    """One row of the law as considered: ``state`` is encoded, partly, not_encoded or elsewhere."""

    row: str
    state: str
    rules: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Coverage:
    """The declared coverage of one jurisdiction."""

    jurisdiction: str
    title: str
    layer: str
    parent: str
    as_of: str
    rows: tuple[CoverageRow, ...]

    def counts(self) -> dict[str, int]:
        """Rows by state."""
        return count(row.state for row in self.rows)


def count(states: Iterable[str]) -> dict[str, int]:
    """How often each word occurs, in order of the words.

    >>> count(["read", "memory", "read"])
    {'memory': 1, 'read': 2}
    """
    found: dict[str, int] = {}
    for state in states:
        found[state] = found.get(state, 0) + 1
    return dict(sorted(found.items()))
