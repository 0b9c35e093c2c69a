"""Which records are held to the rules: each subject of rules has a door that gathers its facts.

A room that judges a subject opens its door here, so that the page of coverage counts as checked
what records are really held to and nothing else.
"""

from __future__ import annotations

from typing import Any

_doors: dict[str, Any] = {}


def open_door(subject: str, words: Any) -> None:
    """State that records are judged under a subject; `words` say which, for people."""
    _doors[subject] = words


def is_open(subject: str) -> bool:
    """Whether any record is held to the rules of the subject."""
    return subject in _doors


def words_of(subject: str) -> str:
    """Which records are held to rules of the subject; empty where none is."""
    return str(_doors.get(subject, ""))


def open_subjects() -> tuple[str, ...]:
    """Every subject with a door."""
    return tuple(sorted(_doors))
