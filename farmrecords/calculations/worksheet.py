"""The worksheet of a calculation: the same functions called step by step, each step shown.

A worksheet declares its inputs and outputs, refuses what is out of range with the reason, runs a
function that calls the plain functions of this room one after the other and writes each step down,
and gives a :class:`Worksheet` that pages, PDF, JSON and the command line show alike.
"""

from __future__ import annotations

import dataclasses
import importlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from shapely.geometry import mapping
from shapely.geometry.base import BaseGeometry

from .doubt import doubts_between
from .worksheet_inputs import Input, WorksheetError, read_inputs

__all__ = [
    "Evidence",
    "Input",
    "Output",
    "Step",
    "Working",
    "Worksheet",
    "WorksheetError",
    "WorksheetKind",
    "list_worksheets",
    "plain",
    "read_inputs",
    "run_worksheet",
    "to_json",
    "worksheet",
    "worksheet_named",
]

Evidence = Literal["read", "memory", "derived", "computed", "practice", "definition"]

EARLIER = "earlier"
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
    "rate_terms",
    "soil",
    "p_classes",
    "farm_year",
    "storage_design",
    "amounts",
    "heaps",
    "water",
    "herd",
    "screening",
    "credits",
    "figures",
)


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
    doubts: tuple[str, ...] = ()
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
            self._doubts(taken, outputs),
            self,
        )

    def _doubts(self, taken: Mapping[str, Any], outputs: Mapping[str, Any]) -> tuple[str, ...]:
        """Questions where a figure differs from an earlier one by a telltale factor."""
        earlier = [(row["name"], row["value"]) for row in taken.get(EARLIER) or ()]
        return tuple(doubt.words for doubt in doubts_between({**outputs, **taken}, earlier))

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


def _earlier(names: Sequence[str]) -> Input:
    figure = (
        Input("name", "word", meaning="which figure", kind="choice", choices=tuple(names)),
        Input("value", "the same unit", 0, None, "its earlier value"),
    )
    meaning = "earlier figures to hold it against"
    return Input(EARLIER, "rows", meaning=meaning, kind="list", optional=True, items=figure)


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
    compared: Sequence[str] = (),
) -> Callable[[Work], Work]:
    """Register the decorated function as the worksheet ``name``; it is returned unchanged.

    ``compared`` names inputs and outputs that may be held against an earlier figure: a difference
    by a telltale factor then makes a doubt, never a refusal.
    """
    asked = (*inputs, _earlier(compared)) if compared else tuple(inputs)

    def register(work: Work) -> Work:
        if name in _REGISTERED:
            raise ValueError(f"Two worksheets are called {name!r}.")
        _REGISTERED[name] = WorksheetKind(
            name, title, asked, tuple(outputs), source, evidence, work, example
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
    """Return a worksheet as plain data: name, title, inputs, steps, outputs, source, notes, doubts.

    >>> sheet = run_worksheet("load_rate", {"amount": "6,000", "unit": "gal", "covered_ac": 1.5})
    >>> to_json(sheet)["outputs"]["rate"]
    4000.0
    """
    shown = {f.name: getattr(sheet, f.name) for f in dataclasses.fields(sheet)}
    kind = shown.pop("schema")
    shown["output_units"] = {one.name: one.unit for one in kind.outputs} if kind else {}
    return {key: plain(value) for key, value in shown.items()}
