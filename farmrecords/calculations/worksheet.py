"""The worksheet of a calculation: the same functions called step by step, each step shown.

A worksheet declares its inputs and outputs, refuses what is out of range with the reason, runs a
function that calls the plain functions of this room one after the other and writes each step down,
and gives a :class:`Worksheet` that pages, PDF, JSON and the command line show alike.
"""

from __future__ import annotations

import dataclasses
import importlib
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from shapely.geometry import mapping, shape
from shapely.geometry.base import BaseGeometry

Evidence = Literal["read", "memory", "derived", "computed", "practice", "definition"]
InputKind = Literal["number", "whole", "choice", "text", "yes_no", "list", "geometry"]

# modules of the package worksheets/ that register something; one per subject
SUBJECTS = (
    "loads",
    "laboratory",
    "storages",
    "land",
    "p_index",
    "p_more",
    "crops",
    "machines",
    "limits",
    "one_line",
)


class WorksheetError(ValueError):
    """Inputs a worksheet refuses; the message names input, range and reason."""


@dataclass(frozen=True)
class Input:
    """One input: name with its unit, range (ends included), meaning.

    ``reason`` says why the range ends where it does. ``items`` describe the columns of a list.
    """

    name: str
    unit: str
    low: float | None = None
    high: float | None = None
    meaning: str = ""
    kind: InputKind = "number"
    choices: tuple[str, ...] = ()
    optional: bool = False
    items: tuple[Input, ...] = ()
    reason: str = ""
    above: bool = False


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
    notes: tuple[str, ...] = ()
    schema: WorksheetKind | None = None


class Working:
    """The paper a worksheet is written on: steps and notes in order."""

    def __init__(self, source: str, evidence: Evidence) -> None:
        self.steps: list[Step] = []
        self.notes: list[str] = []
        self._source, self._evidence = source, evidence

    def step(
        self,
        words: str,
        formula: str,
        values: Mapping[str, Any],
        result: Any,
        unit: str,
        source: str | None = None,
        evidence: Evidence | None = None,
    ) -> Any:
        """Write one step down and return its result."""
        self.steps.append(
            Step(
                words,
                formula,
                dict(values),
                result,
                unit,
                self._source if source is None else source,
                evidence or self._evidence,
            )
        )
        return result

    def note(self, text: str) -> None:
        """Write a remark that is no step."""
        self.notes.append(text)


Work = Callable[[Mapping[str, Any], Working], Mapping[str, Any]]
Reader = Callable[[Input, Any], Any]


@dataclass(frozen=True)
class WorksheetKind:
    """A registered worksheet: what it asks for, what it gives, how it is worked."""

    name: str
    title: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    source: str
    evidence: Evidence
    work: Work
    example: Mapping[str, Any]

    @property
    def meaning(self) -> str:
        """The docstring of the worksheet: what it returns and where it comes from."""
        return (self.work.__doc__ or "").strip()

    def run(self, inputs: Mapping[str, Any]) -> Worksheet:
        """Return the worked sheet; raises WorksheetError for inputs it refuses."""
        taken = read_inputs(self.inputs, inputs)
        paper = Working(self.source, self.evidence)
        try:
            outputs = self.work(taken, paper)
        except WorksheetError:
            raise
        except ValueError as refused:
            raise WorksheetError(str(refused)) from refused
        return Worksheet(
            self.name,
            self.title,
            taken,
            tuple(paper.steps),
            outputs,
            self.source,
            tuple(paper.notes),
            self,
        )

    def to_schema(self) -> dict[str, Any]:
        """Return name, title, inputs and outputs as plain data for JSON and forms."""
        return {
            "name": self.name,
            "title": self.title,
            "meaning": self.meaning,
            "source": self.source,
            "evidence": self.evidence,
            "inputs": [_input_schema(one) for one in self.inputs],
            "outputs": [dataclasses.asdict(one) for one in self.outputs],
            "example": plain(self.example),
        }


def _input_schema(one: Input) -> dict[str, Any]:
    shown = {k: v for k, v in dataclasses.asdict(one).items() if v not in (None, "", (), False)}
    if one.items:
        shown["items"] = [_input_schema(item) for item in one.items]
    return shown


_REGISTERED: dict[str, WorksheetKind] = {}


def worksheet(
    name: str,
    *,
    title: str,
    inputs: Sequence[Input],
    outputs: Sequence[Output],
    source: str,
    evidence: Evidence = "read",
    example: Mapping[str, Any],
) -> Callable[[Work], Work]:
    """Register the decorated function as the worksheet ``name``; it is returned unchanged."""

    def register(work: Work) -> Work:
        if name in _REGISTERED:
            raise ValueError(f"Two worksheets are called {name!r}.")
        _REGISTERED[name] = WorksheetKind(
            name, title, tuple(inputs), tuple(outputs), source, evidence, work, example
        )
        return work

    return register


def list_worksheets() -> list[WorksheetKind]:
    """Return every registered worksheet by name.

    >>> "load_rate" in [kind.name for kind in list_worksheets()]
    True
    """
    for subject in SUBJECTS:
        importlib.import_module(f"{__package__}.worksheets.{subject}")
    return [_REGISTERED[name] for name in sorted(_REGISTERED)]


def worksheet_named(name: str) -> WorksheetKind:
    """Return a registered worksheet; raises WorksheetError with the known names otherwise.

    >>> worksheet_named("load_rate").outputs[0].name
    'rate'
    """
    kinds = {kind.name: kind for kind in list_worksheets()}
    if name not in kinds:
        raise WorksheetError(f"There is no worksheet {name!r}. Known: {', '.join(kinds)}.")
    return kinds[name]


def run_worksheet(name: str, inputs: Mapping[str, Any]) -> Worksheet:
    """Return the worked sheet ``name`` for the given inputs.

    Raises WorksheetError for an unknown name, a missing or unknown input, a value out of range, or
    whatever the calculation itself refuses.

    >>> sheet = run_worksheet("load_rate", {"amount": "8.13", "unit": "ton",
    ...                                     "covered_ac": 0.7323232323})
    >>> round(sheet.outputs["rate"], 2), sheet.outputs["unit"]
    (11.1, 'ton_per_ac')
    """
    return worksheet_named(name).run(inputs)


def read_inputs(declared: Sequence[Input], given: Mapping[str, Any]) -> dict[str, Any]:
    """Return the inputs as Python values, each held against its declaration.

    Numbers become float, geometries shapely. Raises WorksheetError.

    >>> read_inputs([Input("width_ft", "ft", 1, 200, "swath")], {"width_ft": "30"})
    {'width_ft': 30.0}
    """
    if not isinstance(given, Mapping):
        raise WorksheetError("The inputs must be one object with a value for each name.")
    unknown = [name for name in given if name not in {one.name for one in declared}]
    if unknown:
        raise WorksheetError(
            f"{unknown[0]!r} is no input here. Inputs: {', '.join(one.name for one in declared)}."
        )
    taken: dict[str, Any] = {}
    for one in declared:
        value = given.get(one.name)
        if value is None or value == "":
            if not one.optional:
                raise WorksheetError(f"{one.name} is missing: {one.meaning} ({one.unit}).")
            taken[one.name] = None
        else:
            taken[one.name] = _read(one, value)
    return taken


def _read(one: Input, value: Any) -> Any:
    readers: dict[str, Reader] = {
        "number": _read_number,
        "whole": _read_number,
        "choice": _read_choice,
        "yes_no": _read_yes_no,
        "list": _read_list,
        "geometry": _read_geometry,
        "text": _read_text,
    }
    return readers[one.kind](one, value)


def _read_number(one: Input, value: Any) -> float | int:
    try:
        if isinstance(value, bool):
            raise ValueError
        number = float(value)
    except (TypeError, ValueError):
        raise WorksheetError(
            f"{one.name} is {value!r}; a number in {one.unit} is wanted."
        ) from None
    if one.kind == "whole" and number != int(number if math.isfinite(number) else 0):
        raise WorksheetError(f"{one.name} is {value!r}; a whole number is wanted.")
    low = -math.inf if one.low is None else one.low
    high = math.inf if one.high is None else one.high
    if not math.isfinite(number) or number < low or number > high or (one.above and number == low):
        because = f" ({one.reason})" if one.reason else ""
        raise WorksheetError(f"{one.name} is {value}; the range is {_range(one)}{because}.")
    return int(number) if one.kind == "whole" else number


def _range(one: Input) -> str:
    low = "" if one.low is None else f"{'above ' if one.above else ''}{one.low:g}"
    if one.low is not None and one.high is not None:
        return f"{low} to {one.high:g} {one.unit}"
    if one.low is not None:
        return f"{low} {one.unit}" if one.above else f"{low} {one.unit} or more"
    return f"up to {one.high:g} {one.unit}" if one.high is not None else f"any number of {one.unit}"


def _read_choice(one: Input, value: Any) -> str:
    if value not in one.choices:
        raise WorksheetError(f"{one.name} is {value!r}; choose one of: {', '.join(one.choices)}.")
    return str(value)


def _read_text(one: Input, value: Any) -> str:
    return str(value)


def _read_yes_no(one: Input, value: Any) -> bool:
    if not isinstance(value, bool):
        raise WorksheetError(f"{one.name} is {value!r}; it must be true or false.")
    return value


def _read_list(one: Input, value: Any) -> list[dict[str, Any]]:
    if not isinstance(value, list):
        raise WorksheetError(f"{one.name} must be a list of {one.meaning}.")
    rows = []
    for number, row in enumerate(value, 1):
        try:
            rows.append(read_inputs(one.items, row))
        except WorksheetError as refused:
            raise WorksheetError(f"{one.name}, row {number}: {refused}") from None
    return rows


def _read_geometry(one: Input, value: Any) -> BaseGeometry:
    if isinstance(value, BaseGeometry):
        return value
    try:
        return shape(value)
    except Exception:  # shapely raises many kinds for broken GeoJSON
        raise WorksheetError(f"{one.name} is no GeoJSON geometry (longitude first).") from None


def plain(value: Any) -> Any:
    """Return a value as plain data that JSON can hold; geometries become GeoJSON.

    >>> plain({"rate": Decimal("8.13"), "classes": ("Low",)})
    {'rate': 8.13, 'classes': ['Low']}
    """
    if isinstance(value, BaseGeometry):
        return mapping(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(one) for one in value]
    return float(value) if isinstance(value, Decimal) else value


def to_json(sheet: Worksheet) -> dict[str, Any]:
    """Return a worksheet as plain data: name, title, inputs, steps, outputs, source, notes.

    >>> sheet = run_worksheet("load_rate", {"amount": "6,000", "unit": "gal", "covered_ac": 1.5})
    >>> to_json(sheet)["outputs"]["rate"]
    4000.0
    """
    shown = {f.name: getattr(sheet, f.name) for f in dataclasses.fields(sheet)}
    kind = shown.pop("schema")
    shown["output_units"] = {one.name: one.unit for one in kind.outputs} if kind else {}
    return {key: plain(value) for key, value in shown.items()}
