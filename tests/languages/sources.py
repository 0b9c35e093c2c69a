"""The texts that Python and templates give to gettext, read without gettext's own tools."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterable, Iterator

from tests.house.rooms import ROOT, sources

CALLS = {"_": 0, "gettext": 0, "gettext_lazy": 0, "_lazy": 0, "ngettext": 0, "pgettext": 1}
TRANSLATE = re.compile(r"""\{%\s*translate\s+(?:"([^"]*)"|'([^']*)')""")


def texts_of_templates(templates: Iterable[str]) -> Iterator[str]:
    """What {% translate %} is given, with % doubled as Django looks it up.

    Blocks are left out: their places are renamed.
    """
    for text in templates:
        for double, single in TRANSLATE.findall(text):
            yield (double or single).replace("%", "%%")


def texts_of_python(wanted: Callable[[str], bool]) -> Iterator[str]:
    """What the calls of gettext are given in the wanted source files."""
    for path in sources():
        if not wanted(str(path.relative_to(ROOT))):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                place = CALLS.get(node.func.id)
                if place is None or len(node.args) <= place:
                    continue
                text = node.args[place]
                if isinstance(text, ast.Constant) and isinstance(text.value, str):
                    yield text.value


def other_names() -> list[str]:
    """Imports that give a gettext function a name by which no tool would find its texts."""
    known = {"gettext", "gettext_lazy", "_", "ngettext", "ngettext_lazy", "pgettext"}
    known |= {"pgettext_lazy", "gettext_noop"}
    return [
        f"{path.relative_to(ROOT)}: {name.name} as {name.asname}"
        for path in sources()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module == "django.utils.translation"
        for name in node.names
        if "gettext" in name.name and (name.asname or name.name) not in known
    ]
