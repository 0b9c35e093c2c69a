"""JSON read strictly: no NaN, no bottomless nesting, repeated keys said."""

from __future__ import annotations

import json
from typing import Any, NoReturn

from farmrecords.formats.common import MAX_JSON_DEPTH, MAX_VERTICES, FormatError, shown
from farmrecords.formats.text import decode_text

# Bounds on memory, checked before parsing: a position is one list and one or two commas.
MOST_CONTAINERS = 2 * MAX_VERTICES + 50_000
MOST_COMMAS = 10 * MAX_VERTICES


def read_json(data: bytes) -> tuple[Any, list[str]]:
    """The value a JSON file states, and notes; raises `FormatError` for anything else."""
    text, _, notes = decode_text(data)
    if text.count("[") + text.count("{") > MOST_CONTAINERS or text.count(",") > MOST_COMMAS:
        raise FormatError("The file has too many parts.", "Cut it to the farm's land and dates.")
    repeated: list[str] = []

    def pairs(found: list[tuple[str, Any]]) -> dict[str, Any]:
        made = dict(found)
        if len(made) != len(found):
            keys = [key for key, _ in found]
            repeated.extend(key for key in made if keys.count(key) > 1)
        return made

    try:
        value = json.loads(text, parse_constant=_refuse_constant, object_pairs_hook=pairs)
    except RecursionError:
        raise _too_deep() from None
    except json.JSONDecodeError as error:
        raise FormatError(
            f"Line {error.lineno}, character {error.colno}: {error.msg}.",
            "This is not whole JSON; export the file again.",
        ) from None
    except ValueError as error:
        raise error if isinstance(error, FormatError) else _too_long(error) from None
    _refuse_depth(value)
    if repeated:
        listed = ", ".join(shown(key) for key in sorted(set(repeated))[:5])
        notes.append(f"A key stands twice in one object ({listed}); the last one was taken.")
    return value, notes


def _refuse_constant(name: str) -> NoReturn:
    raise FormatError(f"“{name}” is not a number in JSON.", "Export the file again without it.")


def _too_long(error: ValueError) -> FormatError:
    return FormatError("A number in the file has thousands of digits.", "Export the file again.")


def _too_deep() -> FormatError:
    return FormatError(
        f"The file nests more than {MAX_JSON_DEPTH} levels deep.", "Export the file again."
    )


def _refuse_depth(value: Any) -> None:
    level, depth = [value], 0
    while level:
        if depth > MAX_JSON_DEPTH:
            raise _too_deep()
        inner: list[Any] = []
        for one in level:
            if isinstance(one, dict):
                inner.extend(v for v in one.values() if isinstance(v, dict | list))
            elif isinstance(one, list):
                inner.extend(v for v in one if isinstance(v, dict | list))
        level, depth = inner, depth + 1
