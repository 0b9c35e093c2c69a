"""The room table holds: for imports, foreign keys, template includes and reverse names."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from django.apps import apps

from tests.house.rooms import (
    MAY_IMPORT,
    PACKAGE,
    ROOT,
    imported_rooms,
    room_of,
    sources,
)

TEMPLATES = ROOT / "templates"
INCLUDE = re.compile(r"""{%\s*(?:include|extends)\s+["']([^"']+)["']""")


@pytest.mark.parametrize("room", sorted(MAY_IMPORT))
def test_a_room_imports_only_what_the_table_allows(room: str) -> None:
    too_far = {
        str(path.relative_to(ROOT)): imported_rooms(path) - MAY_IMPORT[room] - {room}
        for path in sources()
        if room_of(path) == room
    }
    assert {path: found for path, found in too_far.items() if found} == {}


def _model_room(model: type) -> str:
    parts = model.__module__.split(".")
    return parts[1] if parts[0] == "farmrecords" and len(parts) > 2 else ""


def test_a_foreign_key_points_only_into_rooms_the_table_allows() -> None:
    seen = 0
    for model in apps.get_app_config("farmrecords").get_models():
        room = _model_room(model)
        for field in model._meta.concrete_fields:
            target = field.related_model
            if target is None or not _model_room(target):
                continue
            seen += 1
            assert _model_room(target) in MAY_IMPORT[room] | {room}, f"{model.__name__}.{field}"
    assert seen > 50


def test_a_template_includes_only_templates_of_rooms_the_table_allows() -> None:
    seen = 0
    for path in sorted(TEMPLATES.rglob("*.html")):
        room = path.relative_to(TEMPLATES).parts[0]
        if room not in MAY_IMPORT:
            continue
        for named in INCLUDE.findall(path.read_text(encoding="utf-8")):
            other = Path(named).parts[0]
            seen += 1
            assert other in MAY_IMPORT[room] | {room, "shared", "base.html"}, f"{path}: {named}"
    assert seen > 20


# Words that Django, forms or the history use for things of their own.
COMMON_WORDS = {"fields", "versions", "operation"}


def _reverse_names() -> dict[tuple[str, str], str]:
    """(room of the target, reverse name) -> room of the foreign key that gives the name."""
    found = {}
    for model in apps.get_app_config("farmrecords").get_models():
        for field in model._meta.concrete_fields:
            target = field.related_model
            name = field.remote_field.related_name if field.remote_field else None
            if target is not None and name and name not in COMMON_WORDS | {"+"}:
                found[_model_room(target), name] = _model_room(model)
    return found


def _query_words(path: Path) -> set[str]:
    """Words that queries and attribute chains of a file use."""
    words: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.keyword) and node.arg:
            words.update(node.arg.split("__")[:1])
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            value = node.value
            if re.fullmatch(r"[a-z_]+(__[a-z_]+)+", value):
                words.update(value.split("__"))
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Attribute | ast.Name):
            last = node.value.attr if isinstance(node.value, ast.Attribute) else ""
            if node.attr in ("filter", "all", "exclude", "get", "first", "count", "in_force"):
                words.add(last)
    return words


def test_no_room_asks_by_a_reverse_name_of_a_room_it_may_not_import() -> None:
    names = _reverse_names()
    assert ("people", "loads") in names
    wrong = []
    for path in sources():
        room = room_of(path)
        if room not in MAY_IMPORT:
            continue
        used = _query_words(path)
        for (_target, name), owner in names.items():
            own_names = {n for (_t, n), r in names.items() if r in MAY_IMPORT[room] | {room}}
            if owner not in MAY_IMPORT[room] | {room} and name in used and name not in own_names:
                wrong.append(f"{path.relative_to(PACKAGE)} asks for {name} of {owner}")
    assert wrong == []
