"""A figure of the report: number, unit, and the address of the records it was added up from."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal


@dataclass(frozen=True)
class Address:
    """Where the records behind a figure are shown: the name of a page, its arguments, its filter.

    The operation's short name is left out; it is the same for the whole report.
    """

    name: str
    args: tuple[tuple[str, str], ...] = ()
    query: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Figure:
    """A number rounded once, for every rendering, or the words that say what is missing.

    `exact` is the number before rounding, where it is known exactly.
    """

    value: Decimal | None
    unit: str
    missing: str = ""
    exact: Decimal | None = None
    records: Address | None = None

    @property
    def is_known(self) -> bool:
        """Whether there is a number."""
        return self.value is not None

    @property
    def digits(self) -> str:
        """The number as it is printed under a heading with the unit, grouped in thousands."""
        return "cannot tell" if self.value is None else f"{self.value:,f}"

    @property
    def words(self) -> str:
        """The number with its unit, as it stands in a sentence."""
        return self.digits if self.value is None or not self.unit else f"{self.digits} {self.unit}"


def figure(
    exact: Decimal | float | int | None,
    unit: str,
    places: int,
    *,
    missing: str = "",
    records: Address | None = None,
) -> Figure:
    """A figure rounded half to even at `places`; without a number, what is missing.

    >>> figure(Decimal("2652.6315"), "gal/ac", 1).words
    '2,652.6 gal/ac'
    >>> figure(None, "gal", 0, missing="no manure test").words
    'cannot tell'
    """
    if exact is None:
        return Figure(None, unit, missing or "not entered", None, records)
    number = Decimal(repr(exact)) if isinstance(exact, float) else Decimal(exact)
    rounded = number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_EVEN)
    is_exact = not isinstance(exact, float)
    return Figure(rounded + 0, unit, "", number if is_exact else None, records)
