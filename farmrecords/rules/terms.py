"""One term of the vocabulary: what a fact is called, counted in and means."""

from dataclasses import dataclass
from typing import Literal

Kind = Literal["truth", "number", "word", "words", "day", "moment"]


@dataclass(frozen=True, slots=True)
class Term:
    """A fact's type, unit, meaning and choices.

    ``register`` marks a list of recorded papers or statements: what was not entered is not
    held, so its absence is the empty list and never UNKNOWN.
    """

    kind: Kind
    meaning: str
    unit: str = ""
    choices: tuple[str, ...] = ()
    register: bool = False


def truth(meaning: str) -> Term:
    """A fact that is true or false."""
    return Term("truth", meaning)


def number(meaning: str, unit: str = "") -> Term:
    """A fact that is a number of something."""
    return Term("number", meaning, unit)


def word(meaning: str, *choices: str) -> Term:
    """A fact that is one word, from a list if choices are given."""
    return Term("word", meaning, choices=choices)


def words(meaning: str, *choices: str) -> Term:
    """A fact that is a list of words."""
    return Term("words", meaning, choices=choices)


def register(meaning: str, *choices: str) -> Term:
    """A register: what was not entered in it is not held."""
    return Term("words", meaning, choices=choices, register=True)


def day(meaning: str) -> Term:
    """A fact that is a day."""
    return Term("day", meaning)


def moment(meaning: str) -> Term:
    """A fact that is a moment with its offset."""
    return Term("moment", meaning)
