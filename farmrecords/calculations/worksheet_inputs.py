"""What a worksheet asks for: its declared inputs, and how given values are held against them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

InputKind = Literal["number", "whole", "choice", "text", "yes_no", "list", "geometry"]


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


Reader = Callable[[Input, Any], Any]


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


def by_name(rows: Sequence[Mapping[str, Any]], figure: str) -> dict[str, Any]:
    """Return one figure of each row by the row's name; a name used again gets its number.

    No row is lost: two rows of one name stay two figures.

    >>> by_name([{"name": "legume", "lb": 30}, {"name": "legume", "lb": 20}], "lb")
    {'legume': 30, 'legume (2)': 20}
    """
    found: dict[str, Any] = {}
    for row in rows:
        name, number = row["name"], 1
        while name in found:
            number += 1
            name = f"{row['name']} ({number})"
        found[name] = row[figure]
    return found


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
