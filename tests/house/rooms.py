"""The rooms of the project in the order of the data, and what each may import (design of rooms)."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "farmrecords"

PURE = ("formats", "calculations", "drawing", "rules")
ORDER = (
    "history", "people", "intake", "farm", "measurements", "plan", "loads", "findings", "book",
    "cab", "report", "review", "day",
)  # fmt: skip
MAY_IMPORT: dict[str, frozenset[str]] = {
    "formats": frozenset(),
    "calculations": frozenset(),
    "drawing": frozenset(),
    "rules": frozenset({"calculations"}),
    "history": frozenset(),
    "people": frozenset({"history"}),
    "intake": frozenset({"formats", "history", "people"}),
    **{
        room: frozenset({*PURE, *ORDER[: ORDER.index(room)]})
        for room in ("farm", "measurements", "plan", "loads", "findings", "book")
    },
    "cab": frozenset({*PURE, *ORDER[: ORDER.index("book")]}),
    "report": frozenset({*PURE, *ORDER[: ORDER.index("book")]}),
    "review": frozenset({*PURE, *ORDER[: ORDER.index("review")]}) - {"cab"},
    "day": frozenset({*PURE, *ORDER}),
}  # fmt: skip


def room_of(path: Path) -> str:
    """The room a source file lies in, or "" for the files above the rooms."""
    parts = path.relative_to(PACKAGE).parts
    return parts[0] if len(parts) > 1 else ""


def sources(*, migrations: bool = False) -> Iterator[Path]:
    """Every Python file of the package."""
    for path in sorted(PACKAGE.rglob("*.py")):
        if migrations or "migrations" not in path.parts:
            yield path


def imported_rooms(path: Path) -> set[str]:
    """The rooms a file imports from, also by relative imports and inside functions."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            inside = path.relative_to(ROOT).with_suffix("").parts[: -node.level]
            names = [".".join((*inside, node.module or "", alias.name)) for alias in node.names]
        else:
            continue
        for name in names:
            parts = name.split(".")
            if parts[0] == "farmrecords" and len(parts) > 1 and parts[1] in MAY_IMPORT:
                found.add(parts[1])
    return found
