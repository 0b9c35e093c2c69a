"""Dated values: a number, word or window of days, with its day, unit and paragraph."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from farmrecords.rules.conditions import Condition


@dataclass(frozen=True, slots=True)
class Window:
    """Days of the year from first to last, both inside; it may run over the turn of the year.

    ``last`` may be the end of February, written ``02-end``. Where the text read does not say
    whether an end is inside, that end day is None: cannot tell.

    >>> Window((12, 15), (4, 1)).contains(date(2025, 1, 10))
    True
    >>> Window((12, 15), (4, 1)).contains(date(2025, 4, 2))
    False
    """

    first: tuple[int, int]
    last: tuple[int, int]
    first_unclear: bool = False
    last_unclear: bool = False
    label: str = ""

    def contains(self, on: date) -> bool | None:
        """Whether the day lies in the window; None on an end day the text leaves open."""
        last = self._last_in(on.year)
        today = (on.month, on.day)
        if self.first <= last:
            inside = self.first <= today <= last
        else:
            inside = today >= self.first or today <= last
        if (self.first_unclear and today == self.first) or (self.last_unclear and today == last):
            return None
        return inside

    def _last_in(self, year: int) -> tuple[int, int]:
        if self.last[1]:
            return self.last
        following = date(year + self.last[0] // 12, self.last[0] % 12 + 1, 1)
        end = following - timedelta(days=1)
        return (end.month, end.day)

    def __str__(self) -> str:
        return self.label


@dataclass(frozen=True, slots=True)
class DatedValue:
    """One value of a rule, in force from a day (until a day, if it ended).

    ``where`` are conditions under which this number is the one (a cell of a table).
    ``bound_unclear`` marks a number whose own side the text read does not settle.
    """

    name: str
    value: Decimal | str | date | Window
    unit: str
    from_on: date
    until_on: date | None
    citation: str
    status: str
    where: tuple["Condition", ...] = ()
    bound_unclear: bool = False

    def in_force(self, on: date) -> bool:
        """Whether the value stands on that day; both ends are inside."""
        return self.from_on <= on and (self.until_on is None or on <= self.until_on)
