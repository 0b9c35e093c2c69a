"""The limit that several numbers make together: the least or the greatest of them.

A limit may be a dated value, another fact, or their product; where a table has more than one
possible cell, or a fact is missing, the limit is known only between two numbers.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from farmrecords.rules.conditions import Getter, compare_numbers
from farmrecords.rules.facts import UNKNOWN
from farmrecords.rules.model import RuleOnDay


@dataclass(frozen=True, slots=True)
class Span:
    """A number known to lie between two ends; None is an open end."""

    low: Decimal | None
    high: Decimal | None
    missing: tuple[str, ...] = ()
    bound_unclear: bool = False

    @property
    def exact(self) -> Decimal | None:
        """The number, where both ends are the same."""
        return self.low if self.low is not None and self.low == self.high else None


def one_limit(pair: tuple[str, str], standing: RuleOnDay, get: Getter) -> Span:
    """A value, a fact, or their product; open at both ends where it is not known."""
    name, fact = pair
    factor = Span(Decimal(1), Decimal(1))
    if name:
        factor = _value_span(name, standing, get)
    if not fact:
        return factor
    known = get(fact)
    if not isinstance(known, Decimal):
        return Span(None, None, (fact, *factor.missing))
    if known < 0:
        return Span(None, None, (fact,))
    low = None if factor.low is None else factor.low * known
    high = None if factor.high is None else factor.high * known
    return Span(low, high, factor.missing, factor.bound_unclear)


def _value_span(name: str, standing: RuleOnDay, get: Getter) -> Span:
    cells, settled = standing.possible(name, get)
    numbers = [cell.value for cell in cells if isinstance(cell.value, Decimal)]
    missing = tuple(fact for fact in standing.cell_facts(name) if get(fact) is UNKNOWN)
    if not settled or not numbers:
        return Span(None, None, missing or ("rule.number",))
    unclear = any(cell.bound_unclear for cell in cells)
    return Span(min(numbers), max(numbers), missing if len(numbers) > 1 else (), unclear)


def combined(spans: Sequence[Span], how: str) -> Span:
    """The least or the greatest of some limits, each known between two ends.

    >>> combined([Span(Decimal(5), Decimal(5)), Span(None, None, ("x",))], "least")
    Span(low=None, high=Decimal('5'), missing=('x',), bound_unclear=False)
    """
    missing = tuple(dict.fromkeys(name for span in spans for name in span.missing))
    lows, highs = [span.low for span in spans], [span.high for span in spans]
    known_lows = [low for low in lows if low is not None]
    known_highs = [high for high in highs if high is not None]
    unclear = any(span.bound_unclear for span in spans)
    if how == "greatest":
        low = max(known_lows) if known_lows else None
        high = max(known_highs) if len(known_highs) == len(highs) else None
    else:
        low = min(known_lows) if len(known_lows) == len(lows) else None
        high = min(known_highs) if known_highs else None
    return Span(low, high, missing, unclear)


def held_against(actual: Decimal, comparator: str, span: Span) -> bool | None:
    """Whether the actual number keeps a limit that is known between two ends.

    >>> held_against(Decimal(7), "at_most", Span(Decimal(5), Decimal(9)))
    >>> held_against(Decimal(4), "at_most", Span(Decimal(5), Decimal(9)))
    True
    """
    if span.bound_unclear and actual in (span.low, span.high):
        return None
    if comparator in ("at_most", "less_than"):
        surely, perhaps = span.low, span.high
    else:
        surely, perhaps = span.high, span.low
    if surely is not None and compare_numbers(actual, comparator, surely):
        return True
    if perhaps is not None and not compare_numbers(actual, comparator, perhaps):
        return False
    return None
