"""The worksheet of a calculation: the same functions called step by step, each step shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Evidence = Literal["read", "memory", "derived", "computed", "practice", "definition"]
InputKind = Literal["number", "whole", "choice", "text", "yes_no", "list", "geometry"]


class WorksheetError(ValueError):
    """Inputs a worksheet refuses; the message names input, range and reason."""


@dataclass(frozen=True)
class Input:
    """One input of a worksheet: name with unit, range, meaning."""

    name: str
    unit: str
    low: float | None = None
    high: float | None = None
    meaning: str = ""
    kind: InputKind = "number"
    choices: tuple[str, ...] = ()
    optional: bool = False
    items: tuple[Input, ...] = ()


@dataclass(frozen=True)
class Output:
    """One result of a worksheet."""

    name: str
    unit: str
    meaning: str = ""


@dataclass(frozen=True)
class Step:
    """One step: what is done in words, the formula, the numbers, the result, where it stands."""

    words: str
    formula: str
    values: Mapping[str, Any]
    result: Any
    unit: str
    source: str
    evidence: Evidence


@dataclass(frozen=True)
class Worksheet:
    """A worked calculation, ready to be shown anywhere."""

    name: str
    title: str
    inputs: Mapping[str, Any]
    steps: tuple[Step, ...]
    outputs: Mapping[str, Any]
    source: str = ""
    notes: tuple[str, ...] = field(default=())


def run_worksheet(name: str, inputs: Mapping[str, Any]) -> Worksheet:
    raise NotImplementedError


def list_worksheets() -> list[Any]:
    raise NotImplementedError


def to_json(sheet: Worksheet) -> dict[str, Any]:
    raise NotImplementedError


def worksheet(name: str, **kwargs: Any) -> Callable[..., Any]:
    raise NotImplementedError
