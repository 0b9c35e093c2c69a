"""Which jurisdictions have rules, told to the room that keeps who an operation is."""

from __future__ import annotations

from functools import cache

from farmrecords.people.jurisdictions import told_by
from farmrecords.rules.rulebook import DATA


@cache
def with_rules() -> frozenset[str]:
    """The jurisdictions whose coverage is declared in the rule files."""
    return frozenset(path.parent.name for path in DATA.glob("*/index.toml"))


told_by(with_rules)
