"""Reading one TOML table strictly: each key taken once, each leftover key an error."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from difflib import get_close_matches
from typing import Any

from farmrecords.rules.errors import RuleFileError


class Table:
    """A TOML table whose keys are taken with a type; ``finish`` refuses what is left.

    >>> table = Table("a.toml", "r 1", {"title": "Distance", "hue": "red"})
    >>> table.text("title")
    'Distance'
    >>> table.finish()
    Traceback (most recent call last):
    ...
    farmrecords.rules.errors.RuleFileError: a.toml: r 1, hue: this key is not known here; remove it.
    """

    def __init__(self, path: str, where: str, data: Any) -> None:
        if not isinstance(data, dict):
            raise RuleFileError(path, where, f"{data!r} is no table", "write a table here")
        self.path, self.where = path, where
        self._left: dict[str, Any] = dict(data)
        self._asked: list[str] = []

    def fail(self, key: str, wrong: str, remedy: str) -> RuleFileError:
        """The error for one key of this table."""
        name = f"{self.where}, {key}" if self.where else key
        return RuleFileError(self.path, name, wrong, remedy)

    def _take(self, key: str, expected: str, required: bool) -> Any:
        self._asked.append(key)
        if key in self._left:
            return self._left.pop(key)
        if required:
            raise self.fail(key, "nothing is given", f"write {expected}")
        return None

    def has(self, key: str) -> bool:
        """Whether the key is given and not yet taken."""
        return key in self._left

    def text(self, key: str, required: bool = True, choices: Sequence[str] = ()) -> str:
        """A text that is not empty; one of the choices if there are any."""
        expected = f"one of {', '.join(choices)}" if choices else "a text"
        value = self._take(key, expected, required)
        if value is None:
            return ""
        if not isinstance(value, str) or not value.strip():
            raise self.fail(key, f"{value!r} is no text", f"write {expected}")
        if choices and value not in choices:
            raise self.fail(key, f"{value!r} is not known", f"write {expected}")
        return value

    def truth(self, key: str, required: bool = False) -> bool:
        """true or false; false where it is absent."""
        value = self._take(key, "true or false", required)
        if value is None:
            return False
        if not isinstance(value, bool):
            raise self.fail(key, f"{value!r} is no truth", "write true or false")
        return value

    def day(self, key: str, required: bool = True) -> date | None:
        """A TOML date (a value, not text)."""
        value = self._take(key, "a day such as 2015-07-01", required)
        if value is None:
            return None
        if isinstance(value, datetime) or not isinstance(value, date):
            raise self.fail(key, f"{value!r} is no day", "write a day such as 2015-07-01")
        return value

    def amount(self, key: str) -> Any:
        """A number (exact), a word, or a window of days as a table."""
        value = self._take(key, "a number, a word or a window", True)
        if isinstance(value, bool) or not isinstance(value, (int, Decimal, str, date, dict)):
            raise self.fail(key, f"{value!r} is no value", "write a number, a word or a window")
        return Decimal(value) if isinstance(value, int) else value

    def rows(self, key: str, required: bool = False) -> list[Any]:
        """A list, empty where it is absent."""
        value = self._take(key, "a list", required)
        if value is None:
            return []
        if not isinstance(value, list):
            raise self.fail(key, f"{value!r} is no list", "write a list")
        return value

    def texts(self, key: str, required: bool = False) -> tuple[str, ...]:
        """A list of texts."""
        rows = self.rows(key, required)
        for row in rows:
            if not isinstance(row, str):
                raise self.fail(key, f"{row!r} is no text", "write a list of texts")
        return tuple(rows)

    def table(self, key: str, required: bool = False) -> "Table":
        """A table within this one, empty where it is absent."""
        value = self._take(key, "a table", required)
        return Table(self.path, f"{self.where}, {key}", {} if value is None else value)

    def raw(self, key: str) -> Any:
        """Whatever stands there, or None."""
        return self._take(key, "a value", False)

    def pairs(self) -> dict[str, Any]:
        """All that is left, taken at once."""
        left, self._left = self._left, {}
        return left

    def finish(self) -> None:
        """Refuse a key that nobody asked for."""
        for key in self._left:
            near = get_close_matches(key, self._asked, n=1)
            remedy = f"did you mean '{near[0]}'?" if near else "remove it"
            raise self.fail(key, "this key is not known here", remedy.rstrip("?"))
